"""A station's weather: months of arrays, record and forecast, and taken home with the book."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import numpy as np
import pytest

from scionary.book.backup import backup, restore
from scionary.book.commands import save_noun
from scionary.book.export import export
from scionary.book.models import Nursery, WeatherMonth, WeatherStation
from scionary.book.weather import COLUMNS, load_weather, store_weather

DAY_S = 86_400.0


@pytest.fixture
def station(nursery: Nursery, now: datetime) -> WeatherStation:
    return save_noun(WeatherStation, {"name": "By the beck", "read_at": now}, now=now)


def days(first: str, count: int, **columns: float) -> np.ndarray:
    rows = np.full((count, len(COLUMNS)), np.nan)
    rows[:, 0] = np.datetime64(first, "s").astype(float) + DAY_S * np.arange(count)
    for name, value in columns.items():
        rows[:, COLUMNS.index(name)] = value
    return rows


def test_what_is_stored_is_loaded_exactly_and_a_month_is_one_row(station: WeatherStation) -> None:
    rows = days("2026-01-30", 40, temperature_max_c=1 / 3, rain_mm=0.1)
    assert store_weather(station, rows[::-1], "day") == 40
    np.testing.assert_array_equal(load_weather(station, "day"), rows)
    assert list(WeatherMonth.objects.values_list("month", "count")) == [
        (date(2026, 1, 1), 2), (date(2026, 2, 1), 28), (date(2026, 3, 1), 10),
    ]  # fmt: skip
    np.testing.assert_array_equal(load_weather(station, "day", since=date(2026, 3, 9)), rows[30:])


def test_a_known_value_wins_and_an_empty_one_takes_nothing_away(station: WeatherStation) -> None:
    store_weather(station, days("2026-02-01", 3, temperature_max_c=9.0, rain_mm=4.0), "day")
    assert store_weather(station, days("2026-02-02", 3, temperature_max_c=7.0), "day") == 1
    kept = load_weather(station, "day")[:, [1, 7]]
    np.testing.assert_array_equal(kept, [[9.0, 4.0], [7.0, 4.0], [7.0, 4.0], [7.0, np.nan]])


def test_a_forecast_replaces_the_one_before_and_leaves_the_record_alone(station: WeatherStation) -> None:
    store_weather(station, days("2026-02-01", 5, rain_mm=1.0), "day")
    store_weather(station, days("2026-02-06", 7, rain_mm=2.0), "day", forecast=True)
    store_weather(station, days("2026-02-08", 2, rain_mm=3.0), "hour", forecast=True)
    assert len(load_weather(station, "day")) == 5
    assert len(load_weather(station, "day", forecast=True)) == 0
    assert set(load_weather(station, "hour", forecast=True)[:, 7]) == {3.0}


def test_rows_without_any_value_are_not_kept(station: WeatherStation) -> None:
    assert store_weather(station, days("2026-02-01", 5), "day") == 0
    assert load_weather(station, "day").shape == (0, len(COLUMNS))


def test_a_backup_brings_weather_back_and_the_tables_show_it(station: WeatherStation, tmp_path: Path, now: datetime) -> None:
    store_weather(station, days("2026-02-01", 5, rain_mm=1 / 3), "day")
    store_weather(station, days("2026-02-06", 2, rain_mm=0.25), "day", forecast=True)
    before = [load_weather(station, "day", forecast=kind).tobytes() for kind in (False, True)]
    assert backup(tmp_path / "book.zip", now=now).readings == 7
    store_weather(station, days("2026-03-01", 3, rain_mm=9.0), "day")
    restore(tmp_path / "book.zip", replace=True, now=now)
    kept = WeatherStation.objects.get()
    assert [load_weather(kept, "day", forecast=kind).tobytes() for kind in (False, True)] == before
    assert export(tmp_path / "tables", now=now)["weather-1-By-the-beck-day"] == 7
    first = (tmp_path / "tables" / "weather-1-By-the-beck-day.csv").read_text(encoding="utf-8-sig").splitlines()[1]
    assert first.startswith("2026-02-01")
    assert "0.333" in first
