"""The readings of a logger file as numbers: units, decimal commas, error words, what no sensor can measure."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from scionary.errors import BadFile
from scionary.files.problems import ProblemList
from scionary.files.stamps import Floats, Integers
from scionary.language import say

COLDEST_C, HOTTEST_C = -60.0, 85.0  # project default, unsourced: beyond what ordinary sensors measure
WETTEST_PCT = 105.0  # project default, unsourced: sensors in wet air read a little above 100
_NO_DOME_STAYS_ABOVE_C = 32.0  # project default, unsourced: nights of a whole log above it are °F, in which frost begins at 32
_FEWEST = 24  # project default, unsourced: so many readings make a log of which that can be said against its own header
_TAIL = re.compile(r"\s*(?:%\s*(?:rh)?|°\s*[CFcf]?|º\s*[CFcf]?|[CFcf])\s*$", re.IGNORECASE)
_PLAIN = re.compile(r"^[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[-+]?\d{1,3})?$", re.IGNORECASE)
_FAHRENHEIT = re.compile(r"°\s*f|º\s*f|fahrenheit|deg\.?\s?f|\(\s*f\s*\)|\bf$|[\[_]f\]?$", re.IGNORECASE)
_CELSIUS = re.compile(r"°\s*c|º\s*c|celsius|deg\.?\s?c|\(\s*c\s*\)|\bc$|[\[_]c\]?$", re.IGNORECASE)


def read_numbers(cells: Sequence[str], lines: Integers, column: str, problems: ProblemList) -> Floats:
    """Numbers of one column; NaN for blanks and for words, of which the words are told."""
    try:
        numbers = np.array(cells, dtype=np.float64)
    except ValueError:
        return np.array([read_number(cell, int(line), column, problems) for line, cell in zip(lines, cells, strict=True)])
    return np.where(np.isfinite(numbers), numbers, np.nan)


def read_number(cell: str, line: int, column: str, problems: ProblemList) -> float:
    """The number in one cell, with unit or decimal comma; NaN for a blank and for words, which are told."""
    text = cell.strip()
    if not text:
        return np.nan
    if not _PLAIN.match(text):
        text = _TAIL.sub("", text).replace(",", ".").replace("\u2212", "-")
        if not _PLAIN.match(text):
            problems.add(line, column, cell, say("not a number: left blank"))
            return np.nan
    return float(text)


def temperature_unit(header: str, sample: Sequence[str], readings: Floats, unit: str | None, *, where: str) -> tuple[str, str | None]:
    """C or F, and the assumption made when neither header nor cells say it."""
    if unit in ("C", "F"):
        return unit, None
    for text in (header, *sample):
        fahrenheit, celsius = bool(_FAHRENHEIT.search(text)), bool(_CELSIUS.search(text))
        if fahrenheit != celsius:
            return ("F" if fahrenheit else "C"), None
    if np.isfinite(readings).any() and float(np.nanmedian(readings)) > 45.0:
        raise BadFile(
            say(
                "neither header nor cells say °C or °F, and half of the temperatures lie above {middle:.0f}.",
                middle=np.nanmedian(readings),
            ),
            where=where,
            remedy=say('Give unit "C" or "F".'),
        )
    return "C", say("no unit is named: temperatures are taken as °C")


def ask_if_fahrenheit(readings_c: Floats, *, named: bool, where: str) -> None:
    """Refuse a dome's temperatures that look like °F until the person says which they are; `named` tells that the file says °C."""
    known = readings_c[np.isfinite(readings_c)]
    if len(known) < _FEWEST:
        return
    coldest = float(np.percentile(known, 5))
    if coldest <= _NO_DOME_STAYS_ABOVE_C:
        return
    if named:
        what = say("the file says °C, and it was hardly ever below {coldest:.0f}: that looks like °F.", coldest=coldest)
    else:
        what = say(
            "neither header nor cells say °C or °F, and it was hardly ever below {coldest:.0f}: that looks like °F.", coldest=coldest
        )
    raise BadFile(what, where=where, remedy=say('Give unit "C" or "F".'))


def check_share(readings_pct: Floats, *, where: str) -> None:
    """Refuse humidities that are written as shares of one."""
    known = readings_pct[np.isfinite(readings_pct)]
    if len(known) and 0 < known.max() <= 1.0:
        raise BadFile(
            say("humidity lies between 0 and 1 in every line: it seems to be a share, not a percentage."),
            where=where,
            remedy=say("Write it in percent (0.92 as 92), and give the file again."),
        )


def check_temperatures(readings_c: Floats, lines: Integers, column: str, problems: ProblemList) -> None:
    """Blank what no sensor of this kind measures, and tell it."""
    with np.errstate(invalid="ignore"):
        outside = np.flatnonzero((readings_c < COLDEST_C) | (readings_c > HOTTEST_C))
    for row in outside:
        what = say("outside {coldest_c:g} to {hottest_c:g} °C: left blank", coldest_c=COLDEST_C, hottest_c=HOTTEST_C)
        problems.add(int(lines[row]), column, f"{readings_c[row]:.1f} °C", what)
    readings_c[outside] = np.nan


def check_humidities(readings_pct: Floats, lines: Integers, column: str, problems: ProblemList) -> None:
    """Blank what cannot be; a little above 100 is read as 100."""
    with np.errstate(invalid="ignore"):
        outside = np.flatnonzero((readings_pct < 0) | (readings_pct > WETTEST_PCT))
        above = np.flatnonzero((readings_pct > 100) & (readings_pct <= WETTEST_PCT))
    for row in outside:
        problems.add(
            int(lines[row]),
            column,
            f"{readings_pct[row]:.1f} %",
            say("outside 0 to {wettest_pct:g} %: left blank", wettest_pct=WETTEST_PCT),
        )
    for row in above:
        problems.add(int(lines[row]), column, f"{readings_pct[row]:.1f} %", say("a little above 100 %: read as 100 %"))
    readings_pct[outside] = np.nan
    readings_pct[above] = 100.0


def blank_failed(readings_pct: Floats, lines: Integers, column: str, problems: ProblemList) -> None:
    """Blank what a failed sensor in a dome says, and tell it."""
    for row in np.flatnonzero(readings_pct == 0):
        problems.add(int(lines[row]), column, "0 %", say("air in a dome is never at 0 %, a failed sensor says so: left blank"))
        readings_pct[row] = np.nan
