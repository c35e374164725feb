"""Stems that nobody measured, by their lot; and what thickness of stock to order for scions that are left over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.units import Float, as_floats, check_range, refuse_where

SPREAD = 0.15  # project default, unsourced: standard deviation of a lot's thicknesses, as a share of their mean
FEWEST_MEASURED = 5  # project default, unsourced: with fewer, the lot's usual thickness and SPREAD are taken
_LIKELY = 7


def likely_thicknesses(measured_mm: Any, lots: Sequence[Any], usual_mm: dict[Any, float], count: int = _LIKELY) -> Float:
    """Give each stem equally likely thicknesses: its own where it was measured, else those of its lot.

    Parameters
    ----------
    measured_mm : array_like of shape (n,)
        Thicknesses [mm]; NaN: not measured.
    lots : sequence
        The lot of each stem.
    usual_mm : dict
        Usual thickness of a lot [mm], for lots of which fewer than `FEWEST_MEASURED` were measured.
    count : int
        How many to give, 1 to 50.

    Returns
    -------
    ndarray of shape (n, count)
        For `match_stocks`.

    Raises
    ------
    BadValue
        When a lot has neither enough measured stems nor a usual thickness.
    """
    measured = as_floats("measured_mm", measured_mm)
    refuse_where(measured <= 0.0, "measured_mm", measured, say("more than 0 mm, or not measured"))
    check_range("count", count, 1, 50)
    found = np.repeat(measured[:, np.newaxis], count, axis=1)
    for lot in dict.fromkeys(lots):
        of_lot = np.array([one == lot for one in lots], dtype=bool)
        unknown = of_lot & np.isnan(measured)
        if unknown.any():
            found[unknown] = _of_lot(measured[of_lot & ~np.isnan(measured)], usual_mm.get(lot), lot, count)
    return found


def _of_lot(seen: Float, usual_mm: float | None, lot: Any, count: int) -> Float:
    middle = (np.arange(count) + 0.5) / count
    if len(seen) >= FEWEST_MEASURED:
        return np.asarray(np.quantile(seen, middle))
    usual = float(np.mean(seen)) if len(seen) else usual_mm
    if usual is None or not usual > 0.0:
        raise BadValue("usual_mm", usual, say("a thickness above 0 mm for lot {lot}, of which no stem was measured", lot=lot))
    from scipy.special import ndtri

    spread = 1.0 + SPREAD * ndtri(middle)
    return np.asarray(usual * np.maximum(spread, 0.2))


@dataclass(frozen=True)
class OrderLine:
    """Stocks to order.

    Attributes
    ----------
    low_mm, high_mm : float
        Thickness [mm].
    count : int
        How many.
    """

    low_mm: float
    high_mm: float
    count: int


def thicknesses_to_order(
    scion_mm: Any, cost: Callable[[Any, Any], Any], *, step_mm: float = 1.0, smallest_mm: float = 2.0, largest_mm: float = 40.0
) -> list[OrderLine]:
    """Say what stocks to order for scions without one.

    Parameters
    ----------
    scion_mm : array_like of shape (n,)
        Thicknesses of the scions that are left over [mm].
    cost : callable
        As in `match_stocks`.
    step_mm : float
        Width of a class of thickness [mm].
    smallest_mm, largest_mm : float
        Range that is looked at [mm].

    Returns
    -------
    list of OrderLine
        Thinnest first; each scion counts in the class whose middle costs it least, the thinner where two cost alike.
        Scions for which no thickness is allowed are not counted.
    """
    scions = as_floats("scion_mm", scion_mm).reshape(-1)
    if not len(scions):
        return []
    refuse_where(~(scions > 0.0), "scion_mm", scions, say("more than 0 mm"))
    low = np.arange(smallest_mm, largest_mm, step_mm)
    table = np.broadcast_to(as_floats("cost", cost(scions[:, np.newaxis], low[np.newaxis, :] + step_mm / 2.0)), (len(scions), len(low)))
    can = np.isfinite(table).any(axis=1)
    chosen = np.argmin(np.round(np.where(np.isfinite(table), table, np.inf)[can], 6), axis=1)
    return [OrderLine(float(low[at]), float(low[at] + step_mm), int(np.sum(chosen == at))) for at in np.unique(chosen)]
