"""Heat from the shortest day on, in growing years that turn with the hemisphere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.season.degree_days import growing_degree_days
from scionary.units import Float

Dates = npt.NDArray[np.datetime64]
Integers = npt.NDArray[np.int64]
BASE_C = 5.0  # project default, unsourced: nothing moves below it
YEAR_DAYS = 365
FILL_DAYS = 7
DAY = np.timedelta64(1, "D")


@dataclass(frozen=True, eq=False)
class HeatCourse:
    """Heat of each growing year from its shortest day on, one row a year of 365 days.

    A growing year begins with the winter solstice, taken as 21 December in the north and 21 June in the south, and is
    called after the calendar year of its spring, as for `FrostDates`.

    Attributes
    ----------
    year : ndarray of int
        Growing years, rising.
    start : ndarray of datetime64[D]
        The day of the first column of each row.
    daily : ndarray of shape (years, 365)
        Degree days of each day [°C d]; NaN where they are not known.
    low, high : ndarray of shape (years, 365)
        Heat sum at the end of each day [°C d]: missing days as nothing, and as the warmest of the known days within a
        week. Days before the first and after the last known one of the record are NaN.
    """

    year: Integers
    start: Dates
    daily: Float
    low: Float
    high: Float

    def on(self, day: Any) -> tuple[float, float]:
        """Give the heat sum at the end of a day, low and high.

        Parameters
        ----------
        day : datetime64[D] or str
            A day of the record.

        Returns
        -------
        tuple of float
            Low and high sum [°C d]; NaN where the record does not reach.
        """
        wanted = np.datetime64(day, "D")
        for row, start in enumerate(self.start):
            at = int((wanted - start) / DAY)
            if 0 <= at < YEAR_DAYS:
                return float(self.low[row, at]), float(self.high[row, at])
        return float("nan"), float("nan")


def heat_course(
    dates: Any,
    temperature_max_c: Any,
    temperature_min_c: Any,
    *,
    southern: bool = False,
    base_c: float = BASE_C,
    upper_c: float | None = None,
) -> HeatCourse:
    """Sum heat up from the shortest day of each growing year.

    Parameters
    ----------
    dates : array_like of datetime64[D]
        Days in rising order, each at most once; days left out are missing.
    temperature_max_c, temperature_min_c : array_like
        Extremes of each day [°C]; NaN where they are missing.
    southern : bool
        True south of the equator.
    base_c, upper_c : float
        As for `growing_degree_days` [°C]. Default base 5; project default, unsourced.

    Returns
    -------
    HeatCourse
        One row a growing year. 29 February is a day like any other; a row has 365 days.

    Raises
    ------
    BadValue
        When dates are none or do not rise, or extremes are out of range or crossed.
    """
    days = checked_days(dates)
    gained = np.asarray(growing_degree_days(temperature_max_c, temperature_min_c, base_c=base_c, upper_c=upper_c))
    if gained.shape != days.shape:
        raise BadValue("temperature_max_c", f"{gained.size} numbers", f"as many as dates, {days.size}")
    year, start = growing_years(days, southern=southern)
    daily = by_year(days, gained, start)
    inside = (start[:, None] + np.arange(YEAR_DAYS) * DAY >= days[0]) & (start[:, None] + np.arange(YEAR_DAYS) * DAY <= days[-1])
    since = np.logical_and.accumulate(inside, axis=1)  # a row that begins before the record has no sum
    low, high = np.cumsum(np.nan_to_num(daily), axis=1), np.cumsum(_filled(daily), axis=1)
    return HeatCourse(year, start, daily, np.where(since, low, np.nan), np.where(since, high, np.nan))


def checked_days(dates: Any) -> Dates:
    """Check that days rise.

    Parameters
    ----------
    dates : array_like of datetime64[D]
        Days.

    Returns
    -------
    ndarray of datetime64[D]
        The same.

    Raises
    ------
    BadValue
        When there is none, or they do not rise.
    """
    days = np.asarray(dates, dtype="datetime64[D]")
    if days.ndim != 1 or not days.size or np.isnat(days).any() or (np.diff(days) <= 0 * DAY).any():
        raise BadValue("dates", f"{days.size} days", "one or more days, each later than the one before")
    return days


def growing_years(days: Dates, *, southern: bool) -> tuple[Integers, Dates]:
    """Growing years that the days touch, and the winter solstice with which each begins.

    Parameters
    ----------
    days : ndarray of datetime64[D]
        Days, rising.
    southern : bool
        True south of the equator.

    Returns
    -------
    tuple of ndarray
        Years, and their first days.
    """
    calendar = days[[0, -1]].astype("datetime64[Y]").astype(np.int64) + 1970
    year = np.arange(calendar[0] - 1, calendar[1] + 2)
    start = np.array([f"{each}-06-21" if southern else f"{each - 1}-12-21" for each in year], dtype="datetime64[D]")
    touched = (start <= days[-1]) & (start + YEAR_DAYS * DAY > days[0])
    return year[touched], start[touched]


def by_year(days: Dates, values: Float, start: Dates) -> Float:
    """Lay values out in rows of 365 days.

    Parameters
    ----------
    days : ndarray of datetime64[D]
        Days, rising.
    values : ndarray
        One a day.
    start : ndarray of datetime64[D]
        First day of each row.

    Returns
    -------
    ndarray of shape (len(start), 365)
        NaN where no day was given.
    """
    rows = np.full((start.size, YEAR_DAYS), np.nan)
    for row, first in enumerate(start):
        at = ((days - first) / DAY).astype(np.int64)
        mine = (at >= 0) & (at < YEAR_DAYS)
        rows[row, at[mine]] = values[mine]
    return rows


def _filled(daily: Float) -> Float:
    """Missing days as the warmest of the known days within a week of them; without any, as the warmest of all."""
    missing = np.isnan(daily)
    if not missing.any():
        return daily
    known = np.where(missing, -np.inf, daily)
    padded = np.pad(known, ((0, 0), (FILL_DAYS, FILL_DAYS)), constant_values=-np.inf)
    around = np.max([padded[:, at : at + daily.shape[1]] for at in range(2 * FILL_DAYS + 1)], axis=0)
    warmest = max(float(known.max()), 0.0)
    return np.where(missing, np.where(np.isfinite(around), around, warmest), daily)
