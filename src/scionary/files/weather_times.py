"""When the rows of a weather file were: days as written, or instants over the changes of the clock; the calendar's gaps."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
import numpy.typing as npt

from scionary.errors import BadFile
from scionary.files.clocks import instants, read_zone
from scionary.files.date_orders import settle_order
from scionary.files.problems import ProblemList
from scionary.files.stamps import Floats, Integers, Stamps, local_seconds, read_stamps
from scionary.files.tables import CellValue, Table, TableRow, cell_text
from scionary.files.weather_columns import WeatherColumns
from scionary.language import say

Dates = npt.NDArray[np.datetime64]
Gaps = tuple[tuple[str, str], ...]
DAY_S = 86400.0
SHORTEST_DAY_S, LONGEST_HOUR_S = 0.8 * DAY_S, 5400.0  # project default, unsourced: what is still taken as days, and as hours
LONGEST_STEP_S = 11_700.0  # three hours and a little: two and three hours are spread to hours
_RUN = 4  # so many rows as far apart as each other are a step of their own, fewer a gap; project default, unsourced


@dataclass(frozen=True)
class RowTimes:
    """When each row was: local midnights of days, or UTC seconds of instants; NaN where it does not exist."""

    when: Floats
    texts: list[str]
    date_form: str
    time_zone: str


def read_times(
    table: Table, rows: Sequence[TableRow], found: WeatherColumns, time_zone: str | tzinfo, date_order: str | None, problems: ProblemList
) -> RowTimes:
    """Read the time of each row."""
    places = {role: table.headers.index(header) for role, header in found.times.items()}

    texts = [_stamp({role: row.cells[at] for role, at in places.items()}) for row in rows]
    stamps = read_stamps(texts)
    where = say("{name}, line {line}", name=table.name, line=table.header_row + 1)
    if not (stamps.kind > 0).any():
        raise BadFile(
            say("no date could be read, such as {example!r}.", example=texts[0]) if texts else say("no rows."),
            where=where,
            remedy=say("Name the column of dates."),
        )
    example = next(text for text, kind in zip(texts, stamps.kind, strict=True) if kind)
    order, words = settle_order(stamps, date_order, where=where, example=example)
    local = local_seconds(stamps, order)
    column = " + ".join(found.times[role] for role in ("date", "year", "month", "day", "clock", "hour") if role in found.times)
    for at in np.flatnonzero(np.isnan(local)).tolist():
        problems.add(rows[at].number, column, texts[at], say("no date that exists: left out"))
    if usual_step(np.sort(local[np.isfinite(local)])) > SHORTEST_DAY_S:
        return RowTimes(np.floor(local / DAY_S) * DAY_S, texts, words, say("days as written"))
    when, zone = _to_utc(local, stamps, rows, texts, column, read_zone(time_zone), problems)
    return RowTimes(when, texts, words, zone)


def _to_utc(
    local: Floats, stamps: Stamps, rows: Sequence[TableRow], texts: Sequence[str], column: str, zone: tzinfo, problems: ProblemList
) -> tuple[Floats, str]:
    """UTC over the changes of the clock; where a row has its own offset that one counts."""
    written = np.isfinite(stamps.offset_s)
    clock = instants(np.where(written, np.nan, local), zone)
    told = (
        (clock.missing, say("the clock jumped over this time: left out (a clock that never changes needs a fixed zone such as UTC+1)")),
        (clock.unsure, say("the clock showed this time twice and the file does not say which: taken as the first")),
    )
    for which, what in told:
        for at in np.flatnonzero(which).tolist():
            problems.add(rows[at].number, column, texts[at], what)
    return np.where(written, local - stamps.offset_s, clock.time_s), say("as written in each row") if written.any() else str(zone)


def _stamp(parts: Mapping[str, CellValue]) -> str:
    """One text for the time of a row."""
    if {"year", "month", "day"} <= parts.keys() and "date" not in parts:
        year, month, day = (cell_text(parts[role]).rjust(2, "0") for role in ("year", "month", "day"))
        text = f"{year}-{month}-{day}"
    else:
        value = parts.get("date", "")
        text = value.isoformat(sep=" ") if isinstance(value, dt.datetime) else cell_text(value)
        if len(text) == 10 and text.isdigit():
            return f"{text[:4]}-{text[4:6]}-{text[6:8]} {text[8:]}:00"
    if ":" in text:
        return text
    if cell_text(parts.get("clock")):
        return f"{text} {cell_text(parts['clock'])}"
    hour = cell_text(parts.get("hour"))
    return f"{text} {hour.rjust(2, '0')}:00" if hour.isdigit() and "date" not in parts else text


def usual_step(ordered: Floats) -> float:
    """The usual time between rows in order [s]; a day when there is but one."""
    steps = np.diff(ordered)
    steps = steps[steps > 0]
    return float(np.median(steps)) if steps.size else DAY_S


def row_steps(when: Floats, step_s: float) -> Floats:
    """The time that each row in order stands for [s]: the usual one, or that of a run of rows two or three hours apart."""
    apart = np.diff(when, prepend=when[:1] - step_s)
    begins = np.flatnonzero(np.diff(apart, prepend=np.nan) != 0.0)
    lengths = np.diff(np.append(begins, apart.size))
    own = (np.repeat(lengths, lengths) >= _RUN) & (apart > 0.0) & ((apart < step_s) | (apart > LONGEST_HOUR_S)) & (apart <= LONGEST_STEP_S)
    return np.where(own, apart, step_s)


def check_step(step_s: float, *, where: str) -> None:
    """Refuse rows that stand for several hours: neither an hour's air nor a day's extremes are in them."""
    if LONGEST_STEP_S < step_s <= SHORTEST_DAY_S:
        raise BadFile(
            say(
                "its rows usually stand {hours:g} hours apart; weather is read by one, two or three hours, or by the day.",
                hours=round(step_s / 3600.0, 1),
            ),
            where=where,
            remedy=say("Export it by the hour, or by the day with the highest and lowest temperature."),
        )


def calendar_days(when: Floats) -> tuple[Dates, Floats, Integers, Gaps]:
    """Every day from the first to the last, where the rows go, and the stretches of days without one."""
    days = np.floor(when / DAY_S).astype(np.int64)
    slot = days - days[0]
    dates = np.datetime64("1970-01-01", "D") + days[0] + np.arange(slot[-1] + 1)
    at = np.flatnonzero(np.diff(slot) > 1)
    gaps = tuple((str(dates[slot[i] + 1]), str(dates[slot[i + 1] - 1])) for i in at)
    return dates, np.full(dates.size, np.nan), slot, gaps


def clocked(when: Floats, step_s: float, zone: tzinfo) -> tuple[Dates, Floats, Integers, Gaps]:
    """The local day of each reading, and the gaps between readings."""
    offsets = {day: _offset_s(day, zone) for day in np.unique(np.floor(when / 3600.0))}
    local = when + np.array([offsets[hour] for hour in np.floor(when / 3600.0)])
    at = np.flatnonzero(np.diff(when) > 1.5 * row_steps(when, step_s)[1:])
    gaps = tuple((_shown(local[i]), _shown(local[i + 1])) for i in at)
    return local.astype("datetime64[s]").astype("datetime64[D]"), when, np.arange(when.size), gaps


def _offset_s(hour: float, zone: tzinfo) -> float:
    offset = dt.datetime.fromtimestamp(hour * 3600.0, zone).utcoffset()
    return offset.total_seconds() if offset is not None else 0.0


def _shown(local_s: float) -> str:
    return str(np.datetime64(int(local_s), "s"))[:16].replace("T", " ")
