"""Windows of a site: in what share of years the healing month stayed in its band, at each start of the year."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.season.degree_days import AIR_RANGE_C
from scionary.units import Float, check_range

DAYS, HOURS = 365, 24
YEAR_HOURS = DAYS * HOURS
Bool = npt.NDArray[np.bool_]
Integers = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class WindowMap:
    """Share of years in which a start would have gone well, with the range that so few years allow.

    Attributes
    ----------
    share : ndarray of float
        Share of the years, one a start: entry 0 starts on the first day of the rows given. NaN where no year is known.
    low, high : ndarray of float
        Where the long-run share lies nine times in ten: 5 and 95 % points of the beta distribution with half a year
        added on either side (Jeffreys). It counts years as independent, and the climate as one that does not change.
    good, years : ndarray of int
        Years that went well, and years whose whole window is known.
    """

    share: Float
    low: Float
    high: Float
    good: Integers
    years: Integers

    def to_dict(self) -> dict[str, list[Any]]:
        """Give plain lists; what is not known is None.

        Returns
        -------
        dict of list
            One list a column.
        """
        plain = {name: [None if np.isnan(x) else float(x) for x in getattr(self, name)] for name in ("share", "low", "high")}
        return plain | {"good": self.good.tolist(), "years": self.years.tolist()}


def window_fraction(
    temperature_hourly_c: Any, *, days: int, low_c: float, high_c: float, limit_c: float, share: float
) -> npt.NDArray[np.float64]:
    """Share of years in which the days after each start stayed in the band.

    A start is good when at least `share` of the hours of its `days` lie in the band and no hour lies above the limit.
    Sums are cumulative, so all starts of all years take one subtraction.

    Parameters
    ----------
    temperature_hourly_c : array_like
        Air temperature of each hour [°C], -90 to 60, of shape (years * 365 * 24,): whole years of 365 days of 24
        hours in local standard time, without 29 February (`hours_by_year` lays them out). The last year serves only
        for windows that reach past the end of the one before. A year whose window holds a NaN does not count for
        that start.
    days : int
        Length of the window [d], 1 to 365.
    low_c, high_c : float
        The band, both ends included [°C].
    limit_c : float
        No hour may lie above this [°C].
    share : float
        Share of hours that must lie in the band, 0 to 1.

    Returns
    -------
    ndarray of shape (365,)
        Share of the years, 0 to 1; NaN where no year is known.

    Raises
    ------
    BadValue
        When the hours are no whole years or fewer than two, or a limit is out of range or order.
    """
    good, years = _counts(temperature_hourly_c, days, low_c, high_c, limit_c, share)
    return np.asarray(good / np.where(years > 0, years, np.nan))


def window_map(temperature_hourly_c: Any, *, days: int, low_c: float, high_c: float, limit_c: float, share: float) -> WindowMap:
    """Share of years at each start with the range that so few years allow.

    Parameters
    ----------
    temperature_hourly_c : array_like
        As for `window_fraction`.
    days : int
        Length of the window [d], 1 to 365.
    low_c, high_c : float
        The band, both ends included [°C].
    limit_c : float
        No hour may lie above this [°C].
    share : float
        Share of hours that must lie in the band, 0 to 1.

    Returns
    -------
    WindowMap
        One entry a start of the year.

    Raises
    ------
    BadValue
        As `window_fraction`.
    """
    from scipy.special import betaincinv

    good, years = _counts(temperature_hourly_c, days, low_c, high_c, limit_c, share)
    some = years > 0
    low, high = (np.where(some, betaincinv(good + 0.5, years - good + 0.5, point), np.nan) for point in (0.05, 0.95))
    return WindowMap(np.asarray(good / np.where(some, years, np.nan)), low, high, good, years)


def with_heating(temperature_hourly_c: Any, *, setpoint_c: float, lift_c: float) -> Float:
    """Temperature under a heater that holds a set point as far as its power reaches.

    Parameters
    ----------
    temperature_hourly_c : array_like
        Air temperature without heating [°C]. NaN stays NaN.
    setpoint_c : float
        The heater is on below this [°C].
    lift_c : float
        Most that it lifts the temperature [K], 0 or more.

    Returns
    -------
    ndarray
        Temperature with heating [°C].

    Raises
    ------
    BadValue
        When an argument is out of range.
    """
    t = check_range("temperature_hourly_c", temperature_hourly_c, *AIR_RANGE_C, "°C")
    check_range("setpoint_c", setpoint_c, *AIR_RANGE_C, "°C")
    check_range("lift_c", lift_c, 0.0, 100.0, "K")
    return np.asarray(np.maximum(t, np.minimum(setpoint_c, t + lift_c)))


def _counts(hours: Any, days: int, low_c: float, high_c: float, limit_c: float, share: float) -> tuple[Integers, Integers]:
    """Good and known years of each start."""
    t = _whole_years(hours)
    _check(days, low_c, high_c, limit_c, share)
    by_day = t.reshape(-1, HOURS)
    in_band = _window_sums(np.count_nonzero((by_day >= low_c) & (by_day <= high_c), axis=1), days)
    hot = _window_sums(np.count_nonzero(by_day > limit_c, axis=1), days)
    good = (in_band >= share * days * HOURS - 1e-9) & (hot == 0)
    unknown = np.count_nonzero(np.isnan(by_day), axis=1)
    known = _window_sums(unknown, days) == 0 if np.any(unknown) else np.ones(good.shape, dtype=bool)
    return _over_years(good & known), _over_years(known)


def _window_sums(of_day: npt.NDArray[Any], days: int) -> Integers:
    """Sum over the days after each start, for each start but those of the last year."""
    total = np.concatenate([[0], np.cumsum(of_day, dtype=np.int64)])
    starts = len(of_day) - DAYS
    return np.asarray(total[days : days + starts] - total[:starts])


def _over_years(of_start: Bool) -> Integers:
    return np.asarray(np.count_nonzero(of_start.reshape(-1, DAYS), axis=0))


def _whole_years(hours: Any) -> Float:
    t = check_range("temperature_hourly_c", hours, *AIR_RANGE_C, "°C")
    if t.ndim != 1 or t.size % YEAR_HOURS or t.size < 2 * YEAR_HOURS:
        allowed = f"two or more whole years of {YEAR_HOURS} hours in one row, 29 February left out"
        raise BadValue("temperature_hourly_c", f"an array of shape {t.shape}", allowed)
    return t


def _check(days: int, low_c: float, high_c: float, limit_c: float, share: float) -> None:
    if not (isinstance(days, int | np.integer) and 1 <= days <= DAYS):
        raise BadValue("days", days, f"a whole number from 1 to {DAYS}")
    check_range("low_c", low_c, *AIR_RANGE_C, "°C")
    if not low_c <= high_c:
        raise BadValue("high_c", high_c, f"at least low_c, which is {low_c:g}")
    if not high_c <= limit_c:
        raise BadValue("limit_c", limit_c, f"at least high_c, which is {high_c:g}")
    if not 0.0 <= share <= 1.0:
        raise BadValue("share", share, "0 to 1")
