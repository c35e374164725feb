"""Two sensors in one dome: do they agree, which one moved, did they swap, is one of them somewhere else."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from scionary.dome.series import Readings
from scionary.units import Float

# All of these are project defaults, unsourced; the two first are the usual tolerances printed on cheap loggers.
AGREE_C, AGREE_PCT = 0.5, 3.0
UNLIKE_SHARE = 0.6  # of their spread must be shared, or they do not hang in the same air
SWAP_TIMES = 4.0  # times the day-to-day scatter by which a difference must turn round
FEWEST_DAYS = 4
FULL_PCT = 99.0
_DAY_S = 86400.0


class Likeness(StrEnum):
    """How two sensors compare."""

    TOO_LITTLE = "too little"
    AGREE = "agree"
    OFFSET = "offset"
    DRIFT = "drift"
    SWAPPED = "swapped"
    UNLIKE = "unlike"


class Which(StrEnum):
    """Which of two sensors is meant."""

    FIRST = "first"
    SECOND = "second"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Pair:
    """One quantity of two sensors held against each other; differences are first less second.

    Attributes
    ----------
    likeness : Likeness
        How they compare.
    difference : float
        Median difference [°C or %]; NaN when too little is shared.
    change : float
        By how much the difference moved from the first days to the last [°C or %].
    moved : Which
        The sensor that likely moved when they drifted: the one whose own nightly end changed while the other's stood.
    swapped_s : float
        When they changed places, seconds since 1970 in UTC [s]; NaN when they did not.
    shared : float
        Share of their spread that they have in common, 0 to 1 (squared correlation); NaN when either stands still.
    days : int
        Days on which both wrote.
    """

    likeness: Likeness
    difference: float
    change: float
    moved: Which
    swapped_s: float
    shared: float
    days: int


@dataclass(frozen=True)
class SensorPair:
    """Two sensors: temperature and humidity apart, since either may fail alone.

    Attributes
    ----------
    temperature, humidity : Pair
        Each quantity.
    hours_both : float
        Hours in which both wrote [h].
    """

    temperature: Pair
    humidity: Pair
    hours_both: float

    @property
    def same_air(self) -> bool:
        """Whether they can be merged: neither quantity says that they hang apart or changed places."""
        apart = (Likeness.UNLIKE, Likeness.SWAPPED)
        return self.temperature.likeness not in apart and self.humidity.likeness not in apart


def compare_sensors(first: Readings, second: Readings) -> SensorPair:
    """Hold two sensors against each other where both wrote.

    Parameters
    ----------
    first, second : Readings
        In order of time.

    Returns
    -------
    SensorPair
        What the differences say. Only readings at most half an interval apart are compared.
    """
    at, other = _matched(first, second)
    day = np.floor(first.time_s[at] / _DAY_S).astype(np.int64)
    step = first.interval_s if np.isfinite(first.interval_s) else 0.0
    return SensorPair(
        temperature=_pair(first.time_s[at], day, first.temperature_c[at], second.temperature_c[other], AGREE_C),
        humidity=_pair(first.time_s[at], day, first.relative_humidity_pct[at], second.relative_humidity_pct[other], AGREE_PCT),
        hours_both=at.size * step / 3600.0,
    )


def merge_sensors(first: Readings, second: Readings, *, offset_c: float = 0.0, offset_pct: float = 0.0) -> Readings:
    """Make one log of two: the mean where both wrote, the one that wrote elsewhere.

    Parameters
    ----------
    first, second : Readings
        In order of time, from the same air (see `SensorPair.same_air`).
    offset_c, offset_pct : float
        Added to the second before merging [°C, %]; of a salt test, or the median difference.

    Returns
    -------
    Readings
        At the moments of the first, and of the second where the first was silent for more than half an interval.
    """
    at, other = _matched(first, second)
    alone = np.setdiff1d(np.arange(second.time_s.size), other)
    t2 = second.temperature_c + offset_c
    rh2 = np.clip(second.relative_humidity_pct + offset_pct, 0.0, 100.0)
    t1, rh1 = first.temperature_c.copy(), first.relative_humidity_pct.copy()
    t1[at], rh1[at] = _mean(t1[at], t2[other]), _mean(rh1[at], rh2[other])
    time_s = np.concatenate([first.time_s, second.time_s[alone]])
    order = np.argsort(time_s, kind="stable")
    temperature, humidity = np.concatenate([t1, t2[alone]])[order], np.concatenate([rh1, rh2[alone]])[order]
    return Readings(time_s[order], temperature, humidity, first.duplicates + second.duplicates, first.impossible + second.impossible)


def _matched(first: Readings, second: Readings) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Places in both of readings that belong together, each used once."""
    if not first.time_s.size or not second.time_s.size:
        return np.zeros(0, np.intp), np.zeros(0, np.intp)
    right = np.clip(np.searchsorted(second.time_s, first.time_s), 1, max(second.time_s.size - 1, 1))
    right = np.minimum(right, second.time_s.size - 1)
    left = np.maximum(right - 1, 0)
    nearer = np.abs(second.time_s[left] - first.time_s) <= np.abs(second.time_s[right] - first.time_s)
    nearest = np.where(nearer, left, right)
    gap = np.abs(second.time_s[nearest] - first.time_s)
    steps = [each.interval_s for each in (first, second) if np.isfinite(each.interval_s)]
    near = gap <= (max(steps) / 2.0 if steps else 0.0)
    at = np.flatnonzero(near)
    other, once = np.unique(nearest[at], return_index=True)
    return at[once], other


