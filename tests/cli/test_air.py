"""scionary air: a dome's sensor or a file judged; exit code 1 when it was not well."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from scionary.book.commands import save_noun
from scionary.book.models import Nursery

pytestmark = pytest.mark.django_db


@pytest.fixture
def hot_file(tmp_path: Path) -> Path:
    rows = [f"2026-02-14 {10 + i // 6:02d}:{i % 6 * 10:02d},{34.0 if 12 <= i < 18 else 21.5},{95 + i % 3}" for i in range(36)]
    path = tmp_path / "hot.csv"
    path.write_text("time,temperature (°C),humidity (%)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_a_hot_file_answers_not_well(scionary: Callable[..., Any], hot_file: Path) -> None:
    answer = scionary("air", str(hot_file))
    assert answer.code == 1
    assert "up to 34 °C" in answer.out
    assert f"Limits are assumptions: scionary air {hot_file} --assumptions" in answer.out
    assert "assumes" not in answer.out


def test_the_limits_are_said_in_words_when_they_are_asked_for(scionary: Callable[..., Any], hot_file: Path) -> None:
    said = scionary("air", str(hot_file), "--assumptions").out
    assert "  assumes: harm above 30 °C (" in said
    assert "_c " not in said
    assert "None" not in said


def test_a_quiet_file_answers_well(scionary: Callable[..., Any], hot_file: Path) -> None:
    hot_file.write_text(hot_file.read_text(encoding="utf-8").replace("34.0", "22.0"), encoding="utf-8")
    assert scionary("air", str(hot_file)).code == 0


@pytest.mark.parametrize(("typed", "said"), [([], "name either a file or a dome"), (["--dome", "Dome 9"], "no dome is called")])
def test_what_cannot_be_judged_is_refused(scionary: Callable[..., Any], typed: list[str], said: str) -> None:
    answer = scionary("air", *typed)
    assert (answer.code, said in answer.err) == (2, True)


def test_a_dome_without_a_sensor_says_how_to_read_one_in(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "--dome", "Dome 1")
    answer = scionary("air", "--dome", "Dome 1")
    assert (answer.code, "scionary import FILE --as logger" in answer.err) == (2, True)


@pytest.mark.parametrize("days", ["nan", "inf", "-inf", "0", "-1", "1e9", "9" * 20])
def test_days_back_are_a_number_that_can_be(scionary: Callable[..., Any], days: str) -> None:
    scionary("bench", "Red Tarn", "--dome", "Dome 1")
    refused = scionary("air", "--dome", "Dome 1", "--days", days)
    assert (refused.code, "Give a number of days above zero" in refused.err) == (2, True)


@pytest.mark.parametrize("rows", ["2026-02-14 10:00,21,95", "2026-02-14 10:00,nan,x\n2026-02-14 11:00,nan,x"])
def test_a_file_that_covers_no_time_is_not_called_well(scionary: Callable[..., Any], tmp_path: Path, rows: str) -> None:
    (tmp_path / "short.csv").write_text(f"time,temperature (°C),humidity (%)\n{rows}\n", encoding="utf-8")
    said = scionary("air", str(tmp_path / "short.csv"))
    assert "too little to judge" in said.out
    assert "Within the limits" not in said.out


def test_a_reader_of_fahrenheit_is_told_the_assumptions_in_it(
    scionary: Callable[..., Any], nursery: Nursery, hot_file: Path, now: datetime
) -> None:
    save_noun(Nursery, {"temperature_unit": "F"}, now=now, pk=nursery.pk)
    said = scionary("air", str(hot_file), "--assumptions").out
    assert "assumes: harm above 86 °F" in said
    assert "°C" not in said
