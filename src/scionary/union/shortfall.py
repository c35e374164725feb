"""What a pair costs: how many millimetres of contact it is expected to fall short by, cut and set as the method wants it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.union.contact import Way
from scionary.union.joint import Joint, planned_joint
from scionary.union.methods import JoinMethod, method_called
from scionary.union.placing import error_points
from scionary.union.problems import size_problems
from scionary.union.stems import CutStem, Stem
from scionary.units import Float, as_floats, check_range, refuse_where

STEP_MM = 0.1  # thicknesses are taken to a tenth of a millimetre, as a calliper reads
_POINTS, _POINTS_BENT = 128, 16
_LEANS = (0.03, 0.08, 0.16, 0.3)  # of the cut's length
_AT_ONCE = 200

Cost = Callable[[Any, Any], Float]


@dataclass(frozen=True)
class ShortfallCost:
    """The expected shortfall of a pair, as a function of two thicknesses.

    Attributes
    ----------
    method : JoinMethod
        How they are joined.
    tolerance_mm, error_mm, wanted_mm, depth_error_mm : float
        As in `best_placement`.
    """

    method: JoinMethod
    tolerance_mm: float
    error_mm: float
    wanted_mm: float
    depth_error_mm: float = 0.0

    def __call__(self, scion_mm: Any, stock_mm: Any) -> Float:
        """Cost of pairs.

        Parameters
        ----------
        scion_mm, stock_mm : array_like
            Thicknesses [mm], above 0, taken to a tenth; they broadcast. NaN gives NaN.

        Returns
        -------
        ndarray
            Expected shortfall [mm], 0 to `wanted_mm`; infinity where a thickness lies outside the method's.
        """
        scion, stock = (_tenths(name, value) for name, value in (("scion_mm", scion_mm), ("stock_mm", stock_mm)))
        scions, at_scion = np.unique(scion, return_inverse=True)
        stocks, at_stock = np.unique(stock, return_inverse=True)
        table = self._table(scions, stocks)
        return np.asarray(table[at_scion.reshape(scion.shape), at_stock.reshape(stock.shape)])

    def _table(self, scions: Float, stocks: Float) -> Float:
        """Cost of every scion's thickness with every stock's."""
        table = np.full((len(scions), len(stocks)), np.inf)
        table[np.isnan(scions), :] = np.nan
        table[:, np.isnan(stocks)] = np.nan
        places = [tuple(place) for place in np.argwhere(~np.isnan(table))]
        joints = {place: joint for place in places if (joint := self._joint(float(scions[place[0]]), float(stocks[place[1]])))}
        listed = list(joints)
        for start in range(0, len(listed), _AT_ONCE):
            part = listed[start : start + _AT_ONCE]
            table[tuple(np.array(part).T)] = self._shortfalls([joints[place] for place in part])
        return table

    def _joint(self, scion_mm: float, stock_mm: float) -> Joint | None:
        """The pair cut for the method; None where it does not fit."""
        stock, scion = Stem(stock_mm), Stem(scion_mm)
        if size_problems(self.method, stock, scion):
            return None
        try:
            return planned_joint(self.method, stock, scion)
        except BadValue:
            return None

    def _shortfalls(self, joints: Sequence[Joint]) -> Float:
        """Expected shortfall of each, set in the best of some ways."""
        all_of = _stacked(joints)
        shift, lean = _placements(self.method.ways, np.asarray(all_of.apart_mm), np.asarray(all_of.length_mm))
        points = error_points(_POINTS if all_of.is_straight else _POINTS_BENT)
        contact = all_of.contact(shift, lean, self.tolerance_mm, (self.error_mm, self.depth_error_mm), points)
        return np.asarray(np.min(np.mean(np.maximum(self.wanted_mm - contact, 0.0), axis=-1), axis=-1))


def shortfall_cost(
    *, method: JoinMethod | str, tolerance_mm: float, error_mm: float, wanted_mm: float, depth_error_mm: float = 0.0
) -> ShortfallCost:
    """Make the cost of a pair from a method and a hand.

    Parameters
    ----------
    method : JoinMethod or str
        How they are joined, or its key.
    tolerance_mm, error_mm, wanted_mm, depth_error_mm : float
        As in `best_placement` [mm].

    Returns
    -------
    ShortfallCost
        To be called with thicknesses of scions and stocks.

    Raises
    ------
    BadValue
        When a number makes no sense.
    """
    for name, value in (("tolerance_mm", tolerance_mm), ("error_mm", error_mm), ("depth_error_mm", depth_error_mm)):
        refuse_where(np.isnan(check_range(name, value, 0.0, 50.0, "mm")), name, np.asarray(value), say("0 to 50 mm"))
    wanted = check_range("wanted_mm", wanted_mm, 0.0, 1e4, "mm")
    refuse_where(np.isnan(wanted), "wanted_mm", wanted, say("0 mm or more"))
    chosen = method_called(method) if isinstance(method, str) else method
    return ShortfallCost(chosen, float(tolerance_mm), float(error_mm), float(wanted_mm), float(depth_error_mm))


def _tenths(name: str, value: Any) -> Float:
    numbers = as_floats(name, value)
    refuse_where(~((numbers > 0.0) & (numbers <= 1000.0)) & ~np.isnan(numbers), name, numbers, say("more than 0, up to 1000 mm"))
    return np.maximum(np.round(numbers / STEP_MM), 1.0) * STEP_MM


def _stacked(joints: Sequence[Joint]) -> Joint:
    """All joints as one, its fields columns."""

    def column(cuts: Sequence[CutStem]) -> CutStem:
        names = ("radius_mm", "bark_mm", "depth_mm", "bend_radius_mm", "deeper_mm")
        return CutStem(**{name: np.array([[float(getattr(cut, name))] for cut in cuts]) for name in names})

    first = joints[0]
    opening = None if first.opening_mm is None else np.array([[joint.opening_mm] for joint in joints])
    cuts = column([joint.stock for joint in joints]), column([joint.scion for joint in joints])
    return Joint(*cuts, np.array([[joint.length_mm] for joint in joints]), first.faces, opening, first.flat_bed)


def _placements(ways: Sequence[Way], apart: Float, length: Float) -> tuple[Float, Float]:
    """Shifts and leans that are tried, a row for each joint."""
    still = 0.0 * apart
    tried = {
        Way.ONE_SIDE: [(apart, still)],
        Way.BOTH_SIDES: [(still, still)],
        Way.CROSSED: [(aside, sign * share * length) for aside in (still, apart) for share in _LEANS for sign in (1.0, -1.0)],
    }
    chosen = [placed for way in ways for placed in tried[way]]
    return np.concatenate([shift for shift, _ in chosen], axis=-1), np.concatenate([lean for _, lean in chosen], axis=-1)
