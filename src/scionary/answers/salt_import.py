"""A salt test's log read in from a page: first a look at what it found, then kept with its logger."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from scionary.answers.air_files import keep_salt_file, salt_test_of
from scionary.answers.logger_import import LoggerReading, read_log, sensor_meant
from scionary.answers.words import short_day
from scionary.book import queries
from scionary.book.models import Nursery, Sensor
from scionary.errors import Refused
from scionary.files.loggers import LoggerFile
from scionary.language import say
from scionary.units import temperature_words


@dataclass(frozen=True)
class SaltLook:
    """What a test found, why, and what it would do."""

    sentence: str
    why: str
    rests_on: str


def look_at_salt(data: bytes, name: str, *, sensor: str, dome: UUID, how: LoggerReading) -> SaltLook:
    """What a salt test's log says of its logger; nothing is kept."""
    nursery = queries.nursery()
    read, logger = _read(data, name, sensor, dome, how, nursery)
    test = salt_test_of(read)
    day = short_day(datetime.fromtimestamp(float(read.time_s[-1]), nursery.zone).date())
    told = {"offset": test.offset_pct, "doubt": test.doubt_pct, "logger": logger.name, "day": day}
    warmth = temperature_words(test.temperature_c, nursery.temperature_unit)
    should = {"expected": test.expected_pct, "warmth": warmth, "read": test.read_pct}
    return SaltLook(
        say("From {day} on {offset:+.1f} % is added to what {logger} says of humidity, give or take {doubt:.1f} %.", **told),
        say("Over wet table salt it should read {expected:.1f} % at {warmth}, and it read {read:.1f} %.", **should),
        say("The test knows the offset at 75 %; that it is the same near 100 % is an assumption. Readings stay in the book as they came."),
    )


def keep_salt(data: bytes, name: str, *, sensor: str, dome: UUID, how: LoggerReading, now: datetime, who: str = "") -> str:
    """Keep what the log found with its logger; the words for that."""
    nursery = queries.nursery()
    read, logger = _read(data, name, sensor, dome, how, nursery)
    return keep_salt_file(read, logger, nursery, now=now, who=who)


def _read(data: bytes, name: str, sensor: str, dome: UUID, how: LoggerReading, nursery: Nursery) -> tuple[LoggerFile, Sensor]:
    logger, called = sensor_meant(sensor, dome)
    if logger is None:
        remedy = say("Read a log of it in first, or name one that the book holds.")
        raise Refused(say("the book holds no logger that is called {name}.", name=called), where="sensor", remedy=remedy)
    return read_log(data, name, how, nursery), logger
