"""A logger's readings from inside a dome, brought to the hours at which a fit compares them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from scionary.dome.humidity import HUMIDITY_RANGE_PCT, TEMPERATURE_RANGE_C
from scionary.dome.outside import rising
from scionary.errors import BadValue
from scionary.units import Float, check_range

CENSORED_PCT = 99.9  # at or above this a sensor says only "at least so much"
BIN_S = 3600.0


@dataclass(frozen=True, eq=False)
class InsideAir:
    """What a logger in the dome read.

    Attributes
    ----------
    time_s : array_like, shape (readings,)
        Moments, rising, seconds since 1970 in UTC [s].
    temperature_c, relative_humidity_pct : array_like, shape (readings,)
        Readings [°C, -60 to 80; %, 0 to 100.5]; NaN is unknown and left out.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.
    """

    time_s: Any
    temperature_c: Any
    relative_humidity_pct: Any

    def __post_init__(self) -> None:
        """Turn everything into float arrays of one length."""
        time_s = rising("inside.time_s", self.time_s)
        object.__setattr__(self, "time_s", time_s)
        for name, limits, unit in (
            ("temperature_c", TEMPERATURE_RANGE_C, "°C"),
            ("relative_humidity_pct", HUMIDITY_RANGE_PCT, "%"),
        ):
            row = check_range(f"inside.{name}", getattr(self, name), *limits, unit)
            if row.shape != time_s.shape:
                raise BadValue(f"inside.{name}", f"{row.size} values", f"one for each of the {time_s.size} moments")
            object.__setattr__(self, name, row)


class Seen(NamedTuple):
    """One quantity by the hour.

    Attributes
    ----------
    hour_s : ndarray, shape (hours,)
        Middle of each hour with a reading [s].
    value : ndarray, shape (hours,)
        Mean reading, or the median of an hour in which the sensor was at its limit at times.
    censored : ndarray of bool, shape (hours,)
        True where that is at or above what the sensor can tell.
    first, share : ndarray, shape (readings,)
        Which moment of the march stands before each reading, and how far the reading is towards the next.
    starts : ndarray of int, shape (hours,)
        Where each hour begins among the readings.
    """

    hour_s: Float
    value: Float
    censored: npt.NDArray[np.bool_]
    first: npt.NDArray[np.intp]
    share: Float
    starts: npt.NDArray[np.intp]

    def predicted(self, made: Float) -> Float:
        """Bring a march to the hours: between moments by straight lines, then the mean of each hour's readings.

        Parameters
        ----------
        made : ndarray, shape (moments, domes)
            One quantity of a march.

        Returns
        -------
        ndarray, shape (hours, domes)
            What the sensor would have read.
        """
        at = made[self.first] + self.share[:, None] * (made[self.first + 1] - made[self.first])
        counts = np.diff(np.append(self.starts, self.first.size))
        out: Float = np.add.reduceat(at, self.starts, axis=0) / counts[:, None]
        return out


def by_the_hour(time_s: Float, value: Float, usable: npt.NDArray[np.bool_], moments: Float, *, censored_from: float = np.inf) -> Seen:
    """Gather readings into hours.

    The mean stands for an hour; where the sensor cut readings off, the median does, which they do not move as long as they
    are fewer than half.

    Parameters
    ----------
    time_s, value : ndarray, shape (readings,)
        Readings; NaN is left out.
    usable : ndarray of bool, shape (readings,)
        False for readings that the march cannot answer for.
    moments : ndarray
        Moments of the march [s].
    censored_from : float
        Readings from here on say only "at least".

    Returns
    -------
    Seen
        Empty arrays where nothing is usable.
    """
    keep = usable & ~np.isnan(value) & (time_s >= moments[0]) & (time_s < moments[-1])
    t, v = time_s[keep], value[keep]
    first = np.clip(np.searchsorted(moments, t, side="right") - 1, 0, moments.size - 2)
    share = (t - moments[first]) / (moments[first + 1] - moments[first])
    hours, starts = np.unique(np.floor(t / BIN_S), return_index=True)
    parts = np.split(v, starts[1:]) if t.size else []
    values = np.array([part.mean() if part.max() < censored_from else np.median(part) for part in parts])
    return Seen((hours + 0.5) * BIN_S, values, values >= censored_from, first, share, starts)
