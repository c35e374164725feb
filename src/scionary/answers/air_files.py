"""Logger files that are judged without a book: an offset added, two of them held against each other, what was read with doubt."""

from __future__ import annotations

from datetime import datetime

import numpy as np
import numpy.typing as npt

from scionary.answers.air_sensors import SensorsSaid, sensors_said
from scionary.answers.salt_tests import keep_salt_test, offsets_said, with_offsets
from scionary.answers.words import plural
from scionary.book.models import Nursery, Sensor
from scionary.dome import SaltTest, compare_sensors, merge_sensors, order_readings, salt_test
from scionary.files.loggers import LoggerFile
from scionary.files.problems import unread_words
from scionary.language import say

Floats = npt.NDArray[np.float64]
Columns = tuple[Floats, Floats, Floats]
_FLAGGED_SHOWN = 5


def with_offset(read: LoggerFile, offset_pct: float) -> Columns:
    """A file's times, temperatures and humidities, with what a salt test found added to the humidities."""
    humidity = read.relative_humidity_pct
    return read.time_s, read.temperature_c, np.clip(humidity + offset_pct, 0.0, 100.0) if offset_pct else humidity


def salt_test_of(read: LoggerFile) -> SaltTest:
    """What a log from over wet table salt says of its humidity sensor."""
    return salt_test(read.time_s, read.temperature_c, read.relative_humidity_pct)


def keep_salt_file(read: LoggerFile, sensor: Sensor, nursery: Nursery, *, now: datetime, who: str = "") -> str:
    """Keep what a salt test's log says with the logger, from the day on which it ended; the words for that."""
    ended = datetime.fromtimestamp(float(read.time_s[-1]), nursery.zone).date()
    found = keep_salt_test(sensor, salt_test_of(read), ended, now=now, who=who)
    return say("Kept: {logger} {offset}.", logger=sensor.name, offset=found.words)


def tested(columns: Columns, sensor: Sensor, nursery: Nursery) -> tuple[Columns, list[str]]:
    """A file's columns with what the salt tests of the logger that wrote it found, and the words for that."""
    rows = with_offsets(sensor, np.column_stack(columns), nursery)
    end = datetime.fromtimestamp(float(rows[-1, 0]), nursery.zone)
    words = offsets_said([sensor], end) or say("{logger} has no salt test from before this log's end.", logger=sensor.name)
    return (rows[:, 0], rows[:, 1], rows[:, 2]), [words]


def held_beside(first: str, columns: Columns, second: str, others: Columns, nursery: Nursery) -> tuple[Columns, SensorsSaid]:
    """Two files of one dome: the readings of both where they are read as one, and what they say of each other."""
    ours, theirs = order_readings(*columns), order_readings(*others)
    said = sensors_said(first, second, compare_sensors(ours, theirs), nursery)
    if not said.merged:
        return columns, said
    both = merge_sensors(ours, theirs)
    return (both.time_s, both.temperature_c, both.relative_humidity_pct), said


def clock_note(read: LoggerFile, nursery: Nursery) -> str:
    """Have a file that stands alone shown in its own clock where it says which; the words for whose clock it is."""
    zone = nursery.time_zone
    if not read.understood.own_clock:
        return say("The logger's clock is taken to run in {zone}, as this machine does; --time-zone says another.", zone=zone)
    offset_s = read.understood.utc_offset_s
    if offset_s is None:
        return say("Each row says how far its time is from UTC; shown in {zone}, this machine's.", zone=zone)
    named = f"UTC{'-' if offset_s < 0 else '+'}{abs(offset_s) // 3600:02.0f}:{abs(offset_s) % 3600 / 60:02.0f}"
    hours = round(offset_s / 3600)
    if hours * 3600 != offset_s or not -12 <= hours <= 14:
        return say("The file says that its times are {offset}; shown in {zone}, this machine's.", offset=named, zone=zone)
    nursery.time_zone = f"Etc/GMT{-hours:+d}" if hours else "UTC"  # such names count westwards
    return say("The file says that its times are {offset}, and they are shown so.", offset=named)


def notes_of(read: LoggerFile, offset_pct: float) -> list[str]:
    """How a file was read: what was assumed, and each kind of flagged line with the first of them."""
    notes = [say("{name}: {assumed}.", name=read.name, assumed=assumed) for assumed in read.understood.assumptions]
    if read.understood.unread:
        notes.append(f"{read.name}: {unread_words(read.understood.unread)}")
    if offset_pct:
        notes.append(say("{name}: {offset:+.1f} % added to every humidity, as you said.", name=read.name, offset=offset_pct))
    if read.duplicates:
        notes.append(say("{name}: {lines} said the same twice.", name=read.name, lines=plural(read.duplicates, "line")))
    for what, count in read.problem_counts.items():
        lines = [str(problem.line) for problem in read.problems if problem.what == what][:_FLAGGED_SHOWN]
        more = ", …" if count > len(lines) else ""
        notes.append(
            say(
                "{name}, {flagged}: {what} (line {lines}{more}).",
                name=read.name,
                flagged=plural(count, "line"),
                what=what,
                lines=", ".join(lines),
                more=more,
            )
        )
    return notes
