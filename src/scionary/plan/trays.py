"""The trays that a number of grafts needs, and the limits that a person's own numbers break."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.language import mark, said, say
from scionary.plan.arrays import column
from scionary.plan.limit_writing import limit_rows
from scionary.plan.limits import LimitKind, LimitRows, amount_words
from scionary.plan.problem import PlanProblem
from scionary.units import Float

_OVERFULL = 1e6  # a tray that is not there costs more than all trays together

_TAKES = {
    LimitKind.BENCH: mark("{number} hours"),
    LimitKind.STICKS: mark("{number} sticks"),
    LimitKind.STOCKS: mark("{number} stocks"),
    LimitKind.THICKNESS: mark("{number} stocks"),
    LimitKind.POTS: mark("{number} pots"),
}


@dataclass(frozen=True)
class TrayNeed:
    """Trays for some grafts.

    Attributes
    ----------
    trays : ndarray
        Fillings of each kind of tray, shape (rooms,).
    by_filling : ndarray
        Trays of each filling of the problem's limits, shape (fillings,).
    beyond : ndarray
        Trays too many under each limit, shape (limits,); zero for limits that are not on trays.
    """

    trays: Float
    by_filling: Float
    beyond: Float


def cheapest_trays(problem: PlanProblem, grafts: Float, rows: LimitRows | None = None) -> TrayNeed:
    """Find the fewest, cheapest trays for a number of grafts, over the number there is only where nothing else will do.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    grafts : ndarray of shape (options,)
        Grafts of each option; those that no tray takes are left out.
    rows : LimitRows, optional
        The problem's limits, where they are at hand.

    Returns
    -------
    TrayNeed
        Trays, and where there are too few.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    rows = limit_rows(problem) if rows is None else rows
    count, fillings = len(problem.options), len(rows.fillings)
    kinds = np.array([limit.kind for limit in rows.limits], dtype=object)
    places, trays = np.flatnonzero(kinds == LimitKind.PLACES), np.flatnonzero(kinds == LimitKind.TRAYS)
    beyond = np.zeros(len(rows.limits))
    if not fillings or not len(places):
        return TrayNeed(np.zeros(len(problem.rooms.names)), np.zeros(fillings), beyond)
    part = rows.matrix[:, count : count + fillings]
    needed = rows.matrix[places][:, :count] @ grafts
    spare = coo_array((-np.ones(len(trays)), (np.arange(len(trays)), np.arange(len(trays)))), shape=(len(trays), len(trays)))
    on, asking = rows.switched(grafts)
    two = LinearConstraint(_beside(part[asking], coo_array((len(asking), len(trays)))), -np.inf, -2.0 * on)
    hold = LinearConstraint(_beside(part[places], coo_array((len(places), len(trays)))), -np.inf, -needed)
    stand = LinearConstraint(_beside(part[trays], spare), -np.inf, rows.upper[trays])
    cost = np.concatenate(
        [problem.rooms.cost[rows.fillings.room] + 1e-3 * (1.0 + rows.fillings.holds / 1e3), np.full(len(trays), _OVERFULL)]
    )
    whole = np.repeat([1, 0], [fillings, len(trays)])
    answer = milp(
        cost,
        integrality=whole,
        bounds=Bounds(0.0, np.inf),
        constraints=[hold, stand, *([two] if len(asking) else [])],
        options={"mip_rel_gap": 1e-6, "node_limit": 2_000},
    )
    found = np.zeros(fillings + len(trays)) if answer.x is None else np.rint(answer.x)
    beyond[trays] = found[fillings:]
    by_room = np.bincount(rows.fillings.room, weights=found[:fillings], minlength=len(problem.rooms.names)).astype(np.float64)
    return TrayNeed(by_room, found[:fillings], beyond)


def broken_limits(problem: PlanProblem, grafts: Any, rows: LimitRows | None = None) -> tuple[str, ...]:
    """Name the limits that a person's own numbers break.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    grafts : array_like of shape (options,)
        Grafts of each option.
    rows : LimitRows, optional
        The problem's limits, where they are at hand.

    Returns
    -------
    tuple of str
        One sentence each: what there is, and what the plan takes; empty when it keeps them all.
    """
    numbers = column("grafts", grafts, len(problem.options), low=0.0)
    rows = limit_rows(problem) if rows is None else rows
    closed = [
        say("{way}: {reason}", way=said(problem.option_words(at)), reason=said(rows.closed[at]))
        for at in np.flatnonzero(numbers).tolist()
        if rows.closed[at]
    ]
    outside = (numbers > problem.options.most + 1e-9) | (numbers < problem.options.least - 1e-9)
    closed += [
        say(
            "{way}: {bounds}, planned {number}",
            way=said(problem.option_words(at)),
            bounds=_bounds_words(problem, at),
            number=amount_words(numbers[at]),
        )
        for at in np.flatnonzero(outside).tolist()
    ]
    need = cheapest_trays(problem, numbers, rows)
    plan = np.concatenate([numbers, need.by_filling, _pots(problem, numbers), rows.switched(numbers)[0]])
    taken = rows.matrix @ plan
    over = (taken > rows.upper + 1e-6) | (taken < rows.lower - 1e-6)
    words = [_said(rows, at, float(taken[at])) for at in np.flatnonzero(over).tolist() if rows.limits[at].kind is not LimitKind.PLACES]
    return tuple(dict.fromkeys([*closed, *words]))


def _beside(left: Any, right: Any) -> Any:
    from scipy.sparse import hstack

    return hstack([left, right], format="csc")


def _pots(problem: PlanProblem, grafts: Float) -> Float:
    used = np.bincount(problem.options.pot, weights=grafts, minlength=len(problem.pots.names))
    bought: Float = np.where(problem.pots.price > 0.0, np.maximum(used - problem.pots.owned, 0.0), 0.0)
    return bought


def _bounds_words(problem: PlanProblem, option: int) -> str:
    least, most = problem.options.least[option], problem.options.most[option]
    if np.isfinite(most):
        return say("from {least} to {most} allowed", least=amount_words(least), most=amount_words(most))
    return say("at least {least} wanted", least=amount_words(least))


def _said(rows: LimitRows, at: int, taken: float) -> str:
    limit = rows.limits[at]
    if limit.kind in (LimitKind.SPREAD, LimitKind.REGRAFT):
        return say("{limit}: the plan does not keep to that", limit=said(limit.words))
    if limit.kind is LimitKind.AT_LEAST:
        given = amount_words(taken + limit.amount - rows.lower[at])
        return say("{limit}: the plan gives {number}", limit=said(limit.words), number=given)
    takes = say(_TAKES.get(limit.kind, "{number}"), number=amount_words(taken))
    return say("{limit}: the plan takes {number}", limit=said(limit.words), number=takes)
