"""A dome's air from its sensor's readings, in words."""

from datetime import datetime
from typing import Any

import numpy as np
import pytest

from scionary.answers.air import air_of, air_of_dome, air_of_readings, worst_stretches
from scionary.book.commands import save_noun, write_event
from scionary.book.models import Dome, Nursery, Sensor
from scionary.book.readings import store_readings

pytestmark = pytest.mark.django_db


@pytest.fixture
def sensor(dome: Dome, now: Any) -> Sensor:
    return save_noun(Sensor, {"name": "logger A", "dome": dome}, now=now)


def week(now: Any, temperature_c: float = 21.0, humidity_pct: float = 96.0) -> Any:
    times = np.arange(now.timestamp() - 6 * 86400, now.timestamp(), 600.0)
    wiggle = 0.4 * np.sin(times / 9000)
    return np.column_stack([times, temperature_c + wiggle, humidity_pct + wiggle])


def test_a_quiet_week_is_within_the_limits(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    store_readings(sensor, week(now))
    found = air_of(sensor, nursery, end=now)
    assert found.sentence == "Within the limits as far as the sensor wrote."
    assert found.episodes == []


def test_heat_is_said_with_day_and_degrees_in_the_persons_unit(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    rows = week(now)
    rows[100:112, 1] = 33.0
    store_readings(sensor, rows)
    assert "up to 33 °C" in air_of(sensor, nursery, end=now).sentence
    nursery.temperature_unit = "F"
    assert "up to 91 °F" in air_of(sensor, nursery, end=now).sentence


def test_dry_air_is_told_apart_from_heat(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    rows = week(now)
    rows[100:160, 2] = 60.0
    store_readings(sensor, rows)
    found = air_of(sensor, nursery, end=now)
    assert found.sentence.startswith("Too dry for 10 hours")
    assert found.episodes[0].sentence.endswith("too dry for 10 h, down to 60 %")


def test_dry_air_while_the_vents_stood_open_is_no_alarm(sensor: Sensor, nursery: Nursery, dome: Dome, now: Any) -> None:
    rows = week(now)
    rows[100:130, 2] = rows[400:430, 2] = 60.0
    store_readings(sensor, rows)
    for row, open_pct in ((50, 33.0), (300, 0.0)):
        moment = datetime.fromtimestamp(rows[row, 0], nursery.zone)
        write_event("vented", dome.key, {"open_pct": open_pct}, happened_at=moment, now=now)
    found = air_of(sensor, nursery, end=now)
    assert [each.kind for each in found.episodes] == ["opened", "dry"]
    assert found.episodes[0].sentence.endswith("drier, with open vents, for 5.0 h, down to 60 %")
    assert found.sentence.startswith("Too dry for 5 hours in 1 stretch.")


def test_a_sensor_that_stopped_shows_its_last_days(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    rows = week(now)
    rows[:, 0] -= 60 * 86400
    store_readings(sensor, rows)
    found = air_of(sensor, nursery, end=now)
    assert found.report is not None
    assert found.end == datetime(2025, 12, 17, tzinfo=nursery.zone)
    assert found.begin == datetime(2025, 12, 10, tzinfo=nursery.zone)
    assert "nothing written since Tue 16 Dec 11:20: 60 days not known" in found.why
    assert found.sentence == "Within the limits as far as the sensor wrote."


def test_a_span_is_of_whole_days_of_the_nursery(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    store_readings(sensor, week(now))
    found = air_of(sensor, nursery, end=now)
    assert found.begin == datetime(2026, 2, 8, tzinfo=nursery.zone)
    assert found.end == now


def test_days_that_were_asked_for_exactly_are_not_replaced_by_others(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    rows = week(now)
    rows[:, 0] -= 60 * 86400
    store_readings(sensor, rows)
    found = air_of(sensor, nursery, end=now, exactly=True)
    assert (found.report, found.sentence) == (None, "Nothing was written in these days.")


def test_hours_since_the_last_reading_are_not_known(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    rows = week(now)
    store_readings(sensor, rows[rows[:, 0] < now.timestamp() - 14 * 3600])
    found = air_of(sensor, nursery, end=now)
    assert "nothing written since Fri 13 Feb 21:20: 14 hours not known" in found.why
    assert "no gaps" not in found.why
    assert (found.episodes[-1].kind, found.episodes[-1].end) == ("gap", now)


def test_a_gap_that_began_before_the_span_is_told_and_a_sensor_s_own_beginning_is_not(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    rows = week(now)
    store_readings(sensor, rows[rows[:, 0] > now.timestamp() - 3 * 86400])
    assert "no gaps" in air_of(sensor, nursery, end=now).why
    rows[:, 0] -= 20 * 86400
    store_readings(sensor, rows)
    assert "nothing written until Wed 11 Feb 11:40: 84 hours" not in air_of(sensor, nursery, end=now).why
    assert "nothing written until Wed 11 Feb 11:40: 3 days not known" in air_of(sensor, nursery, end=now).why


def test_the_worst_stretches_are_the_hottest_the_driest_and_the_longest_gap(nursery: Nursery, now: Any) -> None:
    rows = week(now)
    for at, heat in ((100, 31.5), (200, 36.0), (300, 33.0), (400, 34.0)):
        rows[at : at + 6, 1] = heat
    rows[500:520, 2] = 60.0
    rows = np.delete(rows, slice(600, 660), axis=0)
    found = worst_stretches(air_of_readings("log.csv", rows[:, 0], rows[:, 1], rows[:, 2], nursery), nursery)
    assert [each.kind for each in found] == ["heat", "heat", "heat", "dry", "gap"]
    assert [each.sentence.rpartition(" to ")[2] for each in found[:3]] == ["36 °C", "34 °C", "33 °C"]


def test_a_sensor_that_wrote_nothing_says_so(sensor: Sensor, nursery: Nursery, now: Any) -> None:
    found = air_of(sensor, nursery, end=now)
    assert (found.report, found.sentence) == (None, "The sensor logger A has written nothing yet.")


def test_a_dome_without_sensor_has_no_air_answer(dome: Dome, nursery: Nursery, now: Any) -> None:
    assert air_of_dome(dome, nursery, end=now) is None


def test_a_file_is_judged_without_the_book(nursery: Nursery, now: Any) -> None:
    rows = week(now, temperature_c=32.0)
    found = air_of_readings("log.csv", rows[:, 0], rows[:, 1], rows[:, 2], nursery)
    assert found.episodes[0].kind == "heat"
    assert not Sensor.objects.exists()
