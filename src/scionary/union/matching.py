"""Which scion to which stock: the pairs that together cost least."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import say
from scionary.union.assignment import assigned
from scionary.units import Float, as_floats, refuse_where

MOST_STEMS = 20_000


@dataclass(frozen=True)
class Matching:
    """Pairs, and what is left over. Numbers of scions and stocks count from 0 in the order in which they were given.

    Attributes
    ----------
    pairs : ndarray of shape (n, 2)
        Scion and stock of each pair, in the order of the scions.
    costs : ndarray of shape (n,)
        Cost of each pair.
    left_scions, left_stocks : ndarray
        Numbers of those without a partner.
    """

    pairs: npt.NDArray[np.int64]
    costs: Float
    left_scions: npt.NDArray[np.int64]
    left_stocks: npt.NDArray[np.int64]

    @property
    def cost(self) -> float:
        """Cost of all pairs together."""
        return float(np.sum(self.costs))

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            The fields and the total, ready for JSON.
        """
        arrays = {name: getattr(self, name).tolist() for name in ("pairs", "costs", "left_scions", "left_stocks")}
        return {**arrays, "cost": self.cost}


def match_stocks(
    scion_mm: Any,
    stock_mm: Any,
    cost: Callable[[Any, Any], Any],
    *,
    allowed: Any = None,
    priority: Sequence[int] | None = None,
) -> Matching:
    """Pair scions with stocks so that as many as can be are paired, at the least cost.

    Parameters
    ----------
    scion_mm, stock_mm : array_like of shape (n,) or (n, q)
        Thicknesses [mm]. With a second axis: equally likely thicknesses of a stem that was not measured, as
        `likely_thicknesses` gives them.
    cost : callable
        ``cost(scion, stock)`` gives the cost of each pair for arrays that broadcast; infinity forbids a pair, and NaN
        does too.
    allowed : array_like of bool of shape (scions, stocks), optional
        False forbids a pair, whatever it costs.
    priority : sequence of int, optional
        0 or more for each scion: where not all can be paired, those with more are. Costs of all count alike.

    Returns
    -------
    Matching
        Pairs and left-overs; never fails because some cannot be paired.

    Raises
    ------
    BadValue
        When thicknesses, costs or limits make no sense.

    Notes
    -----
    A linear assignment (`assigned`). Costs are brought to 0..1 and each allowed pair is paid
    (n + 1)(1 + priority), so that no saving in cost outweighs one pair more. Which scions a largest pairing can hold is
    a matroid: paying by priority never makes it smaller.
    """
    scions, stocks = _thicknesses("scion_mm", scion_mm), _thicknesses("stock_mm", stock_mm)
    table = _cost_table(scions, stocks, cost)
    if allowed is not None:
        table = np.where(_limits(allowed, table.shape), table, np.inf)
    paid = _priorities(priority, len(scions))
    finite = np.isfinite(table)
    if not finite.any():
        return _matching(np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64), table)
    rows, columns = assigned(_paid_table(table, finite, paid), *(np.argsort(_middle(stems)) for stems in (scions, stocks)))
    kept = finite[rows, columns]
    return _matching(rows[kept], columns[kept], table)


def _middle(stems: Float) -> Float:
    """One thickness for each stem."""
    return stems if stems.ndim == 1 else np.asarray(np.mean(stems, axis=1))


def _paid_table(table: Float, finite: npt.NDArray[np.bool_], paid: Float) -> Float:
    """Costs that make one pair more worth any saving; a forbidden pair costs nothing, and is dropped afterwards."""
    if finite.all() and not paid.any():
        return table
    least, most = table[finite].min(), table[finite].max()
    span = most - least if most > least else 1.0
    reward = (min(table.shape) + 1.0) * (1.0 + paid)
    return np.asarray(np.where(finite, (table - least) / span - reward[:, np.newaxis], 0.0))


def _matching(rows: npt.NDArray[np.int64], columns: npt.NDArray[np.int64], table: Float) -> Matching:
    left_scions = np.setdiff1d(np.arange(table.shape[0]), rows)
    left_stocks = np.setdiff1d(np.arange(table.shape[1]), columns)
    return Matching(np.column_stack([rows, columns]), table[rows, columns], left_scions, left_stocks)


