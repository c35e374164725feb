"""The growing year: from autumn to autumn, so that the grafts of one winter and of the summer after it belong together.

It begins at the autumn equinox and is called after the calendar year of its spring. No other rule of the program
knows a month; south of the equator everything turns by half a year.
"""

from __future__ import annotations

from datetime import date, timedelta

from scionary.book.models import Nursery
from scionary.language import say

_NORTH_SHIFT_DAYS = 101  # 22 September counts to the year that follows
_SOUTH_SHIFT_DAYS = 78  # 20 March is the first day of the southern growing year
_LEAFING_DAYS = 30  # after the equinoxes: trees come into leaf, and lose it; project default, unsourced


def growing_year(day: date, latitude_deg: float | None) -> int:
    """The growing year that a day belongs to; without a latitude the north is assumed."""
    if _southern(latitude_deg):
        return (day - timedelta(days=_SOUTH_SHIFT_DAYS)).year
    return (day + timedelta(days=_NORTH_SHIFT_DAYS)).year


def year_days(year: int, latitude_deg: float | None) -> tuple[date, date]:
    """The first day of a growing year, and the first of the next."""
    shift = timedelta(days=_SOUTH_SHIFT_DAYS if _southern(latitude_deg) else -_NORTH_SHIFT_DAYS)
    return date(year, 1, 1) + shift, date(year + 1, 1, 1) + shift


def spring_equinox(year: int, latitude_deg: float | None) -> date:
    """The spring equinox of a growing year, to a day or so."""
    return date(year, 9, 22) if _southern(latitude_deg) else date(year, 3, 20)


def autumn_equinox(year: int, latitude_deg: float | None) -> date:
    """The autumn equinox that ends a growing year, to a day or so."""
    return date(year + 1, 3, 20) if _southern(latitude_deg) else date(year, 9, 22)


def in_leaf_date(grafted: date, latitude_deg: float | None, days_after_equinox: int) -> date:
    """When a graft is to be seen in leaf: so many days after the spring equinox of the growing year that follows its own."""
    return spring_equinox(growing_year(grafted, latitude_deg) + 1, latitude_deg) + timedelta(days=days_after_equinox)


def in_leaf_season(day: date, latitude_deg: float | None) -> bool:
    """Whether trees stand in leaf: between a month after the spring equinox and a month after the autumn one."""
    later = day - timedelta(days=_LEAFING_DAYS)
    year = growing_year(later, latitude_deg)
    return spring_equinox(year, latitude_deg) <= later < autumn_equinox(year, latitude_deg)


def leafing_date(day: date, latitude_deg: float | None) -> date:
    """Since when trees stand in leaf on this day; else when they will again."""
    leafing = timedelta(days=_LEAFING_DAYS)
    return spring_equinox(growing_year(day - leafing, latitude_deg), latitude_deg) + leafing


def year_at(day: date, nursery: Nursery) -> int:
    return growing_year(day, nursery.latitude_deg)


def year_words(year: int, nursery: Nursery) -> str:
    """Growing year 2027: autumn 2026 to autumn 2027."""
    begins = year if _southern(nursery.latitude_deg) else year - 1
    return say("Growing year {year}: autumn {begins} to autumn {ends}.", year=year, begins=begins, ends=begins + 1)


def _southern(latitude_deg: float | None) -> bool:
    return latitude_deg is not None and latitude_deg < 0
