"""Moments of which only the day is known: they are written down as noon sharp, and may have been at any time of that day."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

DAY_S = 86_400.0
_NOON = time(12)


def no_time(at: float, zone: ZoneInfo) -> bool:
    """Whether a moment, in seconds since 1970, stands for a day whose time is not known."""
    return datetime.fromtimestamp(at, zone).time() == _NOON


def whole_day(at: float, zone: ZoneInfo) -> tuple[float, float]:
    """The first and the last second of the day of a moment, where the nursery stands."""
    day = datetime.fromtimestamp(at, zone).date()
    begin = datetime.combine(day, time(0), zone)
    return begin.timestamp(), datetime.combine(day + timedelta(days=1), time(0), zone).timestamp() - 1
