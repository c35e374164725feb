"""Dates and times as people and loggers write them, read a whole column at a time.

Texts with the same shape (digits in the same places) are read together: the shape is matched once by a pattern, then its digits are
taken from all of them at once. Day and month are settled for the column as a whole, never cell by cell.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Integers = npt.NDArray[np.int64]
Small = npt.NDArray[np.int32]
Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

ORDERS = {"dmy": "day/month/year", "mdy": "month/day/year", "ymd": "year/month/day"}
MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan january januar janvier enero",
            "feb february februar fevrier février febrero",
            "mar march marz märz mrz mars marzo",
            "apr april avr avril abril",
            "may mai mayo",
            "jun june juni juin junio",
            "jul july juli juillet julio",
            "aug august aout août agosto",
            "sep sept september septembre septiembre",
            "oct october okt oktober octobre octubre",
            "nov november novembre noviembre",
            "dec december dez dezember decembre décembre diciembre",
        ),
        1,
    )
    for name in names.split()
}
_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th)?\.?"
_TIME = (
    r"(?:(?:\s+|\s*T\s*|\s*,\s*|_)(?P<hour>\d{1,2})[:h.](?P<minute>\d\d)(?:[:.](?P<second>\d\d)(?:[.,](?P<part>\d{1,9}))?)?"
    r"\s*(?P<half>[ap]\.?\s?m\.?)?\s*(?P<offset>z|utc|gmt|(?P<sign>[+-])(?P<zone_hour>\d\d):?(?P<zone_minute>\d\d))?)?"
)
_WEEKDAY = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+)?"
_FORMS = [
    (kind, re.compile(rf"^{_WEEKDAY}{form}{_TIME}$", re.IGNORECASE))
    for kind, form in (
        ("ymd", r"(?P<a>\d{4})[-/.](?P<b>\d{1,2})[-/.](?P<c>\d{1,2})"),
        ("ymd", r"(?P<a>\d{4})(?P<b>\d\d)(?P<c>\d\d)"),
        ("year last", r"(?P<a>\d{1,2})[-/.](?P<b>\d{1,2})[-/.](?P<c>\d{4})"),
        ("short", r"(?P<a>\d{1,2})[-/.](?P<b>\d{1,2})[-/.](?P<c>\d\d)"),
        ("named", rf"{_DAY}[-\s/.]*(?P<month>[^\W\d_]{{3,10}})\.?,?[-\s/.]*(?P<year>\d{{4}}|\d\d)"),
        ("named", rf"(?P<month>[^\W\d_]{{3,10}})\.?\s*{_DAY},?\s+(?P<year>\d{{4}})"),
    )
]
UNREADABLE, CERTAIN, YEAR_LAST, SHORT = 0, 1, 2, 3
_KINDS = {"ymd": CERTAIN, "named": CERTAIN, "year last": YEAR_LAST, "short": SHORT}
_MOST_SHAPES = 3000
_PART = 200_000  # so many rows at once, so that a million lines need little room


@dataclass(frozen=True)
class Stamps:
    """A column of dates: the three numbers as written, what kind each is, seconds of the day, offset from UTC if it was written."""

    kind: Small
    first: Small
    second: Small
    third: Small
    day_s: Floats  # NaN where no time of day was written
    offset_s: Floats  # NaN where none was written


def looks_like_date(text: str) -> bool:
    """Whether one text reads as a date in some form."""
    return _match(text.strip()) is not None


def read_stamps(texts: Sequence[str] | npt.NDArray[np.bytes_]) -> Stamps:
    """Read a column of texts, or of bytes without blanks round them; what cannot be read has kind 0."""
    cells = _bytes(texts)
    count = len(cells)
    kind, first, second, third = np.zeros((4, count), np.int32)
    out = Stamps(kind, first, second, third, np.full(count, np.nan), np.full(count, np.nan))
    if not count or not cells.dtype.itemsize:
        return out
    letters = cells.view(np.uint8).reshape(count, -1)
    digits = (letters >= 48) & (letters <= 57)
    if (np.where(digits, np.uint8(48), letters) == np.where(digits[0], np.uint8(48), letters[0])).all():
        _read_shape(out, slice(None), letters, cells[0].decode("latin-1"))
        return out
    shape = np.where(digits, 48, letters).astype(np.uint64)
    keys = np.random.default_rng(7).integers(1, 2**63, letters.shape[1], dtype=np.uint64)
    _, firsts, groups = np.unique(shape @ keys, return_index=True, return_inverse=True)
    order = np.argsort(groups, kind="stable")
    edges = np.searchsorted(groups[order], np.arange(len(firsts) + 1))
    for group, example in enumerate(firsts[:_MOST_SHAPES]):
        rows = order[edges[group] : edges[group + 1]]
        _read_shape(out, rows, letters, cells[example].decode("latin-1"))
    return out


def _bytes(texts: Sequence[str] | npt.NDArray[np.bytes_]) -> npt.NDArray[np.bytes_]:
    """One byte a character, so that columns of digits can be cut out; other characters become '?'."""
    if isinstance(texts, np.ndarray):
        return texts
    try:
        cells = np.array(texts, dtype=np.bytes_)
    except UnicodeEncodeError:
        cells = np.array([text.encode("latin-1", "replace") for text in texts], dtype=np.bytes_)
    return np.strings.strip(cells)


def _match(text: str) -> tuple[str, re.Match[str]] | None:
    for kind, pattern in _FORMS:
        found = pattern.match(text)
        if found and (kind != "named" or found["month"].casefold() in MONTHS):
            return kind, found
    return None


def _read_shape(out: Stamps, rows: Integers | slice, letters: npt.NDArray[np.uint8], example: str) -> None:
    """Fill the rows of one shape from the places where the example's digits stand."""
    read = _match(example)
    if read is None:
        return
    kind, found = read

    def number(group: str) -> Integers:
        start, end = found.span(group)
        value = letters[rows, start].astype(np.int64) - 48
        for place in range(start + 1, end):
            value = value * 10 + (letters[rows, place].astype(np.int64) - 48)
        return value

    out.kind[rows] = _KINDS[kind]
    if kind == "named":
        year = number("year")
        out.first[rows] = year if len(found["year"]) == 4 else full_year(year)
        out.second[rows], out.third[rows] = MONTHS[found["month"].casefold()], number("day")
    else:
        out.first[rows], out.second[rows], out.third[rows] = number("a"), number("b"), number("c")
    if found["hour"]:
        out.day_s[rows] = _time_of_day(number, found)
    if found["offset"]:
        out.offset_s[rows] = _offset(number, found)


