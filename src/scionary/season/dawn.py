"""The hour of the morning at which scions are cut, and what an hourly record says of it."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.season.sun import day_length
from scionary.units import Float, as_floats, check_range

HOUR_S = 3600.0


def cutting_times(dates: Any, latitude_deg: float, longitude_deg: float, *, after_sunrise_h: float = 1.5) -> Float:
    """Moments shortly after sunrise on given days.

    Parameters
    ----------
    dates : array_like of datetime64[D]
        Days at the place.
    latitude_deg, longitude_deg : float
        The place [°], south and west negative.
    after_sunrise_h : float
        Hours after sunrise, 0 to 12. Default 1.5; project default, unsourced. Where the sun does not set, or not rise,
        it counts from six hours before noon.

    Returns
    -------
    ndarray
        Seconds since 1970 UTC, to a quarter of an hour (the equation of time is left out).

    Raises
    ------
    BadValue
        When place or hours are out of range.
    """
    east = float(check_range("longitude_deg", longitude_deg, -180.0, 180.0, "°"))
    after = float(check_range("after_sunrise_h", after_sunrise_h, 0.0, 12.0, "h"))
    days = np.atleast_1d(np.asarray(dates, dtype="datetime64[D]"))
    day_of_year = (days - days.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.int64) + 1
    length = np.asarray(day_length(latitude_deg, day_of_year))
    length = np.where((length <= 0.0) | (length >= 24.0), 12.0, length)
    noon = days.astype("datetime64[s]").astype(np.float64) + (12.0 - east / 15.0) * HOUR_S
    return np.asarray(noon + (after - length / 2.0) * HOUR_S)


def readings_at(time_s: Any, values: Any, wanted_s: Any, *, within_h: float = 1.0) -> Float:
    """Nearest known reading to each moment.

    Parameters
    ----------
    time_s : array_like
        Time of each reading, seconds since 1970 UTC, rising.
    values : array_like
        What was read; NaN where it is missing.
    wanted_s : array_like
        Moments.
    within_h : float
        A reading further off does not count [h].

    Returns
    -------
    ndarray
        One a moment; NaN where no reading is near.

    Raises
    ------
    BadValue
        When times do not rise or lengths differ.
    """
    time, value = _record(time_s, values)
    wanted = np.atleast_1d(as_floats("wanted_s", wanted_s))
    known = ~np.isnan(value)
    time, value = time[known], value[known]
    if not time.size:
        return np.full(wanted.shape, np.nan)
    after = np.clip(np.searchsorted(time, wanted), 1, max(time.size - 1, 1))
    pair = np.stack([np.minimum(after - 1, time.size - 1), np.minimum(after, time.size - 1)])
    off = np.abs(time[pair] - wanted)
    nearest = np.take_along_axis(pair, off.argmin(axis=0)[None], axis=0)[0]
    return np.where(off.min(axis=0) <= within_h * HOUR_S, value[nearest], np.nan)


def summed_before(time_s: Any, values: Any, wanted_s: Any, *, hours: float = 6.0) -> Float:
    """Sum of the readings of the hours before each moment, such as rain before cutting.

    Parameters
    ----------
    time_s : array_like
        Time of each reading, seconds since 1970 UTC, rising; a reading stands for the hour that ends with it.
    values : array_like
        What was read, a sum each; NaN where it is missing.
    wanted_s : array_like
        Moments.
    hours : float
        How far back [h], above 0.

    Returns
    -------
    ndarray
        One a moment; NaN where a reading among them is missing, or fewer than half of the hours have one.

    Raises
    ------
    BadValue
        When times do not rise or lengths differ.
    """
    time, value = _record(time_s, values)
    wanted = np.atleast_1d(as_floats("wanted_s", wanted_s))
    if not hours > 0.0:
        raise BadValue("hours", hours, "above 0 h")
    first, last = np.searchsorted(time, wanted - hours * HOUR_S, side="right"), np.searchsorted(time, wanted, side="right")
    total = np.concatenate([[0.0], np.cumsum(np.nan_to_num(value))])
    holes = np.concatenate([[0], np.cumsum(np.isnan(value))])
    good = (holes[last] == holes[first]) & (last - first >= hours / 2.0)
    return np.where(good, total[last] - total[first], np.nan)


def _record(time_s: Any, values: Any) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    time, value = as_floats("time_s", time_s), as_floats("values", values)
    if time.ndim != 1 or time.shape != value.shape or not np.all(np.diff(time) > 0.0):
        raise BadValue("time_s", f"{time.size} times", f"rising, as many as readings, {value.size}")
    return time, value
