"""When something was done, as growers write it: a day, a month, a spring, a year. Day and month are settled for the column."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from scionary.files.past_counts import Puzzle
from scionary.files.stamps import CERTAIN, MONTHS, ORDERS, UNREADABLE, local_seconds, read_stamps
from scionary.files.tables import CellValue, cell_text
from scionary.language import either, say

Precision = Literal["day", "month", "season", "year"]

_UNKNOWN = {"", "?", "??", "-", "–", "—", "n/a", "unknown", "not known", "forgot"}
_ROUGHLY = "c\\.?|ca\\.?|circa|about|around|approx\\.?|~|early|mid|late|end(?: of)?|beginning(?: of)?|first week of"
_LOOSE = re.compile(rf"^(?:{_ROUGHLY})[\s-]*(?=\S)", re.IGNORECASE)
_MONTH_YEAR = re.compile(r"^([^\W\d_]{3,10})\.?[\s,/-]+(\d{4})$")
_MONTH_SHORT = re.compile(r"^([^\W\d_]{3,10})\.?[\s,/-]+['’]?(\d\d)$")
_NUMBERS = re.compile(r"^(?:(\d{4})[-/](\d{1,2})|(\d{1,2})[/.-](\d{4}))$")
_NAMED = r"(spring|summer|autumn|fall|winter)"
_SEASON = re.compile(rf"^{_NAMED}\s+(\d{{4}})(?:\s*[/-]\s*(\d{{2,4}}))?$|^(\d{{4}})\s+{_NAMED}$", re.IGNORECASE)
_YEAR = re.compile(r"^([^\W\d_]{3,10})\.?[\s,/-]+(\d{4})$")
_MONTH_SHORT = re.compile(r"^([^\W\d_]{3,10})\.?[\s,/-]+['’]?(\d\d)$")
_NUMBERS = re.compile(r"^(?:(\d{4})[-/](\d{1,2})|(\d{1,2})[/.-](\d{4}))$")
_SEASON = re.compile(
    r"^(spring|summer|autumn|fall|winter)\s+(\d{4})(?:\s*[/-]\s*(\d{2,4}))?$|^(\d{4})\s+(spring|summer|autumn|fall|winter)$", re.IGNORECASE
)
_YEAR = re.compile(r"^(?:19|20)\d\d$")
_DOTTED = re.compile(r"^\d{1,2}\.\d{1,2}\.\d{2,4}$")
_NO_YEAR = re.compile(r"^(?:\d{1,2}[\s./-]*[^\W\d_]{3,10}|[^\W\d_]{3,10}\s*\d{1,2}(?:st|nd|rd|th)?|\d{1,2}[./-]\d{1,2})\.?$")


@dataclass(frozen=True)
class When:
    """A day, or the first day of a month; for a season or a year only the year is known. `words` is what was written."""

    date: dt.date | None
    year: int | None
    precision: Precision | None
    words: str = ""


@dataclass(frozen=True)
class DateColumn:
    """A column of dates read, and the orders to choose from when day and month could not be told apart."""

    values: tuple[When | Puzzle, ...]
    orders: tuple[str, ...] = ()


def read_dates(cells: Sequence[CellValue], date_order: str | None = None, *, years: Sequence[int | None] = ()) -> DateColumn:
    """Read a column; a date that could be read in two orders is a puzzle until `date_order` is given.

    `years` come from a column of their own, for dates that name none.
    """
    texts = [_loosened(cell) for cell in cells]
    texts = [(_with_year(text, year), loose) for (text, loose), year in zip(texts, years or [None] * len(texts), strict=True)]
    stamps = read_stamps([text for text, _ in texts])
    dotted = np.array([bool(_DOTTED.match(text)) for text, _ in texts], bool)
    open_rows = (stamps.kind > CERTAIN) & ~dotted
    local = {order: local_seconds(stamps, order) for order in ORDERS}
    slashes = not any("-" in texts[row][0] for row in np.flatnonzero(open_rows))
    orders = _orders(local, open_rows, slashes) if date_order is None else (date_order,)
    order = orders[0] if len(orders) == 1 else None
    values: list[When | Puzzle] = []
    for row, (cell, (text, loose)) in enumerate(zip(cells, texts, strict=True)):
        used = "dmy" if dotted[row] else order
        if isinstance(cell, dt.date):
            values.append(_day(cell.date() if isinstance(cell, dt.datetime) else cell, loose, text))
        elif stamps.kind[row] == UNREADABLE:
            values.append(_other(text))
        elif used is None and stamps.kind[row] > CERTAIN:
            values.append(_undecided(text, {name: local[name][row] for name in orders}, orders))
        else:
            values.append(_from_seconds(local[used or "ymd"][row], loose, text, used if stamps.kind[row] > CERTAIN else None))
    return DateColumn(tuple(values), orders if order is None and open_rows.any() else ())


def _loosened(cell: CellValue) -> tuple[str, bool]:
    """The text without words such as "about", and whether there were any."""
    text = cell_text(cell)
    shown = _LOOSE.sub("", text)
    return shown, shown != text


def _with_year(text: str, year: int | None) -> str:
    if year is None or not _NO_YEAR.match(text):
        return text
    separator = next((mark for mark in "/.-" if mark in text), " ")
    return f"{text.rstrip('.')}{separator if text[-1:].isdigit() and text[:1].isdigit() else ' '}{year}"


def _orders(local: dict[str, np.ndarray], open_rows: np.ndarray, slashes: bool) -> tuple[str, ...]:
    """Orders in which all open dates exist; when there is none, all, so that the person decides. Nobody writes 25/3/12 year first."""
    if not open_rows.any():
        return ("dmy",)
    fitting = tuple(order for order in ORDERS if not np.isnan(local[order][open_rows]).any())
    if slashes and len(fitting) > 1:
        fitting = tuple(order for order in fitting if order != "ymd")
    if not fitting:
        return tuple(order for order in ORDERS if not np.isnan(local[order][open_rows]).all())
    same = all(np.array_equal(local[fitting[0]][open_rows], local[order][open_rows]) for order in fitting)
    return fitting[:1] if same else fitting


def _day(date: dt.date, loose: bool, text: str) -> When:
    if loose:
        return When(date.replace(day=1), date.year, "month", text)
    return When(date, date.year, "day", text)


def _from_seconds(seconds: float, loose: bool, text: str, order: str | None) -> When | Puzzle:
    if np.isnan(seconds):
        how = say(" as {order}", order=ORDERS[order]) if order else ""
        return Puzzle(say("there is no day {typed!r}{how}.", typed=text, how=how), say("Write it as 2025-03-12."))
    return _day(dt.date(1970, 1, 1) + dt.timedelta(days=int(seconds // 86400)), loose, text)


def _undecided(text: str, seconds: dict[str, float], orders: Sequence[str]) -> Puzzle:
    read = [(order, seconds[order]) for order in orders if not np.isnan(seconds[order])]
    days = [f"{_words(dt.date(1970, 1, 1) + dt.timedelta(days=int(second // 86400)))} ({order})" for order, second in read]
    return Puzzle(
        say("{typed!r} can be {days}.", typed=text, days=either(dict.fromkeys(days))),
        say("Choose the order of the dates in this file."),
    )


def _words(date: dt.date) -> str:
    return f"{date.day} {date:%B %Y}"


def _other(text: str) -> When | Puzzle:
    """A month, a season, a year, nothing, or something that is not understood."""
    if text.casefold() in _UNKNOWN:
        return When(None, None, None, text)
    month, numbers, season = _MONTH_YEAR.match(text), _NUMBERS.match(text), _SEASON.match(text)
    if month and month[1].casefold() in MONTHS:
        return _month(int(month[2]), MONTHS[month[1].casefold()], text)
    if numbers and 1 <= int(numbers[2] or numbers[3]) <= 12:
        return _month(int(numbers[1] or numbers[4]), int(numbers[2] or numbers[3]), text)
    if season:
        year = int(season[2] or season[4])
        return When(None, year + 1 if season[3] else year, "season", text)
    if _YEAR.match(text):
        return When(None, int(text), "year", text)
    return _puzzled(text)


def _month(year: int, month: int, text: str) -> When:
    return When(dt.date(year, month, 1), year, "month", text)


def _puzzled(text: str) -> Puzzle:
    short = _MONTH_SHORT.match(text)
    if short and short[1].casefold() in MONTHS:
        return Puzzle(
            say("{typed!r}: is {short} the day or the year?", typed=text, short=short[2]), say("Write it with the year in four digits.")
        )
    if _NO_YEAR.match(text):
        return Puzzle(say("{typed!r} names no year.", typed=text), say("Write the year too, or say which column holds it."))
    return Puzzle(
        say("{typed!r} is no date.", typed=text), say('Write it as 2025-03-12, "March 2025", "spring 2025" or 2025, or leave it blank.')
    )
