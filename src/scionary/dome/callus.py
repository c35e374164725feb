"""The callus clock: how much healing warmth a dome has given, and when that makes a look worth while."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.dome.limits import AirLimits
from scionary.dome.series import Stretches
from scionary.errors import BadValue
from scionary.units import Float, as_floats, check_range, refuse_where

_DAY_S = 86400.0
_LATELY_S = 7 * _DAY_S  # project default, unsourced: the days before the last reading stand for those to come
_STANDS_STILL = 0.02  # project default, unsourced: below this share of full speed no date is foretold


@dataclass(frozen=True)
class CallusClock:
    """What the callus clock shows at the last reading, and the date of the first look that it implies.

    It is an assumption and never by itself a reason to open a dome.

    Attributes
    ----------
    from_s : float
        When the clock was set going, seconds since 1970 in UTC [s]; NaN for an empty log.
    days_low, days_high : float
        Healing so far in days at the best temperature [d]: unknown time counted as nothing, and as the best.
    speed : float
        Mean speed over the last seven days of known air, 0 to 1; NaN when none is known.
    check_s, check_earliest_s, check_latest_s : float
        When `callus_days` are reached at that speed, seconds since 1970 in UTC [s]; soonest with `callus_days_low` and
        unknown time counted as the best, latest with `callus_days_high` and unknown time counted as nothing. NaN: at this
        speed it does not come.
    """

    from_s: float
    days_low: float
    days_high: float
    speed: float
    check_s: float
    check_earliest_s: float
    check_latest_s: float

    def to_dict(self) -> dict[str, float | None]:
        """Give plain values; an unknown number is None.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        return {name: None if np.isnan(value) else value for name, value in vars(self).items()}


def callus_speed(temperature_c: Any, *, base_c: float, best_c: float, ceiling_c: float) -> Float:
    """Speed of the callus clock between three cardinal temperatures, 1 at the best.

    It rises on a straight line from the base to the best temperature and falls on one to nothing at the ceiling. That
    shape is an assumption (project default, unsourced); the temperatures are the caller's.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [°C]; NaN gives NaN.
    base_c, best_c, ceiling_c : float
        Cardinal temperatures [°C], rising.

    Returns
    -------
    ndarray
        Speed, 0 to 1, same shape.

    Raises
    ------
    BadValue
        When the cardinal temperatures do not rise.
    """
    if not base_c < best_c < ceiling_c:
        raise BadValue("best_c", best_c, f"between base_c {base_c:g} and ceiling_c {ceiling_c:g}")
    t = as_floats("temperature_c", temperature_c)
    rising, falling = (t - base_c) / (best_c - base_c), (ceiling_c - t) / (ceiling_c - best_c)
    speed: Float = np.maximum(np.minimum(rising, falling), 0.0)
    return speed


def callus_degree_days(temperature_c: Any, hours: Any, *, base_c: float, best_c: float, ceiling_c: float) -> float:
    """Thermal time between three cardinal temperatures.

    A degree counts fully from the base up to the best temperature; above it the count falls on a straight line to
    nothing at the ceiling (`callus_speed`). Unknown time adds nothing, so the sum is a lower bound.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [°C] of each piece of time; NaN adds nothing.
    hours : array_like
        Length of each piece [h], 0 or more.
    base_c, best_c, ceiling_c : float
        Cardinal temperatures [°C], rising.

    Returns
    -------
    float
        Degree days [°C d].

    Raises
    ------
    BadValue
        When the cardinal temperatures do not rise or a length is negative or unknown.
    """
    speed = callus_speed(temperature_c, base_c=base_c, best_c=best_c, ceiling_c=ceiling_c)
    length = check_range("hours", hours, 0.0, np.inf, "h")
    refuse_where(np.isnan(length), "hours", length, "0 h or more, known")
    return float(np.nansum(speed * length) / 24.0) * (best_c - base_c)


def callus_clock(stretches: Stretches, limits: AirLimits, *, grafted_s: float | None = None) -> CallusClock:
    """Run the callus clock over a log and foretell when a first look is worth while.

    Parameters
    ----------
    stretches : Stretches
        Pieces of time, end to end.
    limits : AirLimits
        Cardinal temperatures and the days needed.
    grafted_s : float, optional
        When the grafts were made, seconds since 1970 in UTC [s]; the log's begin when left out. Time between it and the
        first reading is unknown; time before it does not count.

    Returns
    -------
    CallusClock
        Healing so far, speed and the date implied, with its range.
    """
    if not stretches.from_s.size:
        return CallusClock(*[np.nan, 0.0, 0.0, *[np.nan] * 4])
    begin = float(stretches.from_s[0]) if grafted_s is None else float(grafted_s)
    end = max(float(stretches.to_s[-1]), begin)
    speed = callus_speed(stretches.temperature_c, base_c=limits.callus_base_c, best_c=limits.callus_best_c, ceiling_c=limits.heat_limit_c)
    days = np.maximum(stretches.to_s - np.maximum(stretches.from_s, begin), 0.0) / _DAY_S
    before = max(float(stretches.from_s[0]) - begin, 0.0) / _DAY_S
    known = np.cumsum(np.nan_to_num(speed) * days)
    best = before + np.cumsum(np.where(np.isnan(speed), 1.0, speed) * days)
    lately = _lately(speed, days, stretches)

    def _reached(course: Float, needed: float) -> float:
        """Give the moment at which a course of days reaches what is needed."""
        return _when(course, stretches.to_s, needed, lately, begin, end)

    return CallusClock(
        from_s=begin,
        days_low=float(known[-1]),
        days_high=float(best[-1]),
        speed=lately,
        check_s=_reached((known + best) / 2, limits.callus_days),
        check_earliest_s=_reached(best, limits.callus_days_low),
        check_latest_s=_reached(known, limits.callus_days_high),
    )


def _lately(speed: Float, days: Float, stretches: Stretches) -> float:
    """Mean speed over the last days of known air."""
    known = np.flatnonzero(~np.isnan(speed) & (days > 0))
    if not known.size:
        return float("nan")
    since = known[stretches.to_s[known] > stretches.to_s[known[-1]] - _LATELY_S]
    return float(np.average(speed[since], weights=days[since]))


def _when(course: Float, to_s: Float, needed: float, speed: float, begin: float, end: float) -> float:
    """When a course of healing reaches what is needed: inside the log, else beyond it at the speed given."""
    at = int(np.searchsorted(course, needed))
    if at < course.size:
        earlier, since = (course[at - 1], to_s[at - 1]) if at else (0.0, min(begin, to_s[0]))
        share = (needed - earlier) / (course[at] - earlier)
        return float(since + share * (to_s[at] - since))
    if not speed > _STANDS_STILL:
        return float("nan")
    return float(end + (needed - course[-1]) / speed * _DAY_S)
