"""Which limits cannot all hold: the smallest such set, in words of the season."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, reduce
from typing import TYPE_CHECKING, Any

import numpy as np

from scionary.language import Told, mark, said, say
from scionary.plan.limit_writing import limit_rows
from scionary.plan.limits import Limit, LimitKind, LimitRows, amount_words
from scionary.plan.problem import PlanProblem
from scionary.plan.wanted import Int
from scionary.units import Float

if TYPE_CHECKING:
    from scipy.sparse import csr_array

_FEWEST_ROUNDS, _MOST_ROUNDS, _ROUNDS_TIMES_LIMITS = 6, 200, 8_000  # so that thousands of wishes are told quickly, if as one
_MOST_NODES = 5_000
_MOST_NAMED = 8  # limits that a person can still weigh against one another
_NUMBERS = ("", "", mark("two"), mark("three"), mark("four"), mark("five"), mark("six"), mark("seven"), mark("eight"), mark("nine"))


def clashing_limits(problem: PlanProblem, *, as_wished: bool = False) -> tuple[str, ...]:
    """Find the smallest set of limits that cannot all hold.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    as_wished : bool
        True asks whether all wishes can be met on average: each number wanted counts as a limit.

    Returns
    -------
    tuple of str
        The limits in a grower's words; empty when they can all hold. Where more than eight would have to be named, all that must at least
        be made counts as one limit.
    """
    if as_wished:
        at_least = np.maximum(problem.targets.at_least, problem.targets.wanted)
        problem = replace(problem, targets=replace(problem.targets, at_least=at_least))
    rows = limit_rows(problem)
    hopeless = _hopeless(problem, rows)
    if hopeless:
        return hopeless
    soft = _soft_limits(problem, rows)
    for whole in (False, True):
        core = _smallest_core(_Elastic.of(rows, soft, whole), len(soft))
        if core is None or len(core) > _MOST_NAMED:
            soft = _musts_together(soft, rows, as_wished)
            core = _smallest_core(_Elastic.of(rows, soft, whole), len(soft))
        if core:
            return tuple(soft[at].words for at in core)
    return ()


def clash_words(limits: tuple[str, ...]) -> str:
    """Say a clash in one sentence.

    Parameters
    ----------
    limits : tuple of str
        From `clashing_limits`, not empty.

    Returns
    -------
    str
        ``These two cannot all hold: ...``.
    """
    told = "; ".join(said(limit) for limit in limits)
    if len(limits) == 1:
        return say("This cannot hold: {limits}.", limits=told)
    count = say(_NUMBERS[len(limits)]) if len(limits) < len(_NUMBERS) else str(len(limits))
    return say("These {count} cannot all hold: {limits}.", count=count, limits=told)


@dataclass(frozen=True)
class _Soft:
    """One limit as a grower sees it: some rows, or the least numbers of some options."""

    words: str
    rows: Int
    options: Int


def _hopeless(problem: PlanProblem, rows: LimitRows) -> tuple[str, ...]:
    """Something that must be made and of which every way is closed: what must be, and why it cannot."""
    target = problem.options.target
    is_open = np.array([not reason for reason in rows.closed])
    open_ways = np.bincount(target[is_open], minlength=len(problem.targets.names))
    for row, limit in enumerate(rows.limits):
        if limit.kind is LimitKind.AT_LEAST and rows.lower[row] > 0.0 and not open_ways[limit.of]:
            reasons = dict.fromkeys(rows.closed[at] for at in np.flatnonzero(target == limit.of))
            closed = reduce(lambda these, last: Told("{these}, or {last}", these=these, last=last), reasons) if reasons else ""
            none = Told("no way to make it: no mother tree, stock or window")
            ways = [Told("each way to make it: {reasons}", reasons=closed)] if reasons else [none]
            return (rows.limits[row].words, *ways)
    for option in np.flatnonzero((problem.options.least > 0.0) & ~is_open).tolist():
        return (_least_words(problem, option), rows.closed[option])
    return ()


def _soft_limits(problem: PlanProblem, rows: LimitRows) -> list[_Soft]:
    """Limits that a grower could give way in; trays of one kind are one limit over all weeks, hours at the bench too."""
    grouped: dict[tuple[LimitKind, int], list[int]] = {}
    for at, limit in enumerate(rows.limits):
        if limit.kind not in (LimitKind.PLACES, LimitKind.POTS):
            key = -1 if limit.kind is LimitKind.BENCH else limit.of
            grouped.setdefault((limit.kind, key), []).append(at)
    none = np.zeros(0, dtype=np.int64)
    found = [_Soft(_words([rows.limits[at] for at in members], problem), np.array(members), none) for members in grouped.values()]
    for option in np.flatnonzero(problem.options.least > 0.0).tolist():
        words = _least_words(problem, option)
        found.append(_Soft(words, none, np.array([option])))
    return found


def _musts_together(soft: list[_Soft], rows: LimitRows, as_wished: bool) -> list[_Soft]:
    """All that must at least be made as one limit, beside the others."""
    musts = [each for each in soft if len(each.options) or rows.limits[each.rows[0]].kind is LimitKind.AT_LEAST]
    kept = {id(each) for each in musts}
    others = [each for each in soft if id(each) not in kept]
    joined = (np.concatenate([getattr(each, name) for each in musts]) for name in ("rows", "options"))
    least = Told("the least numbers of {count:,} wishes or ways together", count=len(musts))
    whole = Told("the whole number of each of {count:,} wishes, on average", count=len(musts))
    return [*others, _Soft(whole if as_wished and not any(len(each.options) for each in musts) else least, *joined)]


def _words(members: list[Limit], problem: PlanProblem) -> str:
    first = members[0]
    if len(members) == 1 or first.kind not in (LimitKind.TRAYS, LimitKind.BENCH):
        return first.words
    amounts = [limit.amount for limit in members]
    least, most = amount_words(min(amounts)), amount_words(max(amounts))
    much = least if least == most else Told("{least} to {most}", least=least, most=most)
    weeks = Told("{first} to {last}", first=problem.weeks[first.week], last=problem.weeks[members[-1].week])
    if first.kind is LimitKind.BENCH:
        return Told("{hours} hours at the bench a week, {weeks}", hours=much, weeks=weeks)
    return Told("{number} × {what}, {weeks}", number=much, what=problem.rooms.names[first.of], weeks=weeks)


def _least_words(problem: PlanProblem, option: int) -> str:
    least = amount_words(problem.options.least[option])
    return Told("at least {number} grafts of {way}", number=least, way=problem.option_words(option))


@dataclass(frozen=True)
class _Elastic:
    """The limits with a slack each, which costs one; slacks of a set that must hold are shut."""

    matrix: csr_array
    lower: Float
    upper: Float
    least: Float
    most: Float
    columns: int
    owner: Int
    whole: bool
    is_whole: Int

    @staticmethod
    def of(rows: LimitRows, soft: list[_Soft], whole: bool) -> _Elastic:
        """Write it down: a slack for each row of a soft limit, and one for each option that must be used."""
        from scipy.sparse import csc_array, csr_array, hstack, vstack

        at = np.concatenate([each.rows for each in soft] or [np.zeros(0, dtype=np.int64)]).astype(np.int64)
        owner = np.concatenate([np.full(len(each.rows), place) for place, each in enumerate(soft)] or [np.zeros(0)]).astype(np.int64)
        sign = np.where(np.isfinite(rows.upper[at]), -1.0, 1.0)
        slack = csc_array((sign, (at, np.arange(len(at)))), shape=(len(rows.limits), len(at)))
        options = np.concatenate([each.options for each in soft] or [np.zeros(0, dtype=np.int64)]).astype(np.int64)
        owners = np.concatenate([np.full(len(each.options), place) for place, each in enumerate(soft)] or [np.zeros(0)]).astype(np.int64)
        pick = csc_array((np.ones(len(options)), (np.arange(len(options)), options)), shape=(len(options), rows.columns))
        extra = csc_array((np.ones(len(options)), (np.arange(len(options)), np.arange(len(options)))), shape=(len(options), len(options)))
        above = hstack([rows.matrix, slack, csc_array((len(rows.limits), len(options)))])
        below = hstack([pick, csc_array((len(options), len(at))), extra])
        slacks = len(at) + len(options)
        return _Elastic(
            matrix=csr_array(vstack([above, below])),
            lower=np.concatenate([rows.lower, rows.least[options]]),
            upper=np.concatenate([rows.upper, np.full(len(options), np.inf)]),
            least=np.zeros(rows.columns + slacks),
            most=np.concatenate([rows.most, np.full(slacks, np.inf)]),
            columns=rows.columns,
            owner=np.concatenate([owner, owners]),
            whole=whole,
            is_whole=np.concatenate([rows.whole, np.zeros(slacks)]).astype(np.int64),
        )

    def given_way(self, must: set[int]) -> set[int] | None:
        """Which limits give way when some must hold; None when those alone cannot."""
        from scionary.plan.quiet import HighsModelStatus

        shut = np.where(np.isin(self.owner, sorted(must)), 0.0, np.inf)
        slacks = np.arange(self.columns, self.columns + len(self.owner), dtype=np.int32)
        solver = self._solver
        solver.changeColsBounds(len(slacks), slacks, np.zeros(len(slacks)), shut)  # it goes on from where it stands
        solver.run()
        if solver.getModelStatus() in (HighsModelStatus.kInfeasible, HighsModelStatus.kUnboundedOrInfeasible):
            return None
        if solver.getInfo().primal_solution_status != 2:
            return set()
        return {int(each) for each in self.owner[np.array(solver.getSolution().col_value)[self.columns :] > 1e-7]}

    @cached_property
    def _solver(self) -> Any:
        """The solver with these limits, every slack open."""
        from scionary.plan.quiet import HighsLp, HighsVarType, MatrixFormat, quiet_solver

        solver, model = quiet_solver(), HighsLp()
        model.num_col_, model.num_row_ = len(self.most), len(self.lower)
        model.col_cost_ = np.concatenate([np.zeros(self.columns), np.ones(len(self.owner))])
        model.col_lower_, model.col_upper_ = self.least, self.most
        model.row_lower_, model.row_upper_ = self.lower, self.upper
        model.a_matrix_.format_ = MatrixFormat.kRowwise
        model.a_matrix_.start_, model.a_matrix_.index_ = self.matrix.indptr, self.matrix.indices
        model.a_matrix_.value_ = self.matrix.data
        solver.passModel(model)
        solver.setOptionValue("mip_max_nodes", _MOST_NODES)
        if self.whole:
            every = np.arange(len(self.most), dtype=np.int32)
            kinds = np.full(len(self.most), HighsVarType.kContinuous)
            kinds[self.is_whole == 1] = HighsVarType.kInteger
            solver.changeColsIntegrality(len(every), every, kinds)
        return solver


def _smallest_core(elastic: _Elastic, count: int) -> tuple[int, ...] | None:
    """The smallest set that cannot all hold, by hitting sets: each way out must touch it.

    Empty when all can hold; None when it was not settled in a fair number of rounds.
    """
    ways_out: list[set[int]] = []
    must: set[int] = set()
    for _ in range(max(_FEWEST_ROUNDS, min(_MOST_ROUNDS, _ROUNDS_TIMES_LIMITS // max(count, 1)))):
        given = elastic.given_way(must)
        if given is None:
            return tuple(sorted(must))
        if not given:
            return ()
        ways_out.append(given)
        must = _smallest_hit(ways_out, count)
    return None


def _smallest_hit(sets: list[set[int]], count: int) -> set[int]:
    """The fewest limits that touch every set."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    rows = np.repeat(np.arange(len(sets)), [len(each) for each in sets])
    matrix = csr_array((np.ones(len(rows)), (rows, [at for each in sets for at in sorted(each)])), shape=(len(sets), count))
    cost = 1.0 + 1e-6 * np.arange(count) / max(count, 1)
    answer = milp(
        cost, integrality=np.ones(count, dtype=np.int64), bounds=Bounds(0.0, 1.0), constraints=LinearConstraint(matrix, 1.0, np.inf)
    )
    return {int(at) for at in np.flatnonzero(np.asarray(answer.x) > 0.5)}
