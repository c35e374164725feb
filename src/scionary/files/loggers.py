"""Files of temperature and humidity loggers, as they come: any separator, date form, unit, preamble, with faults told."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import timedelta, timezone, tzinfo
from typing import Any

import numpy as np

from scionary.errors import BadFile
from scionary.files.clocks import Instants, instants, read_zone
from scionary.files.date_orders import settle_order
from scionary.files.decoding import decode_text
from scionary.files.dialects import split_line
from scionary.files.logger_columns import Layout, find_layout
from scionary.files.logger_numbers import check_humidities, check_temperatures, read_numbers, temperature_unit
from scionary.files.problems import Problem, ProblemList
from scionary.files.stamps import Floats, Integers, Stamps, local_seconds, read_stamps
from scionary.language import say
from scionary.limits import LIMITS

_CHUNK = 50_000
_HEADER_OFFSET = re.compile(r"\b(?:GMT|UTC)\s*(?:([+-])\s*(\d{1,2})(?::?(\d\d))?)?", re.IGNORECASE)


@dataclass(frozen=True)
class Understood:
    """How a logger file was read; `assumptions` are what neither the file nor the person said."""

    encoding: str
    delimiter: str
    header_line: int | None
    first_line: int
    time_column: str
    temperature_column: str | None
    humidity_column: str | None
    unit: str
    date_form: str
    time_zone: str
    assumptions: tuple[str, ...]


@dataclass(frozen=True)
class LoggerFile:
    """Readings in order of time, seconds since 1970 UTC, each instant once; NaN where a reading is missing."""

    name: str
    time_s: Floats
    temperature_c: Floats
    relative_humidity_pct: Floats
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
        skipped = ("time_s", "temperature_c", "relative_humidity_pct")
        return {key: value for key, value in asdict(self).items() if key not in skipped} | {"readings": len(self.time_s)}


@dataclass
class _Columns:
    lines: Integers
    when: list[str]
    temperature: Floats
    humidity: Floats


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
        Of "time" (or "date" and "clock"), "temperature", "humidity" to a header or a column number from 1.
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
    text, encoding = decode_text(data, name=name, limit_bytes=limit_bytes)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > limit_rows + 1:
        raise BadFile(
            say("it has more than {limit_rows} lines.", limit_rows=limit_rows),
            where=name,
            remedy=say("Split it, or export a shorter time."),
        )
    layout = find_layout(lines, name=name, columns=columns)
    problems = ProblemList()
    read = _read_columns(lines, layout, problems)
    where = say(
        "{name}, line {first_line}, {header}", name=name, first_line=layout.first_line, header=layout.header(layout.stamp_columns[0])
    )
    local, zone, date_form, stamps = _local_times(read.when, layout, date_order, time_zone, where)
    when = _to_utc(local, zone, stamps)
    found_unit, assumption = _units(
        read, lines, layout, unit, where=say("{name}, line {part}", name=name, part=layout.header_line or layout.first_line)
    )
    assumptions = tuple(layout.assumptions + ([assumption] if assumption else []))
    check_temperatures(read.temperature, read.lines, layout.header(layout.temperature), problems)
    check_humidities(read.humidity, read.lines, layout.header(layout.humidity), problems)
    _tell_times(read, local, when, layout, problems)
    understood = Understood(
        encoding=encoding,
        delimiter=layout.delimiter,
        header_line=layout.header_line,
        first_line=layout.first_line,
        time_column=" + ".join(layout.header(column) for column in layout.stamp_columns),
        temperature_column=layout.header(layout.temperature) or None,
        humidity_column=layout.header(layout.humidity) or None,
        unit=found_unit,
        date_form=date_form,
        time_zone=say("as written in each row") if np.isfinite(stamps.offset_s).any() else str(zone),
        assumptions=assumptions,
    )
    return _in_order(name, read, when.time_s, layout, problems, understood)


def _read_columns(lines: Sequence[str], layout: Layout, problems: ProblemList) -> _Columns:
    """Cut the wanted columns out of the lines, a chunk at a time."""
    last = len(lines) - 1
    while last > 0 and not lines[last].strip():
        last -= 1
    starts = range(layout.first_line - 1, last + 1, _CHUNK)
    parts = [_read_chunk(lines, start, min(start + _CHUNK, last + 1), layout, problems) for start in starts]
    return _Columns(
        np.concatenate([part.lines for part in parts]),
        [text for part in parts for text in part.when],
        np.concatenate([part.temperature for part in parts]),
        np.concatenate([part.humidity for part in parts]),
    )


def _read_chunk(lines: Sequence[str], start: int, end: int, layout: Layout, problems: ProblemList) -> _Columns:
    rows = [split_line(line, layout.delimiter) for line in lines[start:end]]
    wanted = [column for column in (layout.temperature, layout.humidity) if column is not None]
    need = max(*layout.stamp_columns, *wanted) + 1
    numbers = np.arange(start + 1, end + 1)
    short = [at for at, row in enumerate(rows) if len(row) < need]
    if short:
        for at in short:
            if lines[start + at].strip():
                cut = start + at + 1 == len(lines) and start > 0
                what = say("the last line is cut off: left out") if cut else say("too few columns: left out")
                problems.add(start + at + 1, "", lines[start + at], what)
        keep = np.setdiff1d(np.arange(len(rows)), short)
        rows, numbers = [rows[at] for at in keep], numbers[keep]
    stamps = layout.stamp_columns
    when = [row[stamps[0]] for row in rows] if len(stamps) == 1 else [f"{row[stamps[0]]} {row[stamps[1]]}" for row in rows]
    readings = [_column(rows, numbers, column, layout, problems) for column in (layout.temperature, layout.humidity)]
    return _Columns(numbers, when, *readings)


def _column(rows: Sequence[Sequence[str]], numbers: Integers, column: int | None, layout: Layout, problems: ProblemList) -> Floats:
    if column is None:
        return np.full(len(rows), np.nan)
    return read_numbers([row[column] for row in rows], numbers, layout.header(column), problems)


def _local_times(
    when: list[str], layout: Layout, date_order: str | None, time_zone: str | tzinfo, where: str
) -> tuple[Floats, tzinfo, str, Stamps]:
    """Clock times as written, the zone that they are in, and the date form in words."""
    stamps = read_stamps(when)
    if not (stamps.kind > 0).any():
        raise BadFile(
            say("no date could be read, such as {when!r}.", when=when[0]) if when else say("no readings."),
            where=where,
            remedy=say("Name the column."),
        )
    example = next(text for text, kind in zip(when, stamps.kind, strict=True) if kind)
    order, why = settle_order(stamps, date_order, where=where, example=example)
    header = " ".join(layout.header(column) for column in layout.stamp_columns)
    return local_seconds(stamps, order), _zone_in(header) or read_zone(time_zone), why, stamps


def _zone_in(header: str) -> tzinfo | None:
    """An offset from UTC named in the header of the times."""
    found = _HEADER_OFFSET.search(header)
    if not found:
        return None
    offset = timedelta(hours=int(found[2] or 0), minutes=int(found[3] or 0))
    return timezone(-offset if found[1] == "-" else offset) if offset < timedelta(hours=15) else None


def _to_utc(local: Floats, zone: tzinfo, stamps: Stamps) -> Instants:
    """UTC; where a row has its own offset that one counts."""
    written = np.isfinite(stamps.offset_s)
    if not written.any():
        return instants(local, zone)
    clock = instants(np.where(written, np.nan, local), zone)
    time_s = np.where(written, local - stamps.offset_s, clock.time_s)
    return Instants(time_s, clock.missing, clock.repeated, clock.unsure)


def _units(read: _Columns, lines: Sequence[str], layout: Layout, unit: str | None, *, where: str) -> tuple[str, str | None]:
    """Find the unit and turn °F into °C."""
    if layout.temperature is None:
        return "C", None
    rows = [split_line(line, layout.delimiter) for line in lines[layout.first_line - 1 : layout.first_line + 19]]
    sample = [row[layout.temperature] for row in rows if len(row) > layout.temperature]
    found, assumption = temperature_unit(layout.header(layout.temperature), sample, read.temperature, unit, where=where)
    if found == "F":
        read.temperature = (read.temperature - 32.0) / 1.8
    return found, assumption


def _tell_times(read: _Columns, local: Floats, when: Instants, layout: Layout, problems: ProblemList) -> None:
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
            problems.add(int(read.lines[row]), column, read.when[row], what)


def _in_order(name: str, read: _Columns, time_s: Floats, layout: Layout, problems: ProblemList, understood: Understood) -> LoggerFile:
    """Sort by time, drop repeated instants, find interval and gaps."""
    kept = np.flatnonzero(np.isfinite(time_s))
    if not len(kept):
        raise BadFile(
            say("no line has a date that exists."),
            where=say("{name}, line {first_line}", name=name, first_line=layout.first_line),
            remedy=say("Look at the dates in the file."),
        )
    steps = np.diff(time_s[kept])
    backwards = int(min((steps > 0).sum(), (steps < 0).sum()))
    kept = kept[np.argsort(time_s[kept], kind="stable")]
    again = np.concatenate([[False], np.diff(time_s[kept]) == 0])
    readings = np.column_stack([read.temperature, read.humidity])[kept]
    before = np.maximum.accumulate(np.where(again, 0, np.arange(len(kept))))
    same = ((readings == readings[before]) | (np.isnan(readings) & np.isnan(readings[before]))).all(axis=1)
    for row in kept[again & ~same]:
        problems.add(
            int(read.lines[row]), understood.time_column, read.when[row], say("another reading for the same time: the first was kept")
        )
    once, readings = time_s[kept][~again], readings[~again]
    interval, gaps = _gaps(once)
    return LoggerFile(
        name=name,
        time_s=once,
        temperature_c=readings[:, 0],
        relative_humidity_pct=readings[:, 1],
        problems=tuple(sorted(problems.kept, key=lambda problem: problem.line)),
        problem_counts=dict(problems.counts),
        rows=len(read.when),
        duplicates=int((again & same).sum()),
        conflicts=int((again & ~same).sum()),
        out_of_order=backwards,
        interval_s=interval,
        gaps=gaps,
        understood=understood,
    )


def _gaps(time_s: Floats) -> tuple[float, tuple[tuple[float, float], ...]]:
    """The usual step, and each place where two steps or more are missing between readings."""
    steps = np.diff(time_s)
    if not len(steps):
        return float("nan"), ()
    interval = float(np.median(steps))
    at = np.flatnonzero(steps > 1.5 * interval)
    return interval, tuple((float(time_s[i]), float(time_s[i + 1])) for i in at)
