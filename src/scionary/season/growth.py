"""Stages of growth through a year, from heat, day length and cold: dormant, soft, half-ripe, ripe."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import IntEnum
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import mark, say
from scionary.units import Float, as_floats, check_range

UNSOURCED = mark("project default, unsourced")


class Stage(IntEnum):
    """How far this year's wood is."""

    DORMANT = 0
    SOFT = 1
    HALF_RIPE = 2
    RIPE = 3

    @property
    def words(self) -> str:
        """The stage in words."""
        return (say("dormant"), say("soft"), say("half-ripe"), say("ripe"))[self.value]


@dataclass(frozen=True, eq=False)
class StageHeat:
    """Heat sums from the shortest day on, over 5 °C, at which wood passes from one stage to the next.

    Each may be one number, or equally many draws (`HeatSumFit.draws`), so that what is not known comes along. A second flush
    makes soft wood again, which no heat sum foresees: what a person sees on the tree counts more.

    Attributes
    ----------
    bud_break : float or ndarray
        Buds open [°C d]. Default 150; project default, unsourced.
    half_ripe : float or ndarray
        The first flush begins to harden [°C d]. Default 550; project default, unsourced.
    ripe : float or ndarray
        The first flush is hard [°C d]. Default 950; project default, unsourced.
    rest_day_h : float
        Wood goes to rest in autumn when the falling day is at most so long [h] ... Default 11.5; project default, unsourced.
    rest_mean_c : float
        ... and the mean of the last fortnight at most so warm [°C]. Default 8; project default, unsourced.
    """

    bud_break: Any = 150.0
    half_ripe: Any = 550.0
    ripe: Any = 950.0
    rest_day_h: float = 11.5
    rest_mean_c: float = 8.0

    def __post_init__(self) -> None:
        """Refuse stages in another order."""
        sums = [np.atleast_1d(check_range(name, getattr(self, name), 0.0, 20_000.0, "°C d")) for name in ("bud_break", "half_ripe", "ripe")]
        if len({each.size for each in sums} - {1}) > 1:
            raise BadValue("ripe", f"{sums[2].size} draws", "as many as bud_break and half_ripe, or one number")

    def in_order(self) -> Float:
        """Give the three sums as columns, one row a draw; a draw out of order is put in order.

        Returns
        -------
        ndarray of shape (draws, 3)
            Heat sums [°C d], not falling within a row.
        """
        rows = np.stack(
            np.broadcast_arrays(*(np.atleast_1d(as_floats("heat", each)) for each in (self.bud_break, self.half_ripe, self.ripe))), axis=1
        )
        return np.maximum.accumulate(rows, axis=1)

    def assumptions(self) -> list[dict[str, Any]]:
        """List the sums and limits; the middle where draws were given.

        Returns
        -------
        list of dict
            ``name``, ``value``, ``unit``, ``source``.
        """
        units = {"rest_day_h": "h", "rest_mean_c": "°C"}
        listed = []
        for each in fields(self):
            value = getattr(self, each.name)
            fitted = np.size(value) > 1
            source = "fitted to your own looks" if fitted else UNSOURCED if value == each.default else "given"
            listed.append({"name": each.name, "value": float(np.median(value)), "unit": units.get(each.name, "°C d"), "source": source})
        return listed


def stage_chances(heat: Any, day_length_h: Any, fortnight_mean_c: Any, stages: StageHeat) -> Float:
    """Chance of each stage on each day of growing years.

    Parameters
    ----------
    heat : array_like of shape (..., 365)
        Heat sum at the end of each day since the shortest day [°C d]; NaN gives NaN.
    day_length_h : array_like of shape (365,)
        Day length, the first day the shortest [h].
    fortnight_mean_c : array_like of shape (..., 365)
        Mean temperature of the fourteen days that end with the day [°C]; where it is not known nothing goes to rest.
    stages : StageHeat
        Heat sums, one or many draws.

    Returns
    -------
    ndarray of shape (..., 365, 4)
        Chances in the order of `Stage`; they sum to one.
    """
    heat, length, mean = (as_floats("heat", each) for each in (heat, day_length_h, fortnight_mean_c))
    sums = stages.in_order()
    passed = np.stack([(heat[..., None] >= sums[:, column]).mean(axis=-1) for column in range(3)], axis=-1)
    resting = at_rest(length, mean, stages)
    awake = np.where(resting[..., None], 0.0, passed)
    chances = np.concatenate([1.0 - awake[..., :1], awake[..., :2] - awake[..., 1:], awake[..., 2:]], axis=-1)
    return np.where(np.isnan(heat)[..., None], np.nan, chances)


def at_rest(day_length_h: Float, fortnight_mean_c: Float, stages: StageHeat) -> npt.NDArray[np.bool_]:
    """Days from which wood has gone to rest in autumn, until the row's end.

    Parameters
    ----------
    day_length_h : ndarray of shape (365,)
        Day length, the first day the shortest [h].
    fortnight_mean_c : ndarray of shape (..., 365)
        Mean temperature of the last fortnight [°C].
    stages : StageHeat
        The two limits of rest.

    Returns
    -------
    ndarray of bool of shape (..., 365)
        True from the first day of rest on.
    """
    falling = np.arange(day_length_h.shape[-1]) > day_length_h.shape[-1] // 2
    short = falling & (day_length_h <= stages.rest_day_h)
    return np.asarray(np.logical_or.accumulate(short & (fortnight_mean_c <= stages.rest_mean_c), axis=-1))
