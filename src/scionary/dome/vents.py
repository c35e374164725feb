"""How far a dome's vents are open, and when they were moved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.dome.outside import OutsideAir, rising
from scionary.errors import BadValue
from scionary.units import Float, check_range, refuse_where

MOST_VENT_CM2 = 1e6
SHORT_STEPS = (0.125, 0.25, 0.5)  # where a step that begins with a change of vents is cut


@dataclass(frozen=True, eq=False)
class Vents:
    """How far vents were open: each area holds from its moment until the next; before the first, the first holds.

    Attributes
    ----------
    time_s : array_like, shape (changes,)
        Moments, rising [s].
    area_cm2 : array_like, shape (changes,)
        Open area [cm²], 0 or more, known.
    """

    time_s: Any
    area_cm2: Any

    def __post_init__(self) -> None:
        """Turn both into float arrays of one length."""
        time_s, area = rising("vents.time_s", self.time_s, least=1), _areas(self.area_cm2)
        if area.shape != time_s.shape:
            raise BadValue("vents.area_cm2", f"{area.size} values", f"one for each of the {time_s.size} moments")
        object.__setattr__(self, "time_s", time_s)
        object.__setattr__(self, "area_cm2", area)


def opening_on_steps(vents: Any, outside: OutsideAir, time_s: Float) -> Float:
    """Give the open area of every step.

    Parameters
    ----------
    vents : float, array_like or Vents
        Open area [cm²]: one number, one a step, one for each moment of the weather (held until the next), or changes.
    outside : OutsideAir
        Weather, whose moments an array may follow.
    time_s : ndarray, shape (steps + 1,)
        The steps' ends.

    Returns
    -------
    ndarray, shape (steps,)
        Mean open area of each step [m²].

    Raises
    ------
    BadValue
        For an area below 0 or unknown, or an array of another length.
    """
    if not isinstance(vents, Vents):
        area = _areas(vents)
        if area.ndim == 0:
            return np.full(time_s.size - 1, float(area) / 1e4)
        if area.shape == (time_s.size - 1,):
            return area / 1e4
        if area.shape != outside.time_s.shape:
            lengths = f"one number, one for each of the {time_s.size - 1} steps or of the {outside.time_s.size} moments"
            raise BadValue("vents", f"{area.size} values", lengths)
        vents = Vents(outside.time_s, area)
    return _held(vents, time_s) / 1e4


def with_short_steps(time_s: Float, opening: Float) -> tuple[Float, Float, npt.NDArray[np.intp]]:
    """Cut each step that begins with a change of vents into shorter ones, where the dome moves fastest.

    Parameters
    ----------
    time_s : ndarray, shape (steps + 1,)
        Ends of the steps [s].
    opening : ndarray, shape (steps,)
        Open area of each.

    Returns
    -------
    time_s, opening : ndarray
        The same with steps cut.
    places : ndarray of int, shape (steps + 1,)
        Where the moments given stand in the new row.
    """
    changed = np.flatnonzero(np.diff(opening) != 0.0) + 1
    more = (time_s[changed, None] + np.array(SHORT_STEPS) * (time_s[changed + 1] - time_s[changed])[:, None]).ravel()
    finer = np.sort(np.concatenate([time_s, more]))
    places = np.searchsorted(finer, time_s)
    return finer, opening[np.searchsorted(time_s, finer[:-1], side="right") - 1], places


def _areas(value: Any) -> Float:
    area = check_range("vents", value, 0.0, MOST_VENT_CM2, "cm²")
    refuse_where(np.isnan(area), "vents", area, f"0 to {MOST_VENT_CM2:g} cm², known at every moment")
    if area.ndim > 1:
        raise BadValue("vents", f"{area.ndim} dimensions", "one number or a row")
    return area


def _held(vents: Vents, time_s: Float) -> Float:
    """Mean of a held value over each step, exactly, by the integral at the steps' ends."""
    change, area = vents.time_s, vents.area_cm2
    total = np.concatenate([[0.0], np.cumsum(area[:-1] * np.diff(change))])
    at = np.clip(np.searchsorted(change, time_s, side="right") - 1, 0, None)
    integral = total[at] + area[at] * (time_s - change[at])
    mean: Float = np.diff(integral) / np.diff(time_s)
    return np.maximum(mean, 0.0)
