"""A logger's file that is not the one it is taken for."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from scionary.answers.logger_import import accept_logger, preview_logger
from scionary.book.commands import save_noun, start_book
from scionary.book.models import Dome, Sensor

NOW = datetime(2026, 7, 30, 9, 0, tzinfo=UTC)


@pytest.fixture
def dome(db: None) -> Dome:
    start_book(now=NOW, name="Tarn Bridge", time_zone="UTC")
    return save_noun(Dome, {"name": "Dome 1"}, now=NOW)


def log(day: int, days: int, *, warmer_c: float = 0.0, drier_pct: float = 0.0, seed: int = 1, wave: float = 0.0) -> bytes:
    rng, rows = np.random.default_rng(seed), []
    for hour in range(days * 24):
        when = datetime(2026, 7, day, tzinfo=UTC) + timedelta(hours=hour)
        shape = np.sin((hour % 24 / 24 - 0.25 + wave) * 2 * np.pi)
        rows.append(f"{when:%Y-%m-%d %H:%M},{20 + 4 * shape + rng.normal(0, 0.3) + warmer_c:.1f},{94 - 5 * shape - drier_pct:.1f}")
    return ("Time,Temperature (C),Humidity (%)\n" + "\n".join(rows) + "\n").encode()


def test_the_next_week_of_the_same_dome_is_no_stranger(dome: Dome) -> None:
    accept_logger(log(1, 10), "one.csv", now=NOW, dome=dome.pk)
    assert preview_logger(log(11, 7, seed=2), "two.csv", now=NOW, dome=dome.pk).warnings == ()


def test_a_file_unlike_the_month_before_is_asked_about(dome: Dome) -> None:
    accept_logger(log(1, 10), "one.csv", now=NOW, dome=dome.pk)
    told = preview_logger(log(11, 7, drier_pct=35.0), "two.csv", now=NOW, dome=dome.pk).warnings
    assert told == (
        "100 % of the humidities lie outside what Dome 1 logger showed at those hours in the month before: is it another dome's file, "
        "or another unit?",
    )


def test_a_file_unlike_the_domes_other_sensor_is_asked_about(dome: Dome) -> None:
    save_noun(Sensor, {"name": "A", "dome": dome}, now=NOW)
    accept_logger(log(1, 10), "one.csv", now=NOW, sensor="A")
    told = preview_logger(log(1, 10, wave=0.5), "porch.csv", now=NOW, sensor="B", dome=dome.pk).warnings
    assert "porch.csv and A do not move alike in temperature: is one the log of another dome?" in told
    assert not any("what follows" in each for each in told)


def test_the_first_file_of_a_dome_has_nothing_to_be_unlike(dome: Dome) -> None:
    assert preview_logger(log(1, 10, drier_pct=35.0), "one.csv", now=NOW, dome=dome.pk).warnings == ()
