"""Reading a logger's file into the book."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from uuid import UUID

import numpy as np
import pytest

from scionary.answers.logger_import import LoggerReading, accept_logger, logger_import, preview_logger
from scionary.answers.offers import offer
from scionary.book.commands import save_noun, start_book
from scionary.book.ids import uuid7
from scionary.book.models import Dome, RawFile, Sensor, SensorDay
from scionary.book.readings import load_readings
from scionary.errors import BadFile, Refused, Stopped, UnknownSubject

NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)
FILE = b"""Time,Temperature (C),Humidity (%)
2026-07-01 00:00,21.0,92
2026-07-01 01:00,20.5,93
2026-07-01 02:00,,
2026-07-01 03:00,20.0,oops
2026-07-01 04:00,19.5,95
"""


@pytest.fixture
def dome(db: None) -> Dome:
    start_book(now=NOW, name="Tarn Bridge", time_zone="Europe/Zurich")
    return save_noun(Dome, {"name": "Dome 1"}, now=NOW)


def test_the_preview_tells_all_and_writes_nothing(dome: Dome) -> None:
    preview = preview_logger(FILE, "dome1.csv", now=NOW, dome=dome.pk)
    assert (preview.sensor, preview.sensor_is_new, preview.dome) == ("Dome 1 logger", True, "Dome 1")
    assert preview.readings == 5
    assert preview.first.isoformat() == "2026-07-01T00:00:00+02:00"
    assert [(problem.line, problem.text) for problem in preview.problems] == [(5, "oops")]
    assert preview.warnings == ()
    assert (Sensor.objects.count(), RawFile.objects.count()) == (0, 0)
    json.dumps(preview.to_dict())


def test_readings_come_in_with_a_new_sensor_for_the_dome(dome: Dome) -> None:
    result = accept_logger(FILE, "dome1.csv", now=NOW, dome=dome.pk)
    sensor = Sensor.objects.get()
    assert (sensor.name, sensor.dome) == ("Dome 1 logger", dome)
    assert (result.readings, result.new, result.known) == (4, 4, 0)
    rows = load_readings(sensor)
    assert rows[0, 0] == datetime(2026, 6, 30, 22, 0, tzinfo=UTC).timestamp()
    assert rows[:, 1].tolist() == [21.0, 20.5, 20.0, 19.5]
    assert np.isnan(rows[2, 2])
    assert RawFile.objects.get().kind == "logger"
    json.dumps(result.to_dict())


def test_the_same_file_again_adds_nothing_and_says_so(dome: Dome) -> None:
    accept_logger(FILE, "dome1.csv", now=NOW, dome=dome.pk)
    again = accept_logger(FILE, "dome1.csv", now=NOW, dome=dome.pk)
    assert (again.new, again.known) == (0, 4)
    assert again.warnings == ("This very file was read in before, on 2026-07-10.",)


def test_late_in_the_evening_it_was_read_in_on_the_nursery_s_day(dome: Dome) -> None:
    late = NOW.replace(hour=23)
    accept_logger(FILE, "dome1.csv", now=late, dome=dome.pk)
    assert accept_logger(FILE, "dome1.csv", now=late, dome=dome.pk).warnings == ("This very file was read in before, on 2026-07-11.",)


def test_readings_that_say_something_else_are_told_before(dome: Dome) -> None:
    accept_logger(FILE, "dome1.csv", now=NOW, dome=dome.pk)
    changed = FILE.replace(b"20.5,93", b"25.5,93")
    preview = preview_logger(changed, "dome1b.csv", now=NOW, dome=dome.pk)
    assert preview.warnings == ("1 reading in the book at the same time say something else; those of the file take their place.",)


def test_readings_in_the_future_are_flagged_not_refused(dome: Dome) -> None:
    early = datetime(2026, 6, 30, 23, 30, tzinfo=UTC)
    result = accept_logger(FILE, "dome1.csv", now=early, dome=dome.pk)
    assert result.new == 4
    assert result.warnings[0].startswith("3 readings lie in the future")


def test_a_sensor_that_hung_elsewhere_is_told(dome: Dome) -> None:
    other = save_noun(Dome, {"name": "Dome 2"}, now=NOW)
    save_noun(Sensor, {"name": "Shed 4", "dome": other}, now=NOW)
    result = accept_logger(FILE, "dome1.csv", now=NOW, sensor="shed 4", dome=dome.pk)
    assert result.warnings == ("Shed 4 hung in Dome 2 until now; all its readings will be shown under Dome 1.",)
    assert Sensor.objects.get().dome == dome


def test_without_sensor_and_dome_it_is_refused(dome: Dome) -> None:
    with pytest.raises(Refused, match="neither sensor nor dome is named"):
        preview_logger(FILE, "dome1.csv", now=NOW)


def test_two_sensors_in_a_dome_need_a_name(dome: Dome) -> None:
    for name in ("Shed 4", "Shed 5"):
        save_noun(Sensor, {"name": name, "dome": dome}, now=NOW)
    with pytest.raises(Refused, match=r"Dome 1 has more than one sensor. Say which: Shed 4, Shed 5"):
        preview_logger(FILE, "dome1.csv", now=NOW, dome=dome.pk)


def test_a_dome_of_nobody_is_refused(dome: Dome) -> None:
    with pytest.raises(UnknownSubject, match="no such dome"):
        preview_logger(FILE, "dome1.csv", now=NOW, dome=uuid7())


def test_dates_in_doubt_are_asked_for_and_the_answer_is_used(dome: Dome) -> None:
    doubt = FILE.replace(b"2026-07-01", b"03/04/2026")
    with pytest.raises(BadFile, match=r"dome1.csv, line 2"):
        preview_logger(doubt, "dome1.csv", now=NOW, dome=dome.pk)
    how = LoggerReading(date_order="dmy")
    assert preview_logger(doubt, "dome1.csv", now=NOW, dome=dome.pk, how=how).first.month == 4


def test_a_file_without_any_reading_is_refused_and_nothing_is_written(dome: Dome) -> None:
    with pytest.raises(BadFile):
        accept_logger(b"Time,Temperature (C)\n2026-07-01 00:00,\n2026-07-01 01:00,\n", "dome1.csv", now=NOW, dome=dome.pk)
    assert Sensor.objects.count() == 0


def test_the_work_writes_only_in_its_last_step(dome: Dome) -> None:
    told: list[str] = []

    def progress(fraction: float, word: str) -> bool:
        told.append(word)
        return True

    digest = offer(FILE, "dome1.csv", now=NOW)
    last_step = logger_import({"sha256": digest, "dome": str(dome.pk), "who": "Nell"}, progress, NOW)
    assert told == ["reading the file", "writing the readings"]
    assert SensorDay.objects.count() == 0
    result = last_step()
    assert result["new"] == 4
    assert Sensor.objects.get().pk == UUID(result["sensor_id"])
    assert RawFile.objects.get().kind == "logger"


def test_a_stopped_import_writes_nothing(dome: Dome) -> None:
    with pytest.raises(Stopped):
        accept_logger(FILE, "dome1.csv", now=NOW, dome=dome.pk, progress=lambda fraction, word: False)
    assert Sensor.objects.count() == 0
