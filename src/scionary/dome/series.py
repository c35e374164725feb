"""A logger's readings put in order, and the stretches of time that they stand for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.dome.humidity import HUMIDITY_RANGE_PCT, TEMPERATURE_RANGE_C
from scionary.errors import BadValue
from scionary.units import Float, as_floats, refuse_where


@dataclass(frozen=True, eq=False)
class Readings:
    """Readings in order of time, one a moment; what cannot be true is unknown.

    Attributes
    ----------
    time_s : ndarray
        Seconds since 1970 in UTC [s], strictly rising.
    temperature_c : ndarray
        Air temperature [°C]; NaN is unknown.
    relative_humidity_pct : ndarray
        Relative humidity [%], at most 100; NaN is unknown.
    duplicates : int
        Readings dropped because a later line had the same moment.
    impossible : int
        Moments with a value that no air can have.
    """

    time_s: Float
    temperature_c: Float
    relative_humidity_pct: Float
    duplicates: int
    impossible: int

    @property
    def interval_s(self) -> float:
        """The log's usual interval: the median step [s]; NaN for fewer than two readings."""
        return float(np.median(np.diff(self.time_s))) if self.time_s.size > 1 else float("nan")


@dataclass(frozen=True, eq=False)
class Stretches:
    """Pieces of time that lie end to end from the first reading to the last.

    Attributes
    ----------
    from_s, to_s : ndarray
        Where each piece begins and ends [s].
    temperature_c : ndarray
        Air temperature in it [°C]; NaN is unknown.
    relative_humidity_pct : ndarray
        Relative humidity in it [%]; NaN is unknown.
    """

    from_s: Float
    to_s: Float
    temperature_c: Float
    relative_humidity_pct: Float

    @cached_property
    def hours(self) -> Float:
        """Length of each piece [h]."""
        return (self.to_s - self.from_s) / 3600.0

    def hours_where(self, mask: npt.NDArray[np.bool_]) -> float:
        """Add up the hours of some pieces.

        Parameters
        ----------
        mask : ndarray of bool
            True for the pieces that count.

        Returns
        -------
        float
            Hours [h].
        """
        return float(self.hours[mask].sum())


def order_readings(time_s: Any, temperature_c: Any, relative_humidity_pct: Any) -> Readings:
    """Sort readings, merge those of the same moment (the last one given stays), blank impossible values.

    Parameters
    ----------
    time_s : array_like
        Seconds since 1970 in UTC [s], in any order.
    temperature_c : array_like
        As many air temperatures [°C]; NaN is unknown, below -60 or above 80 is impossible.
    relative_humidity_pct : array_like
        As many relative humidities [%]; NaN is unknown, below 0 or above 100.5 is impossible.

    Returns
    -------
    Readings
        In order, with counts of what was merged and blanked.

    Raises
    ------
    BadValue
        When the lengths differ or a time is not a finite number.
    """
    time = _column("time_s", time_s)
    refuse_where(~np.isfinite(time), "time_s", time, "finite seconds since 1970")
    temperature = _column("temperature_c", temperature_c, like=time)
    humidity = _column("relative_humidity_pct", relative_humidity_pct, like=time)
    keep = _kept(time)
    temperature, bad_temperature = _possible(temperature[keep], *TEMPERATURE_RANGE_C)
    humidity, bad_humidity = _possible(humidity[keep], *HUMIDITY_RANGE_PCT)
    return Readings(
        time_s=time[keep],
        temperature_c=temperature,
        relative_humidity_pct=np.minimum(humidity, 100.0),
        duplicates=int(time.size - time[keep].size),
        impossible=int(np.count_nonzero(bad_temperature | bad_humidity)),
    )


def stretches_of(readings: Readings, *, hold_s: float) -> Stretches:
    """Let each reading stand for the time until the next one, at most `hold_s`; the rest is unknown.

    The last reading stands for no time: nothing is said about what came after it.

    Parameters
    ----------
    readings : Readings
        In order.
    hold_s : float
        Longest time that a reading stands for [s].

    Returns
    -------
    Stretches
        Pieces from the first reading to the last, without overlaps or holes.
    """
    begin, end = readings.time_s[:-1], readings.time_s[1:]
    held = np.minimum(begin + hold_s, end)
    gaps = np.flatnonzero(end > held)
    pieces = [
        np.insert(begin, gaps + 1, held[gaps]),
        np.insert(held, gaps + 1, end[gaps]),
        np.insert(readings.temperature_c[:-1], gaps + 1, np.nan),
        np.insert(readings.relative_humidity_pct[:-1], gaps + 1, np.nan),
    ]
    real = pieces[1] > pieces[0]
    return Stretches(*(pieces if real.all() else [each[real] for each in pieces]))


def _kept(time: Float) -> npt.NDArray[np.intp] | slice:
    """The readings in order of time, of equal moments the last one; a slice when they stand so already."""
    if np.all(np.diff(time) > 0):
        return slice(None)
    order = np.argsort(time, kind="stable")
    kept: npt.NDArray[np.intp] = order[np.append(np.diff(time[order]) > 0, True)]
    return kept


def _column(name: str, value: Any, *, like: Float | None = None) -> Float:
    numbers = as_floats(name, value)
    if numbers.ndim != 1:
        raise BadValue(name, f"an array of shape {numbers.shape}", "one row of numbers")
    if like is not None and numbers.size != like.size:
        raise BadValue(name, f"{numbers.size} numbers", f"as many as time_s, {like.size}")
    return numbers


def _possible(numbers: Float, low: float, high: float) -> tuple[Float, npt.NDArray[np.bool_]]:
    wrong = (numbers < low) | (numbers > high)
    return np.where(wrong, np.nan, numbers), wrong