def _time_of_day(number: Callable[[str], Integers], found: re.Match[str]) -> Floats:
    hour, minute = number("hour"), number("minute")
    second = number("second") if found["second"] else np.zeros_like(hour)
    bad = (hour > 24) | (minute > 59) | (second > 60) | ((hour == 24) & (minute + second > 0))
    if found["half"]:
        bad |= (hour < 1) | (hour > 12)
        hour = hour % 12 + (12 if found["half"][0] in "pP" else 0)
    part = number("part") / 10.0 ** len(found["part"]) if found["part"] else 0.0
    return np.where(bad, np.inf, hour * 3600.0 + minute * 60.0 + second + part)


def _offset(number: Callable[[str], Integers], found: re.Match[str]) -> Floats | float:
    if not found["sign"]:
        return 0.0
    return (number("zone_hour") * 3600.0 + number("zone_minute") * 60.0) * (-1.0 if found["sign"] == "-" else 1.0)


def full_year(year: npt.NDArray[np.signedinteger]) -> Integers:
    """Two-digit years belong to 1970 to 2069."""
    return np.where(year < 70, 2000 + year, 1900 + year)


def local_seconds(stamps: Stamps, order: str) -> Floats:
    """Seconds since 1970-01-01 on the clock as written; NaN where it is no date in this order."""
    seconds = np.empty(len(stamps.kind))
    for start in range(0, len(seconds), _PART):
        rows = slice(start, start + _PART)
        seconds[rows] = _local_part(Stamps(*(getattr(stamps, name)[rows] for name in Stamps.__dataclass_fields__)), order)
    return seconds


def _local_part(stamps: Stamps, order: str) -> Floats:
    year, month, day = _in_order(stamps, order)
    days = day_numbers(year, month, day)
    days[(stamps.kind == UNREADABLE) | ((stamps.kind == YEAR_LAST) & (order == "ymd"))] = np.nan
    seconds = np.where(np.isnan(stamps.day_s), 0.0, stamps.day_s)
    total = days * 86400.0 + seconds
    total[~np.isfinite(total)] = np.nan
    return total


def _in_order(stamps: Stamps, order: str) -> tuple[Integers, Integers, Integers]:
    """Year, month, day of each stamp when numeric dates are written in `order`."""
    parts = [part.astype(np.int64) for part in (stamps.first, stamps.second, stamps.third)]
    written = dict(zip(order, parts, strict=True))
    certain = stamps.kind == CERTAIN
    year = np.where(stamps.kind == SHORT, full_year(written["y"]), written["y"])
    return (
        np.where(certain, parts[0], year),
        np.where(certain, parts[1], written["m"]),
        np.where(certain, parts[2], written["d"]),
    )


def day_numbers(year: Integers, month: Integers, day: Integers) -> Floats:
    """Days since 1970-01-01; NaN where there is no such day."""
    good = (year >= 1900) & (year <= 2200) & (month >= 1) & (month <= 12) & (day >= 1)
    months = (np.where(good, year, 1970) - 1970) * 12 + np.where(good, month, 1) - 1
    start = months.astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
    end = (months + 1).astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
    return np.where(good & (day <= end - start), start + day - 1.0, np.nan)
