"""Where a dome's heat came from and went: the books of a simulation, kept apart from the step that made it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scionary.dome.fluxes import Fluxes, fluxes_at
from scionary.dome.kernel import Sizes, around, saturated, settle
from scionary.dome.simulate import DomeAir
from scionary.units import Float


@dataclass(frozen=True)
class HeatAccount:
    """Heat over a whole simulation [J]; `rest_j` is what the account does not close by.

    Attributes
    ----------
    sun_j, mat_j : float
        Taken up from the sun and given by the mat.
    cover_j, vented_j, evaporated_j : float
        Passed to the cover by contact, carried out with warm air, spent on evaporation (of which dew gives a part to
        the cover).
    stored_j : float
        Kept in tray, pots and air.
    rest_j : float
        In less out less stored.
    rest_share : float
        The rest over all heat taken in.
    """

    sun_j: float
    mat_j: float
    cover_j: float
    vented_j: float
    evaporated_j: float
    stored_j: float
    rest_j: float
    rest_share: float


def heat_account(air: DomeAir) -> HeatAccount:
    """Add up the heat of a simulation by Simpson's rule, with vapour and cover settled anew in the middle of each step.

    Parameters
    ----------
    air : DomeAir
        A simulation without gaps.

    Returns
    -------
    HeatAccount
        Totals and what is left of them.
    """
    grid, opening, sizes, made = air.made_from
    step = np.diff(grid.time_s)
    wet = sizes.pots + sizes.film * (made[3, :-1] > 0.0)
    outside = np.stack([grid.temperature, grid.vapour, grid.wind, grid.sun])
    mat = made[4, :-1]
    t0, t1 = made[0, :-1], made[0, 1:]
    first = _flows(t0, outside[:, :-1], made[2, :-1], made[1, :-1], opening, wet, sizes, mat)
    last = _flows(t1, outside[:, 1:], made[2, 1:], made[1, 1:], opening, wet, sizes, mat)
    bend = step / 8.0 * (first.net - last.net) / sizes.heat_capacity
    t = (t0 + t1) / 2.0 + bend
    between = (outside[:, :-1] + outside[:, 1:]) / 2.0
    middle = _flows(t, between, 0.9 * saturated(t), t, opening, wet, sizes, mat)
    totals = [float(np.sum(step / 6.0 * (a + 4.0 * m + b))) for a, m, b in zip(first, middle, last, strict=True)]
    sun, heated, inner, vented, evaporation = totals[:5]
    stored = float(sizes.heat_capacity * (made[0, -1] - made[0, 0]))
    rest = sun + heated - inner - vented - evaporation - stored
    taken = max(sun + heated, abs(inner) + abs(vented) + abs(evaporation), 1e-9)
    return HeatAccount(sun, heated, inner, vented, evaporation, stored, rest, rest / taken)


def _flows(t: Float, weather: Float, v: Float, c: Float, opening: Float, wet: Float, sizes: Sizes, mat: Float) -> Fluxes:
    """Settle the dome under this weather and give what flows."""
    out = around(weather[0], weather[1], weather[2], weather[3], opening, sizes)
    v, c, _ = settle(t, out, wet, sizes, v, c)
    return fluxes_at(t, c, v, out, wet, sizes, mat)
