"""Dew and mould: how long leaves were taken to be wet, and how long grey mould could germinate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scionary.dome.limits import AirLimits
from scionary.dome.series import Stretches


@dataclass(frozen=True)
class Wetness:
    """Wet hours and mould hours of one log. A closed dome is wet nearly always: these are no alarm by themselves.

    Attributes
    ----------
    hours_wet : float
        Hours at or above `wet_pct` [h].
    hours_mould : float
        Hours in spells without a break of at least `mould_after_s` at or above `mould_pct` and between `mould_low_c` and
        `mould_high_c` [h]. An unknown reading breaks a spell: the sum is a lower bound where hours are unknown.
    mould_spells : int
        How many such spells.
    longest_mould_h : float
        The longest of them [h]; 0 for none.
    """

    hours_wet: float
    hours_mould: float
    mould_spells: int
    longest_mould_h: float


def wetness(stretches: Stretches, limits: AirLimits) -> Wetness:
    """Add up wet hours and the hours in which grey mould could germinate.

    Parameters
    ----------
    stretches : Stretches
        Pieces of time, end to end.
    limits : AirLimits
        What counts as wet and as mould weather.

    Returns
    -------
    Wetness
        Hours and spells.
    """
    t, rh = stretches.temperature_c, stretches.relative_humidity_pct
    mould = (rh >= limits.mould_pct) & (t >= limits.mould_low_c) & (t <= limits.mould_high_c)
    edges = np.diff(np.concatenate([[False], mould, [False]]).astype(np.int8))
    first, after = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    spells_s = stretches.to_s[after - 1] - stretches.from_s[first]
    long_h = spells_s[spells_s >= limits.mould_after_s] / 3600.0
    return Wetness(
        hours_wet=stretches.hours_where(rh >= limits.wet_pct),
        hours_mould=float(long_h.sum()),
        mould_spells=int(long_h.size),
        longest_mould_h=float(long_h.max(initial=0.0)),
    )
