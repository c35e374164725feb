"""From clock times as written to seconds since 1970 in UTC, over the days when clocks change."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from scionary.errors import BadValue
from scionary.files.stamps import Flags, Floats, Integers
from scionary.language import say

_DAY_S = 86400.0
_FIXED = re.compile(r"^(?:UTC|GMT)?\s*([+-])\s*(\d{1,2})(?::?(\d\d))?$", re.IGNORECASE)
_EPOCH = datetime(1970, 1, 1)


@dataclass(frozen=True)
class Instants:
    """UTC seconds (NaN where the clock time does not exist) and which clock times were in doubt."""

    time_s: Floats
    missing: Flags  # the clock jumped over this time
    repeated: Flags  # the clock showed this time twice
    unsure: Flags  # shown twice, and the order of the rows does not tell which


def read_zone(name: str | tzinfo) -> tzinfo:
    """A time zone by its name (``Europe/Vienna``), or a fixed offset (``UTC+1``, ``-05:00``)."""
    if isinstance(name, tzinfo):
        return name
    fixed = _FIXED.match(name.strip())
    if name.strip().upper() in ("UTC", "GMT", "Z"):
        return timezone.utc  # noqa: UP017
    if fixed and int(fixed[2]) <= 14:
        offset = timedelta(hours=int(fixed[2]), minutes=int(fixed[3] or 0))
        return timezone(-offset if fixed[1] == "-" else offset)
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise BadValue("time_zone", name, say("a zone such as Europe/Vienna or a fixed offset such as UTC+1")) from error


def instants(local_s: Floats, zone: tzinfo) -> Instants:
    """UTC of clock times, in the order in which they were written; whole days at once where the clock does not change."""
    time_s = np.full(len(local_s), np.nan)
    missing, repeated, unsure = (np.zeros(len(local_s), bool) for _ in range(3))
    known = np.flatnonzero(np.isfinite(local_s))
    days = np.floor(local_s[known] / _DAY_S)
    known, days = (part[np.argsort(days, kind="stable")] for part in (known, days))
    for day, rows in zip(np.unique(days), np.split(known, np.flatnonzero(np.diff(days)) + 1), strict=False):
        start, end = _offset(zone, day * _DAY_S, 0), _offset(zone, (day + 1) * _DAY_S, 1)
        if start == end:
            time_s[rows] = local_s[rows] - start
        else:
            _changing_day(local_s, rows, zone, time_s, missing, repeated, unsure)
    return Instants(time_s, missing, repeated, unsure)


def _offset(zone: tzinfo, local_s: float, fold: int) -> float:
    moment = (_EPOCH + timedelta(seconds=float(local_s))).replace(tzinfo=zone, fold=fold)
    offset = moment.utcoffset()
    return offset.total_seconds() if offset is not None else 0.0


def _changing_day(local_s: Floats, rows: Integers, zone: tzinfo, time_s: Floats, missing: Flags, repeated: Flags, unsure: Flags) -> None:
    """A day on which the offset changes: each row by itself."""
    first = np.array([_offset(zone, local_s[row], 0) for row in rows])
    second = np.array([_offset(zone, local_s[row], 1) for row in rows])
    time_s[rows] = local_s[rows] - first
    gap, twice = rows[second > first], rows[second < first]
    missing[gap], time_s[gap] = True, np.nan
    repeated[twice] = True
    if len(twice):
        later, told = _second_pass(local_s[twice], _goes_down(local_s))
        unsure[twice] = not told
        time_s[twice] = local_s[twice] - np.where(later, second[second < first], first[second < first])


def _goes_down(local_s: Floats) -> bool:
    finite = local_s[np.isfinite(local_s)]
    return bool(len(finite) > 1 and finite[-1] < finite[0])


def _second_pass(local_s: Floats, downwards: bool) -> tuple[Flags, bool]:
    """Which rows of the repeated hour belong to its second showing: those after the clock steps back."""
    order = slice(None, None, -1) if downwards else slice(None)
    steps = np.diff(local_s[order])
    back = np.flatnonzero(steps < 0)
    back = back if len(back) else np.flatnonzero(steps == 0)
    later = np.zeros(len(local_s), bool)
    if len(back):
        later[back[0] + 1 :] = True
    return later[order], bool(len(back))
