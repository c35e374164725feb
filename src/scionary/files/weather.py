"""Weather files, daily and hourly, as they come: headings by meaning, any unit, local clocks, gaps kept, faults told by row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any, Literal

import numpy as np

from scionary.errors import BadFile
from scionary.files.clocks import read_zone
from scionary.files.problems import Problem, ProblemList
from scionary.files.spreadsheets import read_table
from scionary.files.stamps import Floats, Integers
from scionary.files.tables import Table, TableRow, cell_text
from scionary.files.weather_columns import QUANTITIES, WeatherColumns, find_columns
from scionary.files.weather_numbers import (
    check_extremes,
    check_range,
    rain_mm,
    read_column,
    solar_energy,
    tell_far,
    temperatures_c,
    wind_m_s,
)
from scionary.files.weather_times import DAY_S, SHORTEST_DAY_S, Dates, calendar_days, check_step, clocked, read_times, row_steps, usual_step
from scionary.language import say
from scionary.limits import LIMITS

_NAMES = {
    "temperature_max": "temperature_max_c",
    "temperature_min": "temperature_min_c",
    "temperature": "temperature_c",
    "humidity_max": "humidity_max_pct",
    "humidity_min": "humidity_min_pct",
    "humidity": "relative_humidity_pct",
    "rain": "rain_mm",
    "wind": "wind_m_s",
    "solar": "solar",
}


@dataclass(frozen=True)
class WeatherUnderstood:
    """How a weather file was read; `assumptions` are what neither the file nor the person said, `unread` columns that were left."""

    columns: Mapping[str, str]
    units: Mapping[str, str]
    date_form: str
    time_zone: str
    header_line: int
    assumptions: tuple[str, ...]
    unread: tuple[str, ...] = ()
    stands_for: str = ""  # of rows by the hour: "end", "begin", "moment" or "mixed", as in `answers.weather_stamps`


@dataclass(frozen=True, eq=False)
class WeatherFile:
    """Weather in order of time, each day or instant once; NaN where a reading, or the whole column, is missing.

    For days every calendar day from the first to the last has a row. `solar` is MJ/m² in a day, or W/m² by the hour.
    """

    name: str
    step: Literal["day", "hour"]
    dates: Dates  # the day of each row, on the local clock
    time_s: Floats  # seconds since 1970 UTC; for days NaN
    step_s: Floats  # the time that each row stands for; of days a day
    temperature_max_c: Floats
    temperature_min_c: Floats
    temperature_c: Floats
    humidity_max_pct: Floats
    humidity_min_pct: Floats
    relative_humidity_pct: Floats
    rain_mm: Floats
    wind_m_s: Floats
    solar: Floats
    problems: tuple[Problem, ...]
    problem_counts: Mapping[str, int]
    rows: int
    duplicates: int  # same time, same readings
    conflicts: int  # same time, other readings: the first was kept
    gaps: tuple[tuple[str, str], ...]  # first and last day without a row; by the hour, the last reading before and the first after
    missing: Mapping[str, int]  # days or readings without a value, of each column that the file has
    understood: WeatherUnderstood

    def words(self) -> str:
        """What the file holds, in a sentence or two."""
        told = {"first": self.dates[0], "last": self.dates[-1], "count": len(self.dates)}
        daily = self.step == "day"
        said = say("{first} to {last}: {count:,} days.", **told) if daily else say("{first} to {last}: {count:,} readings.", **told)
        if not self.gaps:
            return say("{said} No gap.", said=said)
        longest = sorted(self.gaps, key=lambda gap: np.datetime64(gap[0]) - np.datetime64(gap[1]))[:3]
        stretches = "; ".join(say("{first} to {last}", first=first, last=last) for first, last in longest)
        return say("{said} Gaps: {count}; the longest: {stretches}.", said=said, count=len(self.gaps), stretches=stretches)

    def to_dict(self) -> dict[str, Any]:
        """Everything but the readings, as plain values."""
        return {
            "name": self.name,
            "step": self.step,
            "rows": self.rows,
            "first": str(self.dates[0]),
            "last": str(self.dates[-1]),
            "count": len(self.dates),
            "duplicates": self.duplicates,
            "conflicts": self.conflicts,
            "gaps": [list(gap) for gap in self.gaps],
            "missing": dict(self.missing),
            "problems": [vars(problem) for problem in self.problems],
            "problem_counts": dict(self.problem_counts),
            "understood": vars(self.understood) | {"columns": dict(self.understood.columns), "units": dict(self.understood.units)},
        }


def read_weather(
    data: bytes,
    *,
    name: str,
    time_zone: str | tzinfo,
    columns: Mapping[str, str | int] | None = None,
    units: Mapping[str, str] | None = None,
    date_order: str | None = None,
    station: str | None = None,
    sheet: str | None = None,
) -> WeatherFile:
    """Read a weather file, text or spreadsheet.

    Parameters
    ----------
    data : bytes
        The file.
    name : str
        Its name, for messages.
    time_zone : str or tzinfo
        Zone of its clock, ``Europe/Vienna`` or ``UTC+1``; an offset in a row wins. Days are taken as they are written.
    columns : mapping, optional
        Of a quantity (``temperature_max``, ``rain``, ...) or a part of the time (``date``, ``clock``, ...) to a heading or number from 1.
    units : mapping, optional
        Of ``temperature``, ``rain``, ``wind``, ``solar`` to their unit; wins over the headings.
    date_order : {"dmy", "mdy", "ymd"}, optional
        Needed when the dates can be read in more than one order.
    station : str, optional
        Which one, where the file holds several.
    sheet : str, optional
        Which sheet of a spreadsheet.

    Returns
    -------
    WeatherFile
        Readings, what was left out, and how the file was understood.

    Raises
    ------
    BadFile
        With file, line and column, and what to do.
    """
    most = LIMITS["logger_rows"]
    table = read_table(data, name=name, sheet=sheet, limit_rows=most, limit_cells=10 * most)
    table, found = find_columns(table, columns)
    rows = _of_station(table, found, station)
    problems = ProblemList()
    times = read_times(table, rows, found, time_zone, date_order, problems)
    kept = np.flatnonzero(np.isfinite(times.when))
    kept = kept[np.argsort(times.when[kept], kind="stable")]
    if not kept.size:
        raise BadFile(
            say("no row has a date that exists."),
            where=say("{name}, line {line}", name=name, line=table.header_row + 1),
            remedy=say("Look at the dates in the file."),
        )
    when, rows, texts = times.when[kept], [rows[at] for at in kept], [times.texts[at] for at in kept]
    step_s = usual_step(when)
    check_step(step_s, where=name)
    daily = step_s > SHORTEST_DAY_S
    steps = np.full(when.size, step_s) if daily else row_steps(when, step_s)
    values, used_units, assumed = _values(table, rows, found, dict(units or {}), problems, steps, daily=daily)
    said = found.assumptions + assumed
    understood = WeatherUnderstood(
        {**found.times, **found.quantities}, used_units, times.date_form, times.time_zone, table.header_row, said, found.unread
    )
    lines = np.array([row.number for row in rows])
    once, duplicates, conflicts = _once(when, values, lines, texts, problems)
    when, values, lines = when[once], {role: each[once] for role, each in values.items()}, lines[once]
    for role in ("temperature_max", "temperature_min", "temperature"):
        if role in found.quantities:
            tell_far(values[role], lines, found.quantities[role], problems, daily=daily)
    counts = (len(table.rows), duplicates, conflicts)
    return _file(name, when, values, found, problems, counts, understood, step_s, read_zone(time_zone), daily=daily)


def _of_station(table: Table, found: WeatherColumns, station: str | None) -> list[TableRow]:
    """The rows of one station; refuse when there are several and none is chosen."""
    if "station" not in found.times:
        return list(table.rows)
    at = table.headers.index(found.times["station"])
    names = list(dict.fromkeys(cell_text(row.cells[at]) for row in table.rows))
    filled = [name for name in names if name]
    if station is None and len(filled) > 1:
        shown = ", ".join(filled[:10])
        raise BadFile(
            say("it holds {count} stations.", count=len(filled)),
            where=f"{table.name}, {table.headers[at]}",
            remedy=say("Choose one of: {shown}.", shown=shown),
        )
    if station is not None and station not in names:
        raise BadFile(
            say("there is no station {station!r}.", station=station),
            where=table.name,
            remedy=say("Stations are: {stations}.", stations=", ".join(filled[:10])),
        )
    return [row for row in table.rows if station is None or cell_text(row.cells[at]) == station]


def _values(
    table: Table,
    rows: Sequence[TableRow],
    found: WeatherColumns,
    units: dict[str, str],
    problems: ProblemList,
    step_s: Floats,
    *,
    daily: bool,
) -> tuple[dict[str, Floats], dict[str, str], tuple[str, ...]]:
    """Every column in SI units, the unit that each was written in, and what was assumed."""
    lines: Integers = np.array([row.number for row in rows])
    headers = found.quantities
    where = say("{name}, line {line}", name=table.name, line=table.header_row)
    texts = {role: [cell_text(row.cells[table.headers.index(header)]) for row in rows] for role, header in headers.items()}
    values = {role: read_column(texts[role], lines, headers[role], role, problems) for role in headers}
    used, assumed = dict[str, str](), list[str | None]()
    warm = {role: values[role] for role in headers if role.startswith("temperature")}
    if warm:
        sample = [text for role in warm for text in texts[role][:20]]
        used["temperature"], said = temperatures_c(warm, {role: headers[role] for role in warm}, units.get("temperature"), sample, where)
        assumed.append(said)
    fahrenheit = used.get("temperature") == "F"
    for role, scale in (("rain", rain_mm), ("wind", wind_m_s)):
        if role in values:
            values[role], used[role], said = scale(values[role], headers[role], units.get(role), fahrenheit, where)
            assumed.append(said)
    if "solar" in values:
        solar = solar_energy(values["solar"], headers["solar"], units.get("solar"), step_s=step_s, daily=daily, where=where)
        values["solar"], used["solar"], said = solar
        assumed.append(said)
    for role in values:
        check_range(role, values[role], lines, headers[role], problems, daily=daily)
    if {"temperature_max", "temperature_min"} <= values.keys():
        check_extremes(values["temperature_max"], values["temperature_min"], lines, headers["temperature_min"], problems)
    return values, used, tuple(said for said in assumed if said)


def _once(
    when: Floats, values: Mapping[str, Floats], lines: Integers, texts: Sequence[str], problems: ProblemList
) -> tuple[Integers, int, int]:
    """Rows to keep: each time once, the first of equals; how many said the same again, and how many said otherwise."""
    again = np.concatenate([[False], np.diff(when) == 0])
    before = np.maximum.accumulate(np.where(again, 0, np.arange(when.size)))
    table = np.column_stack(list(values.values()))
    same = ((table == table[before]) | (np.isnan(table) & np.isnan(table[before]))).all(axis=1)
    for at in np.flatnonzero(again & ~same).tolist():
        problems.add(int(lines[at]), "", texts[at], say("another row for the same time: the first was kept"))
    return np.flatnonzero(~again), int((again & same).sum()), int((again & ~same).sum())


def _file(
    name: str,
    when: Floats,
    values: Mapping[str, Floats],
    found: WeatherColumns,
    problems: ProblemList,
    counts: tuple[int, int, int],
    understood: WeatherUnderstood,
    step_s: float,
    zone: tzinfo,
    *,
    daily: bool,
) -> WeatherFile:
    dates, time_s, slot, gaps = calendar_days(when) if daily else clocked(when, step_s, zone)
    filled = {}
    for role in QUANTITIES:
        column = np.full(dates.size, np.nan)
        if role in values:
            column[slot] = values[role]
        filled[_NAMES[role]] = column
    return WeatherFile(
        name=name,
        step="day" if daily else "hour",
        dates=dates,
        time_s=time_s,
        step_s=np.full(dates.size, DAY_S) if daily else row_steps(time_s, step_s),
        **filled,
        problems=tuple(sorted(problems.kept, key=lambda problem: problem.line)),
        problem_counts=dict(problems.counts),
        rows=counts[0],
        duplicates=counts[1],
        conflicts=counts[2],
        gaps=gaps,
        missing={role: int(np.isnan(filled[_NAMES[role]]).sum()) for role in found.quantities},
        understood=understood,
    )
