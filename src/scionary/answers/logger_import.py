"""Reading a logger's file into the book: first a look at what it holds, then its readings, beside what is there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import numpy as np
from django.db import transaction

from scionary.answers.air import air_of_readings, worst_stretches
from scionary.answers.air_light import light_words
from scionary.answers.logger_strangers import stranger_words
from scionary.answers.offers import accepted_before, accepted_on, check_size, keep_accepted, offered
from scionary.answers.words import plural
from scionary.answers.works import LastStep, Progress, tell
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.models import Dome, Nursery, Sensor
from scionary.book.patience import patiently
from scionary.book.readings import load_readings, store_readings
from scionary.errors import BadFile, Refused, UnknownSubject
from scionary.files.loggers import LoggerFile, read_logger
from scionary.files.problems import Problem, unread_words
from scionary.language import say
from scionary.limits import LIMITS

KIND = "logger"
_CLOCK_ALLOWANCE_S = 600.0
_FIRST_LOGGERS_S = 631_152_000.0  # 1990 began; a clock without its battery says 1970 or 1980


@dataclass(frozen=True)
class LoggerReading:
    """How the person wants a file read: what is empty is found in the file or asked for."""

    time_zone: str = ""
    columns: Mapping[str, str | int] | None = None
    date_order: str | None = None
    unit: str | None = None


@dataclass(frozen=True)
class LoggerPreview:
    """What a file holds and where it would go; nothing is written yet."""

    name: str
    readings: int
    first: datetime
    last: datetime
    interval_s: float
    gaps: tuple[tuple[datetime, datetime], ...]
    problems: tuple[Problem, ...]
    problem_counts: dict[str, int]
    understood: dict[str, Any]
    sensor: str
    sensor_is_new: bool
    dome: str
    warnings: tuple[str, ...]
    words: str

    def to_dict(self) -> dict[str, Any]:
        plain = asdict(self) | {"first": self.first.isoformat(), "last": self.last.isoformat()}
        return plain | {"gaps": [[begin.isoformat(), end.isoformat()] for begin, end in self.gaps]}


@dataclass(frozen=True)
class LoggerResult:
    """What came into the book: `new` readings; `known` ones stood there before at the same time and were replaced."""

    sensor_id: UUID
    sensor: str
    sensor_is_new: bool
    dome: str
    readings: int
    new: int
    known: int
    repeated_in_file: int
    first: datetime
    last: datetime
    problems: tuple[Problem, ...]
    problem_counts: dict[str, int]
    warnings: tuple[str, ...]
    worst: tuple[tuple[str, str], ...]  # the day and the words of the worst stretches of the whole file
    words: str

    def to_dict(self) -> dict[str, Any]:
        return asdict(self) | {"sensor_id": str(self.sensor_id), "first": self.first.isoformat(), "last": self.last.isoformat()}


def preview_logger(
    data: bytes, name: str, *, now: datetime, sensor: str = "", dome: UUID | None = None, how: LoggerReading | None = None
) -> LoggerPreview:
    """Look at a logger's file: readings, gaps, problems by line, and how it was understood."""
    nursery = queries.nursery()
    read = read_log(data, name, how or LoggerReading(), nursery)
    found, called = sensor_meant(sensor, dome)
    target = _dome(dome) or (found.dome if found else None)
    first, last = _span(read, nursery)
    return LoggerPreview(
        name=name,
        readings=len(read.time_s),
        first=first,
        last=last,
        interval_s=read.interval_s,
        gaps=tuple((datetime.fromtimestamp(a, nursery.zone), datetime.fromtimestamp(b, nursery.zone)) for a, b in read.gaps),
        problems=read.problems,
        problem_counts=read.problem_counts,
        understood=asdict(read.understood),
        sensor=called,
        sensor_is_new=found is None,
        dome=target.name if target else "",
        warnings=tuple(_warnings(read, data, found, _dome(dome), now)),
        words=say(
            "{readings} from {first} to {last}.",
            readings=plural(len(read.time_s), "reading"),
            first=f"{first:%Y-%m-%d %H:%M}",
            last=f"{last:%Y-%m-%d %H:%M}",
        ),
    )


