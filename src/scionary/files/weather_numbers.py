"""The numbers of a weather file in SI units: what a heading says of the unit, what cannot be, what stands far from its neighbours."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np

from scionary.errors import BadFile
from scionary.files.logger_numbers import check_humidities, read_numbers, temperature_unit
from scionary.files.problems import ProblemList
from scionary.files.stamps import Flags, Floats, Integers
from scionary.language import say

# (pattern in a heading, unit, factor to SI); the first that fits counts
_RAIN = (
    (r"\bcm\b", "cm", 10.0),
    (r"\bin(?:ch(?:es)?)?\b|\"", "in", 25.4),
    (r"tenths? (?:of )?mm|0[.,]1 ?mm", "mm/10", 0.1),
    (r"\bmm\b", "mm", 1.0),
)
_WIND = (
    (r"km ?/ ?h|kmh|kph", "km/h", 1 / 3.6),
    (r"mph|mi(?:les)? ?/ ?h|mp/h", "mph", 0.44704),
    (r"\bkn\b|\bkts?\b|knots?|sknt", "kn", 1852 / 3600),
    (r"m ?/ ?s|\bm s", "m/s", 1.0),
)
_SOLAR = (
    (r"mj", "MJ/m²", None),
    (r"kwh", "kWh/m²", None),
    (r"wh ?/", "Wh/m²", None),
    (r"j ?/ ?cm", "J/cm²", None),
    (r"w ?/ ?m|watt|\bw m", "W/m²", None),
)
UNITS = {
    "temperature": ("C", "F", "C/10"),
    "rain": tuple(unit for _, unit, _ in _RAIN),
    "wind": tuple(unit for _, unit, _ in _WIND),
    "solar": tuple(unit for _, unit, _ in _SOLAR),
}
_JOULES = {"MJ/m²": 1e6, "kWh/m²": 3.6e6, "Wh/m²": 3600.0, "J/cm²": 1e4}
_BLANK = {"", "na", "n/a", "nan", "null", "none", "-", "--", "---", "m", ".", "missing", "fehlt"}
_TRACE = {"t", "trace", "tr", "tr."}
_CODES = (-9999.0, -9999.9, -999.9, -999.0, -99.9, -99.99, 999.9, 999.99, 9999.0, 9999.9, 99999.0)
COLDEST_C, HOTTEST_C = -90.0, 60.0  # project default, unsourced: wider than any air measured at a station
TOO_WARM_C = 35.0  # project default, unsourced: no place on earth has half of its days or hours warmer
FAR_DAY_K, FAR_HOUR_K = 15.0, 12.0  # project default, unsourced: so far from the middle of five neighbours a reading is asked about
_TOP = {"rain": (2000.0, 400.0), "wind": (60.0, 60.0), "solar": (50.0, 1500.0)}  # most in a day, in an hour; project default, unsourced


def read_column(cells: Sequence[str], lines: Integers, header: str, role: str, problems: ProblemList) -> Floats:
    """Numbers of one column as written; blanks, words and codes for a missing value become NaN."""
    traces = [at for at, cell in enumerate(cells) if role == "rain" and cell.strip().casefold() in _TRACE]
    plain = ["" if cell.strip().casefold() in _BLANK else cell for cell in cells]
    for at in traces:
        plain[at] = "0"
        problems.add(int(lines[at]), header, cells[at], say("a trace of rain: read as 0"))
    numbers = read_numbers(plain, lines, header, problems)
    for at in np.flatnonzero(np.isin(numbers, _CODES)).tolist():
        problems.add(int(lines[at]), header, cells[at], say("a code for a missing value: left blank"))
        numbers[at] = np.nan
    return numbers


def temperatures_c(
    columns: Mapping[str, Floats], headers: Mapping[str, str], unit: str | None, sample: Sequence[str], where: str
) -> tuple[str, str | None]:
    """Turn all temperatures into °C in place: the unit, and the assumption that was made when nothing said it."""
    _check_unit("temperature", unit, where)
    everything = np.concatenate(list(columns.values()))
    known = everything[np.isfinite(everything)]
    if not known.size:
        return "C", None
    if unit is None and np.median(np.abs(known)) > 130.0:
        remedy = say('Give the unit of temperature: "C/10" where 215 means 21.5 °C.')
        raise BadFile(say("half of the temperatures lie beyond {middle:.0f}.", middle=np.median(np.abs(known))), where=where, remedy=remedy)
    found, assumption = (
        ("C/10", None) if unit == "C/10" else temperature_unit(" ".join(headers.values()), sample, everything, unit, where=where)
    )
    for values in columns.values():
        values[:] = values / 10.0 if found == "C/10" else (values - 32.0) / 1.8 if found == "F" else values
    middle = float(np.median(np.concatenate([each[np.isfinite(each)] for each in columns.values()])))
    if found == "C" and unit is None and middle > TOO_WARM_C:
        remedy = say('Is it °F? Give the unit of temperature, "C" or "F".')
        raise BadFile(
            say("taken as °C, half of the temperatures lie above {middle:.0f}: warmer than any place on earth.", middle=middle),
            where=where,
            remedy=remedy,
        )
    return found, assumption


def rain_mm(values: Floats, header: str, unit: str | None, fahrenheit: bool, where: str) -> tuple[Floats, str, str | None]:
    """Rain in mm, its unit, and what was assumed."""
    return _scaled("rain", values, header, unit, _RAIN, "in" if fahrenheit else "mm", fahrenheit, where)


def wind_m_s(values: Floats, header: str, unit: str | None, fahrenheit: bool, where: str) -> tuple[Floats, str, str | None]:
    """Wind in m/s, its unit, and what was assumed."""
    return _scaled("wind", values, header, unit, _WIND, "mph" if fahrenheit else "m/s", fahrenheit, where)


def _scaled(
    role: str,
    values: Floats,
    header: str,
    unit: str | None,
    table: Sequence[tuple[str, str, float]],
    usual: str,
    fahrenheit: bool,
    where: str,
) -> tuple[Floats, str, str | None]:
    _check_unit(role, unit, where)
    found = unit or _unit_in(header, table)
    factors = {name: factor for _, name, factor in table}
    if found:
        return values * factors[found], found, None
    told = {"what": say(role), "usual": usual}
    assumption = say("no unit of {what} is named: taken as {usual}", **told)
    if fahrenheit:
        assumption = say("no unit of {what} is named: taken as {usual} because the temperatures are in °F", **told)
    return values * factors[usual], usual, assumption


def solar_energy(
    values: Floats, header: str, unit: str | None, *, step_s: Floats, daily: bool, where: str
) -> tuple[Floats, str, str | None]:
    """Solar radiation: MJ/m² in a day, or W/m² as the mean of each step; left out when no unit is named."""
    _check_unit("solar", unit, where)
    found = unit or _unit_in(header, _SOLAR)
    if found is None:
        return np.full_like(values, np.nan), "", say("no unit of solar radiation is named: left out; give it, such as W/m²")
    watts = values if found == "W/m²" else values * _JOULES[found] / (86400.0 if daily else step_s)
    return (watts * 0.0864 if daily else watts), found, None


def _unit_in(header: str, table: Sequence[tuple[str, str, object]]) -> str | None:
    shown = header.casefold().replace("_", " ")
    return next((unit for pattern, unit, _ in table if re.search(pattern, shown)), None)


def _check_unit(role: str, unit: str | None, where: str) -> None:
    if unit is not None and unit not in UNITS[role]:
        raise BadFile(
            say("there is no unit of {what} called {unit!r}.", what=say(role), unit=unit),
            where=where,
            remedy=say("Units are: {units}.", units=", ".join(UNITS[role])),
        )


def check_extremes(highest: Floats, lowest: Floats, lines: Integers, header: str, problems: ProblemList) -> None:
    """Blank both where a day's lowest lies above its highest."""
    for at in np.flatnonzero(lowest > highest):
        text = f"{lowest[at]:.1f} above {highest[at]:.1f} °C"
        problems.add(int(lines[at]), header, text, say("the lowest lies above the highest: both left blank"))
        highest[at] = lowest[at] = np.nan


