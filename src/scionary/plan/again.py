"""A season solved again with one thing changed, in the same seasons and with the same luck, so that the difference is the change's."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scionary.plan.judging import evaluate_plan
from scionary.plan.limit_writing import limit_rows
from scionary.plan.limits import LimitRows
from scionary.plan.problem import PlanProblem
from scionary.plan.programme import Programme
from scionary.plan.relaxing import EXACT, relax
from scionary.plan.result import PlanResult
from scionary.plan.searching import Search
from scionary.plan.seasons import Seasons
from scionary.plan.trays import cheapest_trays
from scionary.plan.wanted import Int
from scionary.plan.whole import search_whole
from scionary.units import Float

NODES_AGAIN = 20  # fewer than for the plan itself: it starts from a good one


@dataclass(frozen=True)
class Again:
    """What came of it.

    Attributes
    ----------
    relaxed : float
        Value of the relaxation: exact, but with parts of grafts and trays; -inf where the limits cannot all hold.
    value : float
        Value of the best whole plan found; -inf where none was looked for or found.
    bound : float
        What no whole plan exceeds.
    grafts : ndarray of int or None
        The best whole plan found, shape (options,).
    """

    relaxed: float
    value: float
    bound: float
    grafts: Int | None = None


@dataclass(frozen=True)
class Judged:
    """What a changed season's plan brings more than the present one in the judging seasons, where it would be tried.

    Attributes
    ----------
    money : float
        Money more.
    score : float
        The same, less the price of what assurance still misses.
    """

    money: float
    score: float


def held_programme(result: PlanResult) -> Programme:
    """Give a plan's programme to hold between solves, so that each goes on from the last.

    Parameters
    ----------
    result : PlanResult
        The plan of now.

    Returns
    -------
    Programme
        For `solve_again`.
    """
    return Programme(result.rows, result.made_from)


def solve_again(result: PlanResult, held: Programme, seasons: Seasons, rows: LimitRows, *, whole: bool) -> Again:
    """Solve a season again under other limits or other wishes.

    Parameters
    ----------
    result : PlanResult
        The plan of now; the search starts from it where it keeps the limits.
    held : Programme
        From `held_programme`: what it has learnt of the seasons is kept.
    seasons : Seasons
        Its seasons, with what is changed.
    rows : LimitRows
        The limits, with what is changed.
    whole : bool
        Whether to look for whole grafts and trays too.

    Returns
    -------
    Again
        Values.
    """
    programme = held if held.turn_to(rows, seasons) else Programme(rows, seasons)
    point = relax(programme, close=EXACT, seconds=None, keep_on=lambda: True, near=result.grafts.astype(np.float64))
    if point.columns is None:
        return Again(-np.inf, -np.inf, -np.inf)
    if not whole:
        return Again(point.value, -np.inf, point.bound)
    search = Search(rows, result.effort, None, None, bound=point.bound, most_nodes=NODES_AGAIN)
    search.offer(seasons, columns_of(rows, seasons.problem, result.grafts.astype(np.float64)))
    search_whole(search, programme, point, again=True)
    best = None if search.best is None else np.rint(search.best[: programme.options]).astype(np.int64)
    return Again(point.value, search.value, search.bound, best)


def judged_again(result: PlanResult, again: Again, problem: PlanProblem, rows: LimitRows) -> Judged:
    """Judge a changed season's plan by the seasons that the present one is judged by.

    Parameters
    ----------
    result : PlanResult
        The plan of now.
    again : Again
        The changed season, solved with whole grafts.
    problem : PlanProblem
        The season whose money counts.
    rows : LimitRows
        Its limits, with what is changed.

    Returns
    -------
    Judged
        Differences from the plan of now; none where no whole plan was found.
    """
    if again.grafts is None:
        return Judged(np.nan, np.nan)
    assurance = result.made_from.assurance
    seen = evaluate_plan(problem, again.grafts, seasons=result.seen.seasons, rng=result.judge, assurance=assurance, rows=rows)
    return Judged(seen.mean - result.seen.mean, seen.score - result.seen.score)


def changed_problem(result: PlanResult, problem: PlanProblem) -> tuple[Seasons, LimitRows]:
    """Give the seasons and limits of a changed problem with the same ways.

    Parameters
    ----------
    result : PlanResult
        The plan of now.
    problem : PlanProblem
        The changed season: the same options and seasons.

    Returns
    -------
    seasons, rows : Seasons, LimitRows
        With the luck of now.
    """
    return replace(result.made_from, problem=problem), limit_rows(problem)


def changed_limit(rows: LimitRows, row: int, by: float) -> LimitRows:
    """Give the limits with more or less of one.

    Parameters
    ----------
    rows : LimitRows
        The limits of now.
    row : int
        Which.
    by : float
        How much more there is; negative for less. Of a "must at least", how much less must be.

    Returns
    -------
    LimitRows
        The changed ones.
    """
    lower, upper = rows.lower.copy(), rows.upper.copy()
    if np.isfinite(upper[row]):
        upper[row] += by
    else:
        lower[row] -= by
    return replace(rows, lower=lower, upper=upper)


def columns_of(rows: LimitRows, problem: PlanProblem, grafts: Float) -> Float | None:
    """Write a plan's grafts out with their trays, pots and switches.

    Parameters
    ----------
    rows : LimitRows
        The limits.
    problem : PlanProblem
        The season.
    grafts : ndarray of shape (options,)
        Whole grafts.

    Returns
    -------
    ndarray of shape (columns,) or None
        None where it breaks a limit.
    """
    trays = cheapest_trays(problem, grafts, rows).by_filling
    used = np.bincount(problem.options.pot, weights=grafts, minlength=len(problem.pots.names))
    bought = np.where(problem.pots.price > 0.0, np.maximum(used - problem.pots.owned, 0.0), 0.0)
    plan = np.concatenate([grafts, trays, bought, rows.switched(grafts)[0]])
    taken = rows.matrix @ plan
    kept = np.all(taken <= rows.upper + 1e-6) and np.all(taken >= rows.lower - 1e-6)
    within = np.all(plan <= rows.most + 1e-9) and np.all(plan >= rows.least - 1e-9)
    return plan if kept and within else None
