"""The season's plan: relaxation, luck of single grafts, quick rounding, whole numbers, and the person's own plan beside it."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.errors import BadValue, Refused
from scionary.language import Told, say
from scionary.plan.again import columns_of
from scionary.plan.arrays import column
from scionary.plan.assumed import plan_assumptions
from scionary.plan.clashes import clash_words, clashing_limits
from scionary.plan.effort import Effort
from scionary.plan.judging import SEASONS, PlanValue, evaluate_plan
from scionary.plan.limit_writing import limit_rows
from scionary.plan.limits import LimitRows
from scionary.plan.problem import PlanProblem
from scionary.plan.programme import Point
from scionary.plan.result import PlanResult, Relaxation, TrayFillings
from scionary.plan.searching import Progress, Search, solve_relaxation, true_value
from scionary.plan.seasons import Seasons, seasons_of
from scionary.plan.trays import broken_limits, cheapest_trays
from scionary.plan.whole import search_whole
from scionary.units import Float, refuse_where


def solve_plan(
    problem: PlanProblem,
    *,
    assurance: Any = None,
    effort: Effort = Effort.NORMAL,
    seconds: float | None = None,
    rng: np.random.Generator | int,
    progress: Progress | None = None,
    own: Any = None,
    luck: bool = True,
    seasons: int = SEASONS,
) -> PlanResult:
    """Choose grafts and trays for a season.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    assurance : float or array_like, optional
        Wanted chance for all wishes, or one a wish with NaN for "most value"; in place of the wishes' own. It is a price and no wall:
        what chance comes out is measured.
    effort : Effort
        Rounds and nodes; same seed and effort give the same answer.
    seconds : float, optional
        The solver's own time after which it stops early; the result says so by ``complete=False``.
    rng : Generator or int
        Luck of single grafts, and the seasons that plans are judged by.
    progress : callable, optional
        Called with a fraction and a word, often, so it should be quick; returning False stops it, and the best plan so far is given.
    own : array_like of shape (options,), optional
        The person's own grafts: judged by the same seasons, kept if they win and break no limit.
    luck : bool
        False leaves the luck of single grafts out of the seasons that the plan is made from; it is never left out of the judging.
    seasons : int
        Seasons that plans are judged by.

    Returns
    -------
    PlanResult
        The plan, its bound, prices, and chances.

    Raises
    ------
    BadValue
        When `assurance`, `own` or `seconds` is out of range.
    Refused
        When the limits cannot all hold; the message names the smallest set that clashes.
    """
    if seconds is not None and not seconds > 0.0:
        raise BadValue("seconds", seconds, "more than 0, or None for no limit")
    own = None if own is None else _whole_grafts(own, len(problem.options))
    wanted = None if assurance is None else column("assurance", assurance, len(problem.targets.names), low=1e-6, high=1.0 - 1e-6, gaps=True)
    random = np.random.default_rng(rng)
    judge = int(random.integers(2**62))
    rows = limit_rows(problem)
    search = Search(rows, effort, seconds, progress)
    made_from = seasons_of(problem, assurance=wanted, rng=random)
    programme, made_from, point = solve_relaxation(search, made_from, luck=luck)
    if point.columns is not None:
        search_whole(search, programme, point)
    if search.best is None:
        _refuse_or_do_nothing(search, problem, made_from)
    return _result(search, problem, made_from, point, own, judge, seasons)


def _whole_grafts(own: Any, count: int) -> Float:
    """The person's own grafts: parts of grafts are none."""
    grafts = column("own", own, count, low=0.0)
    refuse_where(grafts != np.rint(grafts), "own", grafts, "whole grafts")
    return grafts


def _refuse_or_do_nothing(search: Search, problem: PlanProblem, seasons: Seasons) -> None:
    """Without a plan: name the limits that clash, or graft nothing where that is allowed."""
    nothing = np.zeros(search.rows.columns)
    if np.all(search.rows.least <= 0.0) and np.all(search.rows.lower <= 1e-9) and np.all(search.rows.upper >= -1e-9):
        search.offer(seasons, nothing)
        return
    clash = clashing_limits(problem)
    if clash:
        raise Refused(clash_words(clash), where="plan", remedy=say("Give way in one of them."))
    raise Refused(say("No plan that keeps all limits was found in the time given."), where="plan", remedy=say("Give it more time."))


def _result(
    search: Search, problem: PlanProblem, made_from: Seasons, point: Point, own: Float | None, judge: int, seasons: int
) -> PlanResult:
    best = search.best
    assert best is not None
    count = len(problem.options)
    search.tell(0.92, Told("judging the plan by fresh seasons"))
    grafts, value = np.rint(best[:count]), search.value
    seen = evaluate_plan(problem, grafts, seasons=seasons, rng=judge, assurance=made_from.assurance)
    own_seen, broken, kept = _beside(problem, search.rows, own, seen, judge, seasons, made_from)
    trays = np.rint(best[count : count + len(search.rows.fillings)])
    if kept and own is not None and own_seen is not None:
        grafts, seen = np.rint(own), own_seen
        trays = cheapest_trays(problem, grafts, search.rows).by_filling
        columns = columns_of(search.rows, problem, grafts)
        value = seen.score if columns is None else true_value(search.rows, made_from, columns)
    search.tell(1.0, Told("done"))
    return PlanResult(
        grafts=grafts.astype(np.int64),
        trays=_filled(search.rows, trays),
        value=value,
        bound=search.bound,
        gap=max(0.0, search.bound - value) / max(abs(value), 1e-9),
        seen=seen,
        relaxation=_relaxed(search, point, count),
        own=own_seen,
        own_broken=broken,
        kept_own=kept,
        complete=not (search.late or search.stopped),
        stopped=search.stopped,
        effort=search.effort,
        assumptions=plan_assumptions(problem, made_from.assurance),
        rows=search.rows,
        made_from=made_from,
        judge=judge,
    )


def _beside(
    problem: PlanProblem, rows: LimitRows, own: Float | None, seen: PlanValue, judge: int, seasons: int, made_from: Seasons
) -> tuple[PlanValue | None, tuple[str, ...], bool]:
    """The person's own plan under the same seasons, what it breaks, and whether it wins."""
    if own is None:
        return None, (), False
    judged = evaluate_plan(problem, own, seasons=seasons, rng=judge, assurance=made_from.assurance)
    broken = broken_limits(problem, own, rows)
    return judged, broken, not broken and judged.score > seen.score


def _filled(rows: LimitRows, trays: Float) -> TrayFillings:
    used = np.flatnonzero(trays > 0.5)
    at = rows.fillings
    return TrayFillings(at.room[used], at.week[used], at.pot[used], at.healing[used], trays[used].astype(np.int64))


def _relaxed(search: Search, point: Point, count: int) -> Relaxation:
    nothing = np.zeros(len(search.rows.limits))
    prices = nothing if point.prices is None else np.abs(np.where(np.abs(point.prices) < 1e-9, 0.0, point.prices))
    less = np.zeros(count) if point.worth_less is None else point.worth_less
    grafts = np.zeros(count) if point.columns is None else point.columns[:count]
    return Relaxation(point.value, grafts, prices, less)
