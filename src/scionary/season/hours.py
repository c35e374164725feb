"""Hours laid out by year and by day in local standard time; hours from a day's extremes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.season.degree_days import AIR_RANGE_C, daily_extremes
from scionary.season.sun import day_length
from scionary.units import Float, as_floats, check_range, refuse_where

Dates = npt.NDArray[np.datetime64]
Integers = npt.NDArray[np.int64]
HOUR_S = 3600.0
LEAP_DAY = 59  # days of the year before 29 February


@dataclass(frozen=True, eq=False)
class HoursByYear:
    """Hours of whole calendar years.

    Attributes
    ----------
    first_year : int
        Calendar year of the first row.
    temperature_c : ndarray of shape (years, 365, 24)
        Mean of each hour [°C]; NaN where it is missing. 29 February is left out.
    hours_missing : ndarray of int
        Hours missing of each year's 8760.
    """

    first_year: int
    temperature_c: Float
    hours_missing: npt.NDArray[np.int64]

    def in_a_row(self) -> Float:
        """Give the hours as `window_fraction` takes them.

        Returns
        -------
        ndarray of shape (years * 365 * 24,)
            All hours one after the other [°C].
        """
        return self.temperature_c.reshape(-1)


def hours_by_year(time_s: Any, temperature_c: Any, *, utc_offset_h: float) -> HoursByYear:
    """Lay readings out by year, day and hour of local standard time.

    Standard time all year: no hour is left out in spring and none comes twice in autumn.

    Parameters
    ----------
    time_s : array_like
        Time of each reading, seconds since 1970 UTC, in any order.
    temperature_c : array_like
        Air temperature [°C], -90 to 60; NaN where it is missing. Readings of the same hour are averaged.
    utc_offset_h : float
        Standard time less UTC [h], -14 to 14.

    Returns
    -------
    HoursByYear
        From the first calendar year with a reading to the last.

    Raises
    ------
    BadValue
        When there is no reading, a time is not known, or lengths differ.
    """
    local, t = _local_hours(time_s, temperature_c, utc_offset_h)
    year, day, hour, leap = _calendar(local)
    first = int(year.min())
    flat = ((year - first) * 365 + day) * 24 + hour
    kept = ~leap & ~np.isnan(t)
    size = (int(year.max()) - first + 1) * 8760
    number = np.bincount(flat[kept], minlength=size)[:size]
    total = np.bincount(flat[kept], weights=t[kept], minlength=size)[:size]
    means = np.where(number > 0, total / np.maximum(number, 1), np.nan).reshape(-1, 365, 24)
    return HoursByYear(first, means, np.isnan(means).sum(axis=(1, 2)))


@dataclass(frozen=True, eq=False)
class DayExtremes:
    """Days summed up from readings.

    Attributes
    ----------
    dates : ndarray of datetime64[D]
        Every day from the first to the last.
    highest, lowest, mean : ndarray of float
        Of each day; NaN where too few hours are known.
    hours_known : ndarray of int
        Hours of the day with a reading.
    """

    dates: Dates
    highest: Float
    lowest: Float
    mean: Float
    hours_known: npt.NDArray[np.int64]


def days_of_hours(time_s: Any, values: Any, *, utc_offset_h: float, least_hours: int = 20) -> DayExtremes:
    """Sum readings up by day of local standard time.

    Parameters
    ----------
    time_s : array_like
        Time of each reading, seconds since 1970 UTC, in any order.
    values : array_like
        What was read; NaN where it is missing. The mean is the mean of the hours' means.
    utc_offset_h : float
        Standard time less UTC [h], -14 to 14.
    least_hours : int
        A day with fewer known hours is not known, 1 to 24. Default 20; project default, unsourced.

    Returns
    -------
    DayExtremes
        One entry a day.

    Raises
    ------
    BadValue
        When there is no reading, a time is not known, or lengths differ.
    """
    local, v = _local_hours(time_s, values, utc_offset_h, any_value=True)
    day, hour = np.divmod(local, 24)
    first, count = int(day.min()), int(day.max() - day.min()) + 1
    kept = ~np.isnan(v)
    at, slot = (day - first)[kept], ((day - first) * 24 + hour)[kept]
    highest, lowest = np.full(count, -np.inf), np.full(count, np.inf)
    np.maximum.at(highest, at, v[kept])
    np.minimum.at(lowest, at, v[kept])
    number = np.bincount(slot, minlength=count * 24)
    means = np.where(number > 0, np.bincount(slot, weights=v[kept], minlength=count * 24) / np.maximum(number, 1), 0.0).reshape(-1, 24)
    hours = (number.reshape(-1, 24) > 0).sum(axis=1)
    enough = hours >= least_hours
    dates = np.datetime64("1970-01-01", "D") + first + np.arange(count)
    mean = means.sum(axis=1) / np.maximum(hours, 1)
    known = [np.where(enough, each, np.nan) for each in (highest, lowest, mean)]
    return DayExtremes(dates, known[0], known[1], known[2], hours)


def hours_from_extremes(latitude_deg: float, day_of_year: Any, temperature_max_c: Any, temperature_min_c: Any) -> Float:
    """Guess each hour from a day's extremes: a sine by day, a logarithm by night.

    For chill and windows where only daily extremes are known. It is a guess of the usual run of a day, blind to fronts.

    Parameters
    ----------
    latitude_deg : float
        Latitude [°], -90 to 90, south negative.
    day_of_year : array_like of shape (days,)
        Day of the year, 1 to 366, of days that follow one another.
    temperature_max_c, temperature_min_c : array_like of shape (days,)
        Extremes of each day [°C]; NaN gives NaN for its hours and for the night that leads to it.

    Returns
    -------
    ndarray of shape (days, 24)
        Temperature of each hour [°C]. In the polar night, where the sun does not rise, the day's mean.

    Raises
    ------
    BadValue
        When extremes are out of range or crossed.

    References
    ----------
    Linvill (1990), HortScience 25:14, eq. 1 and 2.
    """
    highest, lowest = (np.atleast_1d(each) for each in daily_extremes(temperature_max_c, temperature_min_c))
    length = np.atleast_1d(np.asarray(day_length(latitude_deg, day_of_year)))[:, None]
    rise, hour = 12.0 - length / 2.0, np.arange(24.0)[None, :]
    low_next, rise_next = (np.concatenate([each[1:], each[-1:]])[:, None] for each in (lowest, rise[:, 0]))
    high, low = highest[:, None], lowest[:, None]
    by_day = low + (high - low) * np.sin(np.pi * np.clip(hour - rise, 0.0, length) / (length + 4.0))
    dusk = low + (high - low) * np.sin(np.pi * length / (length + 4.0))
    after = _cooling(dusk, low_next, hour - (rise + length), 24.0 - (rise + length) + rise_next)
    before = np.concatenate([np.broadcast_to(low[:1], (1, 24)), _night_before(dusk, low, rise, length, hour)[:-1]])
    hours = np.where(hour < rise, before, np.where(hour <= rise + length, by_day, after))
    return np.where(length <= 0.0, (high + low) / 2.0, hours)


def _night_before(dusk: Float, low: Float, rise: Float, length: Float, hour: Float) -> Float:
    """Hours after midnight that belong to the night begun on each day: written for the day after it."""
    low_next, rise_next = (np.concatenate([each[1:], each[-1:]]) for each in (low, rise))
    dark = 24.0 - (rise + length)
    return _cooling(dusk, low_next, dark + hour, dark + rise_next)


def _cooling(dusk: Float, low: Float, since: Float, night: Float) -> Float:
    """Linvill's eq. 2: from sunset's temperature towards the next morning's lowest."""
    share = np.log(np.maximum(since, 1.0)) / np.log(np.maximum(night, 1.0 + 1e-9))
    return np.asarray(dusk - (dusk - low) * np.clip(share, 0.0, 1.0))


