"""The season's plan: relaxation, luck of single grafts, quick rounding, whole numbers, and the person's own plan beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scionary.errors import BadValue, Refused
from scionary.plan.arrays import column
from scionary.plan.assumed import plan_assumptions
from scionary.plan.clashes import clash_words, clashing_limits
from scionary.plan.effort import Effort
from scionary.plan.judging import SEASONS, PlanValue, evaluate_plan
from scionary.plan.limits import LimitRows, limit_rows
from scionary.plan.problem import PlanProblem
from scionary.plan.programme import Point, Programme
from scionary.plan.relaxing import EXACT, FIRST_PASS, add_cuts_at, relax
from scionary.plan.result import PlanResult, Relaxation, TrayFillings
from scionary.plan.rounding import rounded
from scionary.plan.seasons import Seasons, seasons_of
from scionary.plan.trays import broken_limits, cheapest_trays
from scionary.units import Float

Progress = Callable[[float, str], Any]


@dataclass
class _Search:
    """One search: the best plan so far, the bound, and whether to go on."""

    rows: LimitRows
    effort: Effort
    seconds: float | None
    progress: Progress | None
    best: Float | None = None
    value: float = -np.inf
    bound: float = np.inf
    stopped: bool = False
    late: bool = False
    spent_s: float = 0.0
    _at: tuple[float, str] = field(default=(0.0, ""))

    def tell(self, fraction: float, words: str) -> bool:
        """Report; False once the person has stopped it."""
        self._at = (fraction, words)
        return self.keep_on()

    def keep_on(self) -> bool:
        """Ask whether to go on."""
        if not self.stopped and self.progress is not None and self.progress(*self._at) is False:
            self.stopped = True
        return not self.stopped

    def left(self, programme: Programme) -> float | None:
        """The solver's own seconds that are left."""
        return None if self.seconds is None else self.seconds - self.spent_s - programme.spent_s

    def over(self, programme: Programme) -> bool:
        """Whether time is up or the person has stopped it."""
        left = self.left(programme)
        self.late = self.late or (left is not None and left <= 0.0)
        return self.late or self.stopped

    def offer(self, seasons: Seasons, columns: Float | None) -> None:
        """Keep a plan if it is the best so far."""
        if columns is not None:
            value = true_value(self.rows, seasons, columns)
            if value > self.value:
                self.best, self.value = columns, value

    @property
    def gap(self) -> float:
        """How much better the best plan could at most be."""
        if self.best is None:
            return np.inf
        return max(0.0, self.bound - self.value) / max(abs(self.value), 1e-9)


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
        Called with a fraction and a word; returning False stops the search, and the best plan so far is given.
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
    own = None if own is None else column("own", own, len(problem.options), low=0.0)
    wanted = None if assurance is None else column("assurance", assurance, len(problem.targets.names), low=1e-6, high=1.0 - 1e-6, gaps=True)
    random = np.random.default_rng(rng)
    judge = int(random.integers(2**62))
    rows = limit_rows(problem)
    search = _Search(rows, effort, seconds, progress)
    made_from = seasons_of(problem, assurance=wanted, rng=random)
    programme, made_from, point = _relaxation(search, made_from, luck)
    if point.columns is not None:
        _whole_plan(search, programme, point)
    if search.best is None:
        _refuse_or_do_nothing(search, problem, made_from)
    return _result(search, problem, made_from, point, own, judge, seasons)


def true_value(rows: LimitRows, seasons: Seasons, columns: Float) -> float:
    """Give the money that a plan really brings in the seasons that it is made from.

    Parameters
    ----------
    rows : LimitRows
        The limits, for what grafts, trays and pots cost.
    seasons : Seasons
        The seasons.
    columns : ndarray of shape (columns,)
        The plan.

    Returns
    -------
    float
        Money on average.
    """
    return seasons.worth(columns[: len(seasons.problem.options)]) - float(rows.cost @ columns)


def _relaxation(search: _Search, seasons: Seasons, luck: bool) -> tuple[Programme, Seasons, Point]:
    """Solve it once without the luck of single grafts, and again with as much of it as that plan has."""
    search.tell(0.02, "looking at what is possible at all")
    programme = Programme(search.rows, seasons)
    point = relax(programme, close=FIRST_PASS if luck else EXACT, seconds=search.left(programme), keep_on=search.keep_on)
    if luck and point.columns is not None and not search.over(programme):
        search.spent_s += programme.spent_s
        seasons = seasons.with_luck_of(point.columns[: programme.options])
        programme = Programme(search.rows, seasons)
        search.tell(0.08, "weighing the luck of single grafts")
        point = relax(programme, close=EXACT, seconds=search.left(programme), keep_on=search.keep_on)
    search.bound = min(search.bound, point.bound if point.feasible else -np.inf)
    search.late = search.late or not point.complete
    return programme, seasons, point


