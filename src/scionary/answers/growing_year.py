"""The growing year: it begins at the winter solstice, so the same rule serves both hemispheres.

Days from the winter solstice on belong to the year in which the next summer lies. In the south, the growing year
that begins in June 2026 is called 2026.
"""

from __future__ import annotations

from datetime import date, timedelta

from scionary.book.models import Nursery

_NORTH_SHIFT_DAYS = 11  # 21 December counts to the year that follows
_SOUTH_SHIFT_DAYS = 171  # 21 June is the first day of the southern growing year
_SOLSTICE_TO_EQUINOX_DAYS = 89


def growing_year(day: date, latitude_deg: float | None) -> int:
    """The growing year that a day belongs to; without a latitude the north is assumed."""
    if latitude_deg is not None and latitude_deg < 0:
        return (day - timedelta(days=_SOUTH_SHIFT_DAYS)).year
    return (day + timedelta(days=_NORTH_SHIFT_DAYS)).year


def year_start(year: int, latitude_deg: float | None) -> date:
    """The winter solstice with which a growing year begins."""
    return date(year, 6, 21) if latitude_deg is not None and latitude_deg < 0 else date(year - 1, 12, 21)


def in_leaf_date(grafted: date, latitude_deg: float | None, days_after_equinox: int) -> date:
    """When a graft is to be seen in leaf: so many days after the spring equinox of the growing year that follows its own."""
    following = growing_year(grafted, latitude_deg) + 1
    return year_start(following, latitude_deg) + timedelta(days=_SOLSTICE_TO_EQUINOX_DAYS + days_after_equinox)


def year_at(day: date, nursery: Nursery) -> int:
    return growing_year(day, nursery.latitude_deg)