def _local_hours(time_s: Any, values: Any, utc_offset_h: float, *, any_value: bool = False) -> tuple[npt.NDArray[np.int64], Float]:
    time = as_floats("time_s", time_s)
    check_range("utc_offset_h", utc_offset_h, -14.0, 14.0, "h")
    v = as_floats("values", values) if any_value else check_range("temperature_c", values, *AIR_RANGE_C, "°C")
    if time.ndim != 1 or not time.size or time.shape != v.shape:
        raise BadValue("time_s", f"{time.size} times", f"one or more, as many as readings, {v.size}")
    refuse_where(np.isnan(time), "time_s", time, "known seconds since 1970 UTC")
    return np.floor((time + utc_offset_h * HOUR_S) / HOUR_S).astype(np.int64), v


def _calendar(local: Integers) -> tuple[Integers, Integers, Integers, npt.NDArray[np.bool_]]:
    """Year, day of a year of 365 days, hour, and whether it is 29 February."""
    day_number, hour = np.divmod(local, 24)
    days = day_number.astype("datetime64[D]")
    years = days.astype("datetime64[Y]")
    day = (days - years.astype("datetime64[D]")).astype(np.int64)
    year = years.astype(np.int64) + 1970
    leap_year = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    return year, day - (leap_year & (day > LEAP_DAY)), hour, leap_year & (day == LEAP_DAY)