def _mean(one: Float, two: Float) -> Float:
    both = (one + two) / 2.0
    mean: Float = np.where(np.isnan(one), two, np.where(np.isnan(two), one, both))
    return mean


def _pair(time_s: Float, day: npt.NDArray[np.int64], one: Float, two: Float, agree: float) -> Pair:
    both = ~np.isnan(one) & ~np.isnan(two)
    time_s, day, one, two = time_s[both], day[both], one[both], two[both]
    days = np.unique(day)
    if days.size < FEWEST_DAYS:
        middle = float(np.median(one - two)) if one.size else float("nan")
        return Pair(Likeness.TOO_LITTLE, middle, float("nan"), Which.UNKNOWN, float("nan"), float("nan"), int(days.size))
    daily = np.array([np.median((one - two)[day == each]) for each in days])
    shared, middle = _shared(one, two), float(np.median(one - two))
    swapped = _swap(daily, agree)
    change = _change(daily)
    moved = Which.UNKNOWN
    if swapped is not None:
        likeness = Likeness.SWAPPED
    elif shared < UNLIKE_SHARE and np.median(np.abs(one - two - middle)) > agree:
        likeness = Likeness.UNLIKE
    elif abs(change) > agree:
        likeness, moved = Likeness.DRIFT, _moved(day, days, one, two, change)
    else:
        likeness = Likeness.OFFSET if abs(middle) > agree else Likeness.AGREE
    return Pair(likeness, middle, change, moved, _first_of(time_s, day, days, swapped), shared, int(days.size))


def _shared(one: Float, two: Float) -> float:
    if one.std() == 0 or two.std() == 0:
        return float("nan")
    together = float(np.corrcoef(one, two)[0, 1])
    return together**2 if together > 0 else 0.0


def _ends(count: int) -> int:
    """How many days at either end are held against each other."""
    return max(2, count // 4)


def _change(daily: Float) -> float:
    ends = _ends(daily.size)
    return float(np.median(daily[-ends:]) - np.median(daily[:ends]))


def _swap(daily: Float, agree: float) -> int | None:
    """The day from which the daily difference is turned round and stays so."""
    best, at = 0.0, None
    for cut in range(2, daily.size - 1):
        before, after = float(np.median(daily[:cut])), float(np.median(daily[cut:]))
        scatter = float(np.median(np.abs(np.concatenate([daily[:cut] - before, daily[cut:] - after])))) + agree / 8.0
        turned = abs(before + after) < 0.4 * abs(before - after)
        step = abs(before - after) / 2.0
        if turned and step > agree and step > SWAP_TIMES * scatter and step / scatter > best and abs(daily[cut] - daily[cut - 1]) > step:
            best, at = step / scatter, cut
    return at


def _first_of(time_s: Float, day: npt.NDArray[np.int64], days: npt.NDArray[np.int64], cut: int | None) -> float:
    return float("nan") if cut is None else float(time_s[np.searchsorted(day, days[cut])])


def _moved(day: npt.NDArray[np.int64], days: npt.NDArray[np.int64], one: Float, two: Float, change: float) -> Which:
    """The sensor whose own nightly end moved like the difference while the other's stood still."""
    tops = [np.array([np.percentile(values[day == each], 90) for each in days]) for values in (one, two)]
    own, others = (_change(each) for each in tops)
    if abs(own) > 0.6 * abs(change) and abs(others) < 0.3 * abs(change):
        return Which.FIRST
    if abs(others) > 0.6 * abs(change) and abs(own) < 0.3 * abs(change):
        return Which.SECOND
    return Which.UNKNOWN