def accept_logger(
    data: bytes,
    name: str,
    *,
    now: datetime,
    sensor: str = "",
    dome: UUID | None = None,
    how: LoggerReading | None = None,
    who: str = "",
    progress: Progress | None = None,
) -> LoggerResult:
    """Read a logger's file into the book, all or nothing; a sensor that is new is made and given to the dome."""
    tell(progress, 0.05, say("reading the file"))
    nursery = queries.nursery()
    read = read_log(data, name, how or LoggerReading(), nursery)
    tell(progress, 0.7, say("writing the readings"))
    return _write(read, data, name, sensor, dome, nursery, now=now, who=who)


def logger_import(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """The work "import readings". Arguments: sha256 of an offered file, sensor, dome, who, and `how` as in `LoggerReading`."""
    data, name = offered(arguments["sha256"])
    nursery = queries.nursery()
    how = LoggerReading(**arguments.get("how", {}))
    dome = UUID(arguments["dome"]) if arguments.get("dome") else None
    tell(progress, 0.05, say("reading the file"))
    read = read_log(data, name, how, nursery)
    tell(progress, 0.7, say("writing the readings"))
    sensor, who = arguments.get("sensor", ""), arguments.get("who", "")
    return lambda: _write(read, data, name, sensor, dome, nursery, now=now, who=who).to_dict()


def read_log(data: bytes, name: str, how: LoggerReading, nursery: Nursery) -> LoggerFile:
    """The file as the person wants it read, within the limits."""
    check_size(data, name)
    zone = how.time_zone or nursery.time_zone
    read = read_logger(
        data, name=name, time_zone=zone, columns=how.columns, date_order=how.date_order, unit=how.unit, limit_bytes=LIMITS["file_bytes"]
    )
    if read.rows > LIMITS["logger_rows"]:
        raise BadFile(
            say("{rows} lines; at most {logger_rows} are read.", rows=read.rows, logger_rows=LIMITS["logger_rows"]),
            where=name,
            remedy=say("Export a shorter time."),
        )
    if not (np.isfinite(read.temperature_c) | np.isfinite(read.relative_humidity_pct)).any():
        raise BadFile(
            say("no line holds a temperature or humidity that can be."), where=name, remedy=say("Look at the columns and the unit.")
        )
    return read


@patiently
def _write(
    read: LoggerFile, data: bytes, name: str, sensor: str, dome: UUID | None, nursery: Nursery, *, now: datetime, who: str
) -> LoggerResult:
    with transaction.atomic():
        found, called = sensor_meant(sensor, dome)
        target = _dome(dome)
        warnings = tuple(_warnings(read, data, found, target, now))
        kept = _saved_sensor(found, called, target, now=now, who=who)
        rows = np.column_stack([read.time_s, read.temperature_c, read.relative_humidity_pct])
        rows = rows[np.isfinite(rows[:, 1]) | np.isfinite(rows[:, 2])]
        new = store_readings(kept, rows)
        keep_accepted(data, name, KIND, now=now)
    first, last = _span(read, nursery)
    known = len(rows) - new
    words = f"{called}: {plural(new, 'new reading')}" + (say("; {known} stood in the book before", known=known) if known else "") + "."
    return LoggerResult(
        sensor_id=kept.pk,
        sensor=kept.name,
        sensor_is_new=found is None,
        dome=kept.dome.name if kept.dome else "",
        readings=len(rows),
        new=new,
        known=known,
        repeated_in_file=read.duplicates,
        first=first,
        last=last,
        problems=read.problems,
        problem_counts=read.problem_counts,
        warnings=warnings,
        worst=_worst(called, read, nursery),
        words=words,
    )


def _worst(called: str, read: LoggerFile, nursery: Nursery) -> tuple[tuple[str, str], ...]:
    air = air_of_readings(called, read.time_s, read.temperature_c, read.relative_humidity_pct, nursery)
    return tuple((each.begin.date().isoformat(), each.sentence) for each in worst_stretches(air, nursery))


def _saved_sensor(found: Sensor | None, called: str, dome: Dome | None, *, now: datetime, who: str) -> Sensor:
    if found is None:
        return save_noun(Sensor, {"name": called, "dome": dome}, now=now, who=who)
    if dome is not None and found.dome_id != dome.pk:
        return save_noun(Sensor, {"dome": dome}, now=now, pk=found.pk, who=who)
    return found


def sensor_meant(name: str, dome: UUID | None) -> tuple[Sensor | None, str]:
    """The sensor that is meant and its name: as named, else the dome's only one, else a new one called after the dome."""
    called = " ".join(name.split())
    if called:
        found = Sensor.objects.select_related("dome").filter(name__iexact=called).first()
        return found, found.name if found else called
    house = _dome(dome)
    if house is None:
        raise Refused(
            say("neither sensor nor dome is named."), where="sensor", remedy=say("Name the sensor, or the dome that it hangs in.")
        )
    here = list(Sensor.objects.select_related("dome").filter(dome=house, retired=False))
    if len(here) > 1:
        names = ", ".join(sensor.name for sensor in here)
        raise Refused(
            say("{house} has more than one sensor.", house=house.name), where="sensor", remedy=say("Say which: {names}.", names=names)
        )
    return (here[0], here[0].name) if here else (None, say("{house} logger", house=house.name))


def _dome(ident: UUID | None) -> Dome | None:
    if ident is None:
        return None
    found = Dome.objects.filter(pk=ident).first()
    if found is None:
        raise UnknownSubject(say("the book holds no such dome."), where="dome", remedy=say("Choose one that is listed under Domes."))
    return found


def _span(read: LoggerFile, nursery: Nursery) -> tuple[datetime, datetime]:
    return datetime.fromtimestamp(float(read.time_s[0]), nursery.zone), datetime.fromtimestamp(float(read.time_s[-1]), nursery.zone)


def _warnings(read: LoggerFile, data: bytes, found: Sensor | None, dome: Dome | None, now: datetime) -> list[str]:
    """What a person should look at before relying on the file."""
    told = [*filter(None, [unread_words(read.understood.unread), light_words(read, queries.nursery())])]
    before = accepted_before(data, KIND)
    if before is not None:
        told.append(say("This very file was read in before, on {date}.", date=accepted_on(before)))
    ahead = int((read.time_s > now.timestamp() + _CLOCK_ALLOWANCE_S).sum())
    if ahead:
        told.append(say("{readings} lie in the future: is the logger's clock right, and its zone?", readings=plural(ahead, "reading")))
    early = int((read.time_s < _FIRST_LOGGERS_S).sum())
    if early:
        told.append(say("{readings} are from before 1990: has the logger's clock lost its date?", readings=plural(early, "reading")))
    if found is not None and found.dome is not None and dome is not None and found.dome_id != dome.pk:
        told.append(
            say(
                "{found} hung in {name} until now; all its readings will be shown under {dome}.",
                found=found.name,
                name=found.dome.name,
                dome=dome.name,
            )
        )
    if found is not None:
        told += _overlap(found, read)
    return told + stranger_words(read, found, dome, queries.nursery())


def _overlap(sensor: Sensor, read: LoggerFile) -> list[str]:
    """Readings in the book at the same times that say something else: the file's readings take their place."""
    begin = datetime.fromtimestamp(float(read.time_s[0]), tz=queries.nursery().zone)
    end = datetime.fromtimestamp(float(read.time_s[-1]), tz=queries.nursery().zone) + timedelta(seconds=1)
    stored = load_readings(sensor, begin, end)
    _, ours, theirs = np.intersect1d(stored[:, 0], read.time_s, return_indices=True)
    given = np.column_stack([read.temperature_c, read.relative_humidity_pct])[theirs]
    other = int((~np.isclose(stored[ours, 1:], given, atol=0.05, equal_nan=True)).any(axis=1).sum())
    if not other:
        return []
    return [
        say(
            "{readings} in the book at the same time say something else; those of the file take their place.",
            readings=plural(other, "reading"),
        )
    ]
