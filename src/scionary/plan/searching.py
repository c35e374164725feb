"""The search for a plan: relaxation, luck of single grafts, quick rounding, whole numbers in rounds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scionary.language import Told
from scionary.plan.effort import Effort
from scionary.plan.limits import LimitRows
from scionary.plan.programme import Point, Programme
from scionary.plan.relaxing import EXACT, FIRST_PASS, add_cuts_at, relax
from scionary.plan.rounding import rounded
from scionary.plan.seasons import Seasons
from scionary.units import Float

_FIRST_GAP, _FIRST_NODES = 0.004, 20  # of the first plan: soon rather than best
_MOST_WHOLE = 3_000  # whole numbers: with more of them only trays are rounded where a season is solved again with one change

Progress = Callable[[float, str], Any]


@dataclass
class Search:
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
    most_nodes: int | None = None
    _at: tuple[float, str] = field(default=(0.0, ""))

    def tell(self, fraction: float, words: str) -> bool:
        """Report how far it is.

        Parameters
        ----------
        fraction : float
            From 0 to 1.
        words : str
            What is being done.

        Returns
        -------
        bool
            False once the person has stopped it.
        """
        self._at = (fraction, words)
        return self.keep_on()

    def keep_on(self) -> bool:
        """Ask whether to go on."""
        if not self.stopped and self.progress is not None and self.progress(*self._at) is False:
            self.stopped = True
        return not self.stopped

    def left(self, programme: Programme) -> float | None:
        """Tell the solver's own seconds that are left.

        Parameters
        ----------
        programme : Programme
            The one that is being solved.

        Returns
        -------
        float or None
            None for no limit.
        """
        return None if self.seconds is None else self.seconds - self.spent_s - programme.spent_s

    def over(self, programme: Programme) -> bool:
        """Tell whether time is up or the person has stopped it.

        Parameters
        ----------
        programme : Programme
            The one that is being solved.

        Returns
        -------
        bool
            True for no more.
        """
        left = self.left(programme)
        self.late = self.late or (left is not None and left <= 0.0)
        return self.late or self.stopped

    def offer(self, seasons: Seasons, columns: Float | None) -> None:
        """Keep a plan if it is the best so far.

        Parameters
        ----------
        seasons : Seasons
            What it is worth in.
        columns : ndarray or None
            The plan; None changes nothing.
        """
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


def solve_relaxation(search: Search, seasons: Seasons, *, luck: bool) -> tuple[Programme, Seasons, Point]:
    """Solve the relaxation, with luck a second time with as much of it as the first plan has.

    Parameters
    ----------
    search : Search
        It gets the bound.
    seasons : Seasons
        What the plan is made from.
    luck : bool
        Whether the luck of single grafts is to be added.

    Returns
    -------
    programme, seasons, point : Programme, Seasons, Point
        The programme with its cuts, the seasons with their luck, and the last point.
    """
    search.tell(0.02, Told("looking at what is possible at all"))
    programme = Programme(search.rows, seasons)
    point = relax(programme, close=FIRST_PASS if luck else EXACT, seconds=search.left(programme), keep_on=search.keep_on)
    if luck and point.columns is not None and not search.over(programme):
        search.spent_s += programme.spent_s
        seasons = seasons.with_luck_of(point.columns[: programme.options])
        programme = Programme(search.rows, seasons)
        search.tell(0.08, Told("weighing the luck of single grafts"))
        point = relax(programme, close=EXACT, seconds=search.left(programme), keep_on=search.keep_on)
    search.bound = min(search.bound, point.bound if point.feasible else -np.inf)
    search.late = search.late or not point.complete
    return programme, seasons, point


def search_whole(search: Search, programme: Programme, point: Point) -> None:
    """Look for whole grafts and trays: quick rounding first, then whole numbers in rounds, each with better cuts.

    Parameters
    ----------
    search : Search
        It gets the best plan and the bound.
    programme : Programme
        The season, relaxed.
    point : Point
        The relaxation.
    """
    seasons, effort = programme.seasons, search.effort
    _quick(search, programme, point)
    search.tell(0.2, _so_far(search))
    for round_ in range(max(effort.rounds, 1 if search.best is None else 0)):
        if search.over(programme) or search.gap <= effort.gap:
            break
        start = None if search.best is None else _with_shortfalls(seasons, search.best)
        answer = programme.integers(
            search.rows.whole,
            start=start,
            gap=0.5 * effort.gap,
            nodes=search.most_nodes or effort.nodes,
            seconds=search.left(programme),
            keep_on=search.keep_on,
        )
        search.bound = min(search.bound, answer.bound)
        search.late = search.late or (not answer.complete and not search.stopped)
        if answer.columns is None:
            break
        plan = _cleaned(search.rows, answer.columns)
        search.offer(seasons, plan)
        believed_too_much = add_cuts_at(programme, plan[: programme.options], answer)
        search.tell(0.2 + 0.7 * (round_ + 1) / max(effort.rounds, 1), _so_far(search))
        if believed_too_much <= 1e-9 * max(1.0, abs(search.value)) and answer.complete:
            break


def search_once(search: Search, programme: Programme, point: Point) -> None:
    """Look for whole grafts and trays once: trays rounded, the grafts solved anew and rounded; then whole numbers, but of a large season.

    Parameters
    ----------
    search : Search
        It gets the best plan and the bound.
    programme : Programme
        The season, relaxed.
    point : Point
        The relaxation.
    """
    rows, seasons = search.rows, programme.seasons
    if point.columns is None:
        return
    trays = slice(programme.options, programme.options + len(rows.fillings))
    dived = programme.relax_with(trays, _trays_near(rows, point.columns, trays))
    if dived.columns is not None:
        search.offer(seasons, rounded(rows, seasons, dived.columns))
    if search.gap <= search.effort.gap or rows.whole.sum() > _MOST_WHOLE:
        return
    start = None if search.best is None else _with_shortfalls(seasons, search.best)
    nodes = search.most_nodes or search.effort.nodes
    answer = programme.integers(rows.whole, start=start, gap=0.5 * search.effort.gap, nodes=nodes, seconds=None, keep_on=search.keep_on)
    search.bound = min(search.bound, answer.bound)
    if answer.columns is not None:
        search.offer(seasons, _cleaned(rows, answer.columns))


def _trays_near(rows: LimitRows, columns: Float, trays: slice) -> Float:
    """The trays of a plan rounded down, then up again where most of one is used and there is one."""
    whole = np.floor(columns[trays] + 1e-6)
    uses = rows.matrix[:, trays].tocsc()
    left = rows.upper - uses @ whole
    part = columns[trays] - whole
    for at in np.argsort(-part, kind="stable")[: int(np.count_nonzero(part > 1e-6))].tolist():
        inside = slice(uses.indptr[at], uses.indptr[at + 1])
        limits, by = uses.indices[inside], uses.data[inside]
        if np.all((by <= 0.0) | (by <= left[limits] + 1e-7)):
            whole[at] += 1.0
            left[limits] -= by
    return whole


def _quick(search: Search, programme: Programme, point: Point) -> None:
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
    answer = programme.integers(
        trays, start=start, gap=_FIRST_GAP, nodes=_FIRST_NODES, seconds=search.left(programme), keep_on=search.keep_on
    )
    search.bound = min(search.bound, answer.bound)
    search.late = search.late or (not answer.complete and not search.stopped)
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


def _so_far(search: Search) -> str:
    return Told("no whole plan yet") if search.best is None else Told("a plan is found, better ones are looked for")