def _whole_plan(search: _Search, programme: Programme, point: Point) -> None:
    """Quick rounding first, then whole numbers in rounds, each with better cuts."""
    seasons, effort = programme.seasons, search.effort
    _quick(search, programme, point)
    search.tell(0.2, _so_far(search))
    for round_ in range(effort.rounds):
        if search.over(programme) or search.gap <= effort.gap:
            break
        start = None if search.best is None else _with_shortfalls(seasons, search.best)
        answer = programme.integers(
            search.rows.whole, start=start, gap=0.5 * effort.gap, nodes=effort.nodes, seconds=search.left(programme), keep_on=search.keep_on
        )
        search.bound = min(search.bound, answer.bound)
        search.late = search.late or (not answer.complete and not search.stopped)
        if answer.columns is None:
            break
        plan = _cleaned(search.rows, answer.columns)
        search.offer(seasons, plan)
        believed_too_much = add_cuts_at(programme, plan[: programme.options], answer)
        search.tell(0.2 + 0.7 * (round_ + 1) / effort.rounds, _so_far(search))
        if believed_too_much <= 1e-9 * max(1.0, abs(search.value)) and answer.complete:
            break


def _quick(search: _Search, programme: Programme, point: Point) -> None:
    """Whole trays with parts of grafts, then whole grafts by rounding; needs no search of the grafts themselves."""
    if point.columns is None:
        return
    rows = search.rows
    trays = rows.whole.copy()
    trays[: programme.options] = False
    search.offer(programme.seasons, rounded(rows, programme.seasons, _trays_down(rows, point.columns)))
    if not trays.any():
        return
    start = None if search.best is None else _with_shortfalls(programme.seasons, search.best)
    answer = programme.integers(trays, start=start, gap=0.002, nodes=20, seconds=search.left(programme), keep_on=search.keep_on)
    search.bound = min(search.bound, answer.bound)
    if answer.columns is not None:
        search.offer(programme.seasons, rounded(rows, programme.seasons, answer.columns))


def _trays_down(rows: LimitRows, columns: Float) -> Float:
    """The plan with the trays rounded down and the grafts cut to the places that are left."""
    plan = columns.copy()
    count = rows.columns - rows.switches
    first = len(rows.closed)
    trays = slice(first, first + len(rows.fillings))
    plan[trays], plan[count:] = np.floor(columns[trays] + 1e-6), 0.0
    before, after = rows.matrix[:, trays] @ columns[trays], rows.matrix[:, trays] @ plan[trays]
    share = np.where(before < -1e-9, after / np.where(before < -1e-9, before, 1.0), 1.0)
    for row in np.flatnonzero(share < 1.0):
        at = rows.matrix.indices[rows.matrix.indptr[row] : rows.matrix.indptr[row + 1]]
        plan[at[at < first]] *= share[row]
    return plan


def _cleaned(rows: LimitRows, columns: Float) -> Float:
    """Whole numbers as whole numbers."""
    return np.where(rows.whole, np.rint(columns), columns)


def _with_shortfalls(seasons: Seasons, columns: Float) -> Float:
    """A plan as the programme writes it, with its true shortfalls."""
    missing = seasons.missing(columns[: len(seasons.problem.options)])
    return np.concatenate([columns, np.maximum(missing, 0.0).mean(axis=0), np.maximum(seasons.tail(missing), 0.0)])


def _so_far(search: _Search) -> str:
    if search.best is None:
        return "no whole plan yet"
    return f"a plan worth {search.value:,.0f}, at most {100.0 * search.gap:.1f} % below the best"


def _refuse_or_do_nothing(search: _Search, problem: PlanProblem, seasons: Seasons) -> None:
    """Without a plan: name the limits that clash, or graft nothing where that is allowed."""
    nothing = np.zeros(search.rows.columns)
    if np.all(search.rows.least <= 0.0) and np.all(search.rows.lower <= 1e-9) and np.all(search.rows.upper >= -1e-9):
        search.offer(seasons, nothing)
        return
    clash = clashing_limits(problem)
    if clash:
        raise Refused(clash_words(clash), where="the plan", remedy="Give way in one of them.")
    raise Refused("No plan that keeps all limits was found in the time given.", where="the plan", remedy="Give it more time.")


def _result(
    search: _Search, problem: PlanProblem, made_from: Seasons, point: Point, own: Float | None, judge: int, seasons: int
) -> PlanResult:
    best = search.best
    assert best is not None
    count = len(problem.options)
    search.tell(0.92, "judging the plan by fresh seasons")
    grafts, value = np.rint(best[:count]), search.value
    seen = evaluate_plan(problem, grafts, seasons=seasons, rng=judge, assurance=made_from.assurance)
    own_seen, broken, kept = _beside(problem, search.rows, own, seen, judge, seasons, made_from)
    trays = np.rint(best[count : count + len(search.rows.fillings)])
    if kept and own is not None and own_seen is not None:
        grafts, seen = np.rint(own), own_seen
        trays = cheapest_trays(problem, grafts, search.rows).by_filling
        value = seen.score
    search.tell(1.0, "done")
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


def _relaxed(search: _Search, point: Point, count: int) -> Relaxation:
    nothing = np.zeros(len(search.rows.limits))
    prices = nothing if point.prices is None else np.abs(np.where(np.abs(point.prices) < 1e-9, 0.0, point.prices))
    less = np.zeros(count) if point.worth_less is None else point.worth_less
    grafts = np.zeros(count) if point.columns is None else point.columns[:count]
    return Relaxation(point.value, grafts, prices, less)
