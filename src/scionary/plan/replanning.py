"""The rest of a season: what is made stays as it is, and only the weeks to come are planned."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from scionary.plan.arrays import column, indices, table
from scionary.plan.judging import plan_cost
from scionary.plan.limit_writing import limit_rows
from scionary.plan.problem import PlanProblem
from scionary.plan.result import TrayFillings
from scionary.plan.supply import Rooms, Stocks
from scionary.plan.trays import cheapest_trays
from scionary.plan.wanted import Already, Int
from scionary.units import Float


def rest_of_season(
    problem: PlanProblem,
    week: int,
    grafts: Any,
    *,
    trays: TrayFillings | None = None,
    takes: Any = None,
    fresh_takes: Any = None,
    failed: Any = None,
) -> PlanProblem:
    """Give the problem of the weeks to come, with what is grafted fixed.

    Parameters
    ----------
    problem : PlanProblem
        The season as it was planned; give one with updated chances for grafts that are still to be made.
    week : int
        First week that can still be planned.
    grafts : array_like of shape (options,)
        Grafts that were really made of each option: what happened is never refused, whatever limits it broke.
    trays : TrayFillings, optional
        Trays that were really filled; the fewest for those grafts by default.
    takes : array_like, optional
        Chances of the grafts made, with all that has been seen since, shape (seasons, options); those of the problem by default.
    fresh_takes : array_like, optional
        The same for the judging seasons.
    failed : array_like of shape (lots,), optional
        Stocks known to be free for another graft.

    Returns
    -------
    PlanProblem
        With the grafts made as `already`, and supplies less what they took, never below none.

    Raises
    ------
    BadValue
        When an argument has the wrong shape, or the week is none of the season's.
    """
    made = column("grafts", grafts, len(problem.options), low=0.0)
    indices("week", [week], 1, least=problem.from_week, below=len(problem.weeks) + 1)
    filled = _fillings(problem, made) if trays is None else trays
    used = np.flatnonzero(made)
    known = problem.takes if takes is None else table("takes", takes, problem.takes.shape, low=0.0, high=1.0)
    fresh = problem.fresh_takes if fresh_takes is None else table("fresh_takes", fresh_takes, problem.fresh_takes.shape, low=0.0, high=1.0)
    by_room = np.bincount(filled.room, weights=filled.trays, minlength=len(problem.rooms.names)).astype(np.float64)
    pots = np.bincount(problem.options.pot, weights=made, minlength=len(problem.pots.names))
    return replace(
        problem,
        from_week=week,
        already=_joined(problem, used, made, known, fresh),
        rooms=_rooms_left(problem, filled),
        stocks=_stocks_left(problem, made, failed),
        sticks=replace(problem.sticks, number=_less(problem.sticks.number, problem.options.mother_tree, made * problem.options.sticks)),
        pots=replace(problem.pots, owned=np.maximum(problem.pots.owned - pots, 0.0)),
        budget=max(problem.budget - plan_cost(problem, made, by_room), 0.0),
        options=replace(problem.options, least=np.where(problem.options.week < week, 0.0, problem.options.least)),
    )


def _fillings(problem: PlanProblem, made: Float) -> TrayFillings:
    rows = limit_rows(problem)
    trays = cheapest_trays(problem, made, rows).by_filling
    at = rows.fillings
    return TrayFillings(at.room, at.week, at.pot, at.healing, trays.astype(np.int64))


def _joined(problem: PlanProblem, used: Int, made: Float, takes: Float, fresh: Float | None) -> Already | None:
    """Grafts made before and since, one row an option."""
    if not len(used):
        return problem.already
    rows = Already(
        problem.options.target[used], made[used], takes[:, used], problem.survival[used], None if fresh is None else fresh[:, used]
    )
    before = problem.already
    if before is None:
        return rows
    both = None if fresh is None else np.hstack([before.fresh_takes, rows.fresh_takes])
    return Already(
        np.concatenate([before.target, rows.target]),
        np.concatenate([before.grafts, rows.grafts]),
        np.hstack([before.takes, rows.takes]),
        np.concatenate([before.survival, rows.survival]),
        both,
    )


def _rooms_left(problem: PlanProblem, filled: TrayFillings) -> Rooms:
    available = problem.rooms.available.copy()
    columns = (filled.room, filled.week, filled.healing_weeks, filled.trays)
    for room, week, weeks, trays in zip(*(each.tolist() for each in columns), strict=True):
        available[room, week : week + weeks] -= trays
    return replace(problem.rooms, available=np.maximum(available, 0.0))


def _stocks_left(problem: PlanProblem, made: Float, failed: Any) -> Stocks:
    """A stock that is grafted was a usable one: fewer are left, and a smaller share of them is usable."""
    stocks = problem.stocks
    first = np.where(problem.options.regraft, 0.0, made)
    again = np.where(problem.options.regraft, made, 0.0)
    taken = _taken(len(stocks.names), problem.options.stock_lot, first)
    left = np.maximum(stocks.number - taken, 0.0)
    usable = np.maximum(stocks.usable_share * stocks.number[:, None] - taken[:, None], 0.0)
    by_any = np.maximum(stocks.usable_by_any * stocks.number - taken, 0.0)
    free = np.maximum(stocks.failed - _taken(len(stocks.names), problem.options.stock_lot, again), 0.0)
    over = np.maximum(left, 1.0)
    return replace(
        stocks,
        number=left,
        usable_share=np.minimum(usable / over[:, None], 1.0),
        usable_by_any=np.minimum(by_any / over, 1.0),
        failed=free if failed is None else failed,
    )


def _taken(count: int, supply: Int, amount: Float) -> Float:
    has = supply >= 0
    return np.bincount(supply[has], weights=amount[has], minlength=count)[:count].astype(np.float64) if count else np.zeros(0)


def _less(number: Float, supply: Int, amount: Float) -> Float:
    left: Float = np.maximum(number - _taken(len(number), supply, amount), 0.0)
    return left