def check_range(role: str, values: Floats, lines: Integers, header: str, problems: ProblemList, *, daily: bool) -> None:
    """Blank in place what no weather is, and tell each row."""
    if role.startswith("humidity"):
        check_humidities(values, lines, header, problems)
        return
    low, high = (COLDEST_C, HOTTEST_C) if role.startswith("temperature") else (0.0, _TOP[role][0 if daily else 1])
    if role == "solar":
        values[(values < 0.0) & (values > -20.0)] = 0.0  # a sensor's small offset by night
    unit = {"rain": "mm", "wind": "m/s", "solar": "MJ/m²" if daily else "W/m²"}.get(role, "°C")
    for at in np.flatnonzero((values < low) | (values > high)):
        problems.add(
            int(lines[at]),
            header,
            f"{values[at]:.1f} {unit}",
            say("outside {low:g} to {high:g} {unit}: left blank", low=low, high=high, unit=unit),
        )
        values[at] = np.nan


def tell_far(values: Floats, lines: Integers, header: str, problems: ProblemList, *, daily: bool) -> Flags:
    """Tell readings that stand far from their neighbours in time; they are kept. Rows are in order of time."""
    limit = FAR_DAY_K if daily else FAR_HOUR_K
    padded = np.pad(values, 2, constant_values=np.nan)
    around = np.stack([padded[at : at + values.size] for at in (0, 1, 3, 4)])
    enough = np.count_nonzero(~np.isnan(around), axis=0) >= 2
    middle = np.full(values.shape, np.nan)
    if enough.any():
        middle[enough] = np.nanmedian(around[:, enough], axis=0)
    far = np.abs(values - middle) > limit
    for at in np.flatnonzero(far):
        problems.add(int(lines[at]), header, f"{values[at]:.1f} °C", say("far from the readings around it: kept, look at it"))
    return far