def _thicknesses(name: str, value: Any) -> Float:
    numbers = as_floats(name, value)
    if numbers.ndim not in (1, 2):
        raise BadValue(
            name, say("an array with {count} axes", count=numbers.ndim), say("a list of thicknesses, or rows of equally likely ones")
        )
    if len(numbers) > MOST_STEMS:
        raise BadValue(name, len(numbers), say("at most {most} stems at once", most=MOST_STEMS))
    refuse_where(~(numbers > 0.0), name, numbers, say("more than 0 mm; for a stem that was not measured give its lot's likely thicknesses"))
    return numbers


def _cost_table(scions: Float, stocks: Float, cost: Callable[[Any, Any], Any]) -> Float:
    """Cost of every pair; for stems that were not measured, its mean over their likely thicknesses."""
    if not (len(scions) and len(stocks)):
        return np.empty((len(scions), len(stocks)))
    if scions.ndim == 1 and stocks.ndim == 1:
        found = as_floats("cost", cost(scions[:, np.newaxis], stocks[np.newaxis, :]))
        return _checked(found, (len(scions), len(stocks)))
    scions, stocks = (stems if stems.ndim == 2 else stems[:, np.newaxis] for stems in (scions, stocks))
    shape = (len(scions), len(stocks))
    each = [_checked(as_floats("cost", cost(one[:, np.newaxis], other[np.newaxis, :])), shape) for one in scions.T for other in stocks.T]
    return _mean_cost(np.stack(each))


def _checked(table: Float, shape: tuple[int, int]) -> Float:
    """Costs as a table; what is not a number forbids."""
    if table.shape != shape:
        table = np.array(np.broadcast_to(table, shape))
    if np.isneginf(table).any():
        raise BadValue("cost", "-inf", say("a number, or infinity for a pair that is forbidden"))
    return np.where(np.isnan(table), np.inf, table) if np.isnan(table).any() else table


def _mean_cost(each: Float) -> Float:
    """Mean over likely thicknesses; those that would forbid count as the dearest pair, and all of them forbid."""
    finite = np.isfinite(each)
    dearest = each[finite].max() if finite.any() else 0.0
    return np.asarray(np.where(finite.any(axis=0), np.mean(np.where(finite, each, dearest), axis=0), np.inf))


def _limits(allowed: Any, shape: tuple[int, int]) -> npt.NDArray[np.bool_]:
    limits = np.asarray(allowed, dtype=bool)
    if limits.shape != shape:
        raise BadValue("allowed", say("a table of {shape}", shape=limits.shape), say("one of {shape}: scions by stocks", shape=shape))
    return limits


def _priorities(priority: Sequence[int] | None, count: int) -> Float:
    if priority is None:
        return np.zeros(count)
    paid = as_floats("priority", list(priority))
    if paid.shape != (count,):
        raise BadValue("priority", len(paid), say("one for each of {count} scions", count=count))
    refuse_where(~((paid >= 0.0) & (paid <= 100.0)), "priority", paid, say("0 to 100"))
    return paid


def alike_pairs(scion_labels: Sequence[Any], stock_labels: Sequence[Any]) -> npt.NDArray[np.bool_]:
    """Allow the pairs whose labels agree: a pot, a method, a lot.

    Parameters
    ----------
    scion_labels, stock_labels : sequence
        What each wants or is; None agrees with everything.

    Returns
    -------
    ndarray of bool of shape (scions, stocks)
        For `match_stocks`; tables are joined by ``&``.
    """
    kinds = list(dict.fromkeys(label for label in (*scion_labels, *stock_labels) if label is not None))
    wanted, given = (np.array([-1 if label is None else kinds.index(label) for label in side]) for side in (scion_labels, stock_labels))
    return np.asarray((wanted[:, np.newaxis] == given) | (wanted[:, np.newaxis] == -1) | (given == -1))


def pairs_in_order(matching: Matching, standing: Sequence[int] | None = None) -> list[tuple[int, int, float]]:
    """List the pairs as the stocks stand on the bench.

    Parameters
    ----------
    matching : Matching
        The pairs.
    standing : sequence of int, optional
        Numbers of the stocks in the order in which they stand; by default as they were given. Each stock at most once.

    Returns
    -------
    list of (int, int, float)
        Stock, scion, cost.

    Raises
    ------
    BadValue
        When a paired stock is not among those that stand, or one stands twice.
    """
    by_stock = {int(stock): (int(scion), float(cost)) for (scion, stock), cost in zip(matching.pairs, matching.costs, strict=True)}
    order = sorted(by_stock) if standing is None else [int(stock) for stock in standing]
    if len(set(order)) < len(order) or set(by_stock) - set(order):
        raise BadValue("standing", list(order)[:20], say("every paired stock once"))
    return [(stock, *by_stock[stock]) for stock in order if stock in by_stock]
