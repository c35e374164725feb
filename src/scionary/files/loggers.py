"""Files of temperature and humidity loggers, as they come: any separator, date form, unit, preamble, with faults told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import tzinfo
from typing import Any

import numpy as np

from scionary.errors import BadFile
from scionary.files.clocks import Instants, instants, read_zone
from scionary.files.date_orders import settle_order
from scionary.files.dialects import split_line
from scionary.files.logger_blocks import Body, Rows, body_of, head_lines, plain_text, read_rows
from scionary.files.logger_clock import own_clock, zone_named
from scionary.files.logger_columns import Layout, find_layout
from scionary.files.logger_light import check_light, light_unit
from scionary.files.logger_numbers import (
    ask_if_fahrenheit,
    blank_failed,
    check_humidities,
    check_share,
    check_temperatures,
    temperature_unit,
)
from scionary.files.problems import Problem, ProblemList
from scionary.files.stamps import Flags, Floats, Stamps, local_seconds
from scionary.language import say
from scionary.limits import LIMITS


@dataclass(frozen=True)
class Understood:
    """How a logger file was read; `assumptions` are what neither the file nor the person said, `unread` columns that were left."""

    encoding: str
    delimiter: str
    header_line: int | None
    first_line: int
    time_column: str
    temperature_column: str | None
    humidity_column: str | None
    light_column: str | None
    light_unit: str
    unit: str
    date_form: str
    time_zone: str
    assumptions: tuple[str, ...]
    unread: tuple[str, ...] = ()
    own_clock: bool = False  # whether the file itself says how far its times are from UTC
    utc_offset_s: float | None = None  # and how far, where that is the same in all of it


@dataclass(frozen=True)
class LoggerFile:
    """Readings in order of time, seconds since 1970 UTC, each instant once; NaN where a reading is missing."""

    name: str
    time_s: Floats
    temperature_c: Floats
    relative_humidity_pct: Floats
    light: Floats  # in `understood.light_unit`
    problems: tuple[Problem, ...]
    problem_counts: dict[str, int]
    rows: int
    duplicates: int  # same instant, same readings
    conflicts: int  # same instant, other readings: the first was kept
    out_of_order: int
    interval_s: float
    gaps: tuple[tuple[float, float], ...]  # from the last reading before to the first after
    understood: Understood

    def to_dict(self) -> dict[str, Any]:
        """Everything but the readings, as plain values."""
        skipped = ("time_s", "temperature_c", "relative_humidity_pct", "light")
        return {key: value for key, value in asdict(self).items() if key not in skipped} | {"readings": len(self.time_s)}


def read_logger(
    data: bytes,
    *,
    name: str,
    time_zone: str | tzinfo,
    columns: Mapping[str, str | int] | None = None,
    date_order: str | None = None,
    unit: str | None = None,
    limit_bytes: int = LIMITS["file_bytes"],
    limit_rows: int = LIMITS["logger_rows"],
) -> LoggerFile:
    """Read a logger's file.

    Parameters
    ----------
    data : bytes
        The file.
    name : str
        Its name, for messages.
    time_zone : str or tzinfo
        Zone of the logger's clock, ``Europe/Vienna`` or ``UTC+1``; an offset in the file wins.
    columns : mapping, optional
        Of "time" (or "date" and "clock"), "temperature", "humidity", "light" to a header or a column number from 1.
    date_order : {"dmy", "mdy", "ymd"}, optional
        Needed when the dates can be read in more than one order.
    unit : {"C", "F"}, optional
        Needed when nothing in the file says it and values could be °F.
    limit_bytes, limit_rows : int
        Largest file and most lines read.

    Returns
    -------
    LoggerFile
        Readings, what was left out, and how the file was understood.

    Raises
    ------
    BadFile
        With file, line and column, and what to do.
    """
    text, encoding = plain_text(data, name=name, limit_bytes=limit_bytes)
    if text.count(b"\n") > limit_rows:
        raise BadFile(
            say("it has more than {limit_rows} lines.", limit_rows=limit_rows),
            where=name,
            remedy=say("Split it, or export a shorter time."),
        )
    lines = head_lines(text)
    layout = find_layout(lines, name=name, columns=columns)
    body = body_of(text, layout)
    problems = ProblemList()
    read = read_rows(body, problems)
    where = say(
        "{name}, line {first_line}, {header}", name=name, first_line=layout.first_line, header=layout.header(layout.stamp_columns[0])
    )
    local, zone, date_form = _local_times(read, body, date_order, time_zone, where)
    when = _to_utc(local, zone, read.stamps)
    found_unit, readings_c, assumption = _units(
        read, lines, layout, unit, where=say("{name}, line {part}", name=name, part=layout.header_line or layout.first_line)
    )
    assumptions = tuple(layout.assumptions + ([assumption] if assumption else []))
    check_temperatures(readings_c, read.lines, layout.header(layout.temperature), problems)
    check_share(read.humidity, where=where)
    check_humidities(read.humidity, read.lines, layout.header(layout.humidity), problems)
    if layout.light is not None:
        read = replace(read, light=check_light(read.light, read.lines, layout.header(layout.light), problems))
    blank_failed(read.humidity, read.lines, layout.header(layout.humidity), problems)
    _tell_times(read, local, when, body, problems)
    says_clock, offset_s = own_clock(read.stamps, layout)
    understood = Understood(
        encoding=encoding,
        delimiter=layout.delimiter,
        header_line=layout.header_line,
        first_line=layout.first_line,
        time_column=" + ".join(layout.header(column) for column in layout.stamp_columns),
        temperature_column=layout.header(layout.temperature) or None,
        humidity_column=layout.header(layout.humidity) or None,
        light_column=layout.header(layout.light) or None,
        light_unit=light_unit(layout.header(layout.light)),
        unit=found_unit,
        date_form=date_form,
        time_zone=say("as written in each row") if np.isfinite(read.stamps.offset_s).any() else str(zone),
        assumptions=assumptions,
        unread=layout.unread,
        own_clock=says_clock,
        utc_offset_s=offset_s,
    )
    return _in_order(name, read, readings_c, when.time_s, body, problems, understood)


def _local_times(read: Rows, body: Body, date_order: str | None, time_zone: str | tzinfo, where: str) -> tuple[Floats, tzinfo, str]:
    """Clock times as written, the zone that they are in, and the date form in words."""
    stamps, layout = read.stamps, body.layout
    if not (stamps.kind > 0).any():
        raise BadFile(
            say("no date could be read, such as {when!r}.", when=body.written(int(read.starts[0])))
            if len(read.starts)
            else say("no readings."),
            where=where,
            remedy=say("Name the column."),
        )
    example = body.written(int(read.starts[np.argmax(stamps.kind > 0)]))
    order, why = settle_order(stamps, date_order, where=where, example=example)
    return local_seconds(stamps, order), zone_named(layout) or read_zone(time_zone), why


def _to_utc(local: Floats, zone: tzinfo, stamps: Stamps) -> Instants:
    """UTC; where a row has its own offset that one counts."""
    written = np.isfinite(stamps.offset_s)
    if not written.any():
        return instants(local, zone)
    clock = instants(np.where(written, np.nan, local), zone)
    time_s = np.where(written, local - stamps.offset_s, clock.time_s)
    return Instants(time_s, clock.missing, clock.repeated, clock.unsure)


def _units(read: Rows, lines: Sequence[str], layout: Layout, unit: str | None, *, where: str) -> tuple[str, Floats, str | None]:
    """Find the unit and turn °F into °C."""
    if layout.temperature is None:
        return "C", read.temperature, None
    rows = [split_line(line, layout.delimiter) for line in lines[layout.first_line - 1 : layout.first_line + 19]]
    sample = [row[layout.temperature] for row in rows if len(row) > layout.temperature]
    found, assumption = temperature_unit(layout.header(layout.temperature), sample, read.temperature, unit, where=where)
    if found == "C" and unit is None:
        ask_if_fahrenheit(read.temperature, named=assumption is None, where=where)
    return found, (read.temperature - 32.0) / 1.8 if found == "F" else read.temperature, assumption


def _tell_times(read: Rows, local: Floats, when: Instants, body: Body, problems: ProblemList) -> None:
    layout = body.layout
    column = " + ".join(layout.header(column) for column in layout.stamp_columns)
    told = (
        (np.isnan(local), say("no date or time that exists: left out")),
        (
            when.missing,
            say("the clock jumped over this time: left out (a logger whose clock never changes needs a fixed zone such as UTC+1)"),
        ),
        (when.unsure, say("the clock showed this time twice and the file does not say which: taken as the first")),
        (when.repeated & ~when.unsure, say("the clock showed this time twice: told apart by the order of the rows")),
    )
    for rows, what in told:
        for row in np.flatnonzero(rows):
            problems.add(int(read.lines[row]), column, body.written(int(read.starts[row])), what)


def _in_order(
    name: str, read: Rows, readings_c: Floats, time_s: Floats, body: Body, problems: ProblemList, understood: Understood
) -> LoggerFile:
    """Sort by time, drop repeated instants, find interval and gaps."""
    kept = np.flatnonzero(np.isfinite(time_s))
    if not len(kept):
        raise BadFile(
            say("no line has a date that exists."),
            where=say("{name}, line {first_line}", name=name, first_line=body.layout.first_line),
            remedy=say("Look at the dates in the file."),
        )
    steps = np.diff(time_s[kept])
    backwards = int(min((steps > 0).sum(), (steps < 0).sum()))
    if not (steps > 0).all():
        kept = kept[np.argsort(time_s[kept], kind="stable")]
    readings = np.column_stack([readings_c, read.humidity])[kept]
    again, same = _repeated(time_s[kept], readings)
    for row in kept[again & ~same]:
        what = say("another reading for the same time: the first was kept")
        problems.add(int(read.lines[row]), understood.time_column, body.written(int(read.starts[row])), what)
    once, readings = time_s[kept][~again], readings[~again]
    interval, gaps = _gaps(once)
    return LoggerFile(
        name=name,
        time_s=once,
        temperature_c=readings[:, 0],
        relative_humidity_pct=readings[:, 1],
        light=read.light[kept][~again],
        problems=tuple(sorted(problems.kept, key=lambda problem: problem.line)),
        problem_counts=dict(problems.counts),
        rows=len(read.lines),
        duplicates=int((again & same).sum()),
        conflicts=int((again & ~same).sum()),
        out_of_order=backwards,
        interval_s=interval,
        gaps=gaps,
        understood=understood,
    )


def _repeated(time_s: Floats, readings: Floats) -> tuple[Flags, Flags]:
    """Which rows have the time of one before, and which of those say the same as the first of that time."""
    again = np.concatenate([[False], np.diff(time_s) == 0])
    same = np.zeros(len(again), bool)
    rows = np.flatnonzero(again)
    first = np.maximum.accumulate(np.where(again, 0, np.arange(len(again))))[rows] if len(rows) else rows
    same[rows] = ((readings[rows] == readings[first]) | (np.isnan(readings[rows]) & np.isnan(readings[first]))).all(axis=1)
    return again, same


def _gaps(time_s: Floats) -> tuple[float, tuple[tuple[float, float], ...]]:
    """The usual step, and each place where two steps or more are missing between readings."""
    steps = np.diff(time_s)
    if not len(steps):
        return float("nan"), ()
    interval = float(np.median(steps))
    at = np.flatnonzero(steps > 1.5 * interval)
    return interval, tuple((float(time_s[i]), float(time_s[i + 1])) for i in at)
