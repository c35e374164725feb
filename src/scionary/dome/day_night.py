"""Day against night: the same log, apart by the clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.dome.limits import AirLimits
from scionary.dome.series import Stretches
from scionary.units import Float


@dataclass(frozen=True)
class PartOfDay:
    """The air by day or by night; NaN where nothing is known.

    Attributes
    ----------
    hours : float
        Hours in which temperature or humidity is known [h].
    temperature_c, relative_humidity_pct : float
        Means over time [°C, %].
    """

    hours: float
    temperature_c: float
    relative_humidity_pct: float


def day_and_night(stretches: Stretches, limits: AirLimits, *, utc_offset_s: Any = 0.0) -> tuple[PartOfDay, PartOfDay]:
    """Means by day and by night; each piece of time counts where its middle lies.

    Parameters
    ----------
    stretches : Stretches
        Pieces of time, end to end.
    limits : AirLimits
        `day_from_h` and `day_to_h` by the clock.
    utc_offset_s : float or (array_like, array_like)
        What the clock shows less UTC [s]; or moments [s], rising, and the offsets [s] that hold from each on.

    Returns
    -------
    tuple of PartOfDay
        Day, night.
    """
    middle = (stretches.from_s + stretches.to_s) / 2.0
    clock_h = (middle + _offset(middle, utc_offset_s)) % 86400.0 / 3600.0
    day = (clock_h >= limits.day_from_h) & (clock_h < limits.day_to_h)
    return _part(stretches, day), _part(stretches, ~day)


def _offset(moments: Float, given: Any) -> Float:
    if not isinstance(given, tuple):
        return np.full(moments.shape, float(given))
    since, offsets = (np.asarray(each, dtype=np.float64) for each in given)
    chosen: Float = offsets[np.clip(np.searchsorted(since, moments, side="right") - 1, 0, None)]
    return chosen


def _part(stretches: Stretches, inside: np.ndarray[Any, np.dtype[np.bool_]]) -> PartOfDay:
    hours = np.where(inside, stretches.hours, 0.0)
    t, rh = stretches.temperature_c, stretches.relative_humidity_pct
    known = ~(np.isnan(t) & np.isnan(rh))
    return PartOfDay(float(hours[known].sum()), _mean(t, hours), _mean(rh, hours))


def _mean(values: Float, hours: Float) -> float:
    known = ~np.isnan(values)
    total = hours[known].sum()
    return float((values[known] * hours[known]).sum() / total) if total > 0 else float("nan")
