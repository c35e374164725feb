"""Logger readings by sensor and UTC day; raw files by their hash."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from scionary.book.commands import save_noun
from scionary.book.models import Nursery, RawFile, Sensor, SensorDay
from scionary.book.readings import keep_file, load_readings, store_readings
from scionary.errors import BadValue

MIDNIGHT = datetime(2026, 7, 2, tzinfo=UTC)


@pytest.fixture
def sensor(nursery: Nursery, now: datetime) -> Sensor:
    return save_noun(Sensor, {"name": "logger 1"}, now=now)


def rows(*minutes: float, temperature_c: float = 21.5, humidity_pct: float = 93.0) -> np.ndarray:
    return np.array([(MIDNIGHT.timestamp() + 60 * minute, temperature_c, humidity_pct) for minute in minutes])


def test_what_is_stored_is_loaded_exactly(sensor: Sensor) -> None:
    readings = rows(0, 1, 2) + np.array([0.125, 1 / 3, np.nan])
    assert store_readings(sensor, readings) == 3
    np.testing.assert_array_equal(load_readings(sensor), readings)


def test_a_sensor_without_readings_gives_none(sensor: Sensor) -> None:
    assert load_readings(sensor).shape == (0, 3)
    assert store_readings(sensor, np.empty((0, 3))) == 0


def test_readings_are_split_at_midnight_utc(sensor: Sensor) -> None:
    store_readings(sensor, rows(-1, 0, 1))
    assert list(SensorDay.objects.values_list("day", "count")) == [((MIDNIGHT - timedelta(days=1)).date(), 1), (MIDNIGHT.date(), 2)]


def test_the_same_readings_again_add_nothing(sensor: Sensor) -> None:
    assert store_readings(sensor, rows(3, 1, 2)) == 3
    assert store_readings(sensor, rows(1, 2, 3)) == 0
    np.testing.assert_array_equal(load_readings(sensor), rows(1, 2, 3))


def test_at_a_time_already_stored_the_new_reading_wins(sensor: Sensor) -> None:
    store_readings(sensor, rows(1, 2))
    assert store_readings(sensor, rows(2, 3, temperature_c=30.0)) == 1
    np.testing.assert_array_equal(load_readings(sensor)[:, 1], [21.5, 30.0, 30.0])


def test_of_one_time_given_twice_the_later_row_wins(sensor: Sensor) -> None:
    assert store_readings(sensor, np.concatenate([rows(1), rows(1, temperature_c=9.0)])) == 1
    assert load_readings(sensor)[0, 1] == 9.0


def test_a_span_includes_its_begin_and_not_its_end(sensor: Sensor) -> None:
    store_readings(sensor, rows(-1, 0, 1, 2))
    span = load_readings(sensor, MIDNIGHT, MIDNIGHT + timedelta(minutes=2))
    np.testing.assert_array_equal(span, rows(0, 1))


def test_rows_without_a_time_are_left_out(sensor: Sensor) -> None:
    assert store_readings(sensor, np.array([[np.nan, 20.0, 90.0], *rows(1)])) == 1


def test_a_time_that_cannot_be_is_refused(sensor: Sensor) -> None:
    with pytest.raises(BadValue, match="time_s is 1e\\+18"):
        store_readings(sensor, np.array([[1e18, 20.0, 90.0]]))


def test_sensors_do_not_mix(sensor: Sensor, now: datetime) -> None:
    other = save_noun(Sensor, {"name": "logger 2"}, now=now)
    store_readings(sensor, rows(1))
    assert len(load_readings(other)) == 0


def test_a_raw_file_is_kept_once_by_its_hash(nursery: Nursery, now: datetime) -> None:
    kept, new = keep_file(b"time;temp", "dome 1.csv", "logger", now=now)
    again, new_again = keep_file(b"time;temp", "copy of dome 1.csv", "logger", now=now)
    assert (new, new_again, again.name) == (True, False, "dome 1.csv")
    assert kept.sha256 == "b9f601b4105c79485cd7d00940cee0422a2806813231a257091f8bb71a0431dd"
    assert bytes(RawFile.objects.get().data) == b"time;temp"
