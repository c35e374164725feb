"""Whole grafts and trays from a relaxation: quick rounding first, then whole numbers in rounds, each with better cuts."""

from __future__ import annotations

import numpy as np

from scionary.language import Told
from scionary.plan.limits import LimitRows
from scionary.plan.programme import Point, Programme
from scionary.plan.relaxing import add_cuts_at
from scionary.plan.rounding import rounded
from scionary.plan.searching import Search
from scionary.plan.seasons import Seasons
from scionary.plan.wanted import Bool, Int
from scionary.units import Float

_FIRST_GAP, _FIRST_NODES = 0.004, 20  # of the first plan: soon rather than best
_MOST_WHOLE = 3_000  # whole numbers: a season with more of them is large, and its trays are looked for among the nearest ways first
_NEAR_WAYS, _NEAR_GAP = 1_000, 0.0005  # so many ways, and as they are few, a closer look at them


def search_whole(search: Search, programme: Programme, point: Point, *, again: bool = False) -> None:
    """Look for whole grafts and trays.

    Parameters
    ----------
    search : Search
        It gets the best plan and the bound.
    programme : Programme
        The season, relaxed.
    point : Point
        The relaxation.
    again : bool
        True for a season that is solved again with one thing changed: trays rounded, the grafts solved anew and rounded; then whole numbers
        once, but of a large season. Else quick rounding first, then whole numbers in rounds, each with better cuts.
    """
    if again:
        _once(search, programme, point)
    else:
        _quick(search, programme, point)
        search.tell(0.2, _so_far(search))
        _in_rounds(search, programme)


def _in_rounds(search: Search, programme: Programme) -> None:
    seasons, effort = programme.seasons, search.effort
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


def _once(search: Search, programme: Programme, point: Point) -> None:
    rows, seasons = search.rows, programme.seasons
    if point.columns is None:
        return
    _dive(search, programme, point)
    if search.gap <= search.effort.gap or _is_large(rows):
        return
    start = None if search.best is None else _with_shortfalls(seasons, search.best)
    nodes = search.most_nodes or search.effort.nodes
    answer = programme.integers(rows.whole, start=start, gap=0.5 * search.effort.gap, nodes=nodes, seconds=None, keep_on=search.keep_on)
    search.bound = min(search.bound, answer.bound)
    if answer.columns is not None:
        search.offer(seasons, _cleaned(rows, answer.columns))


def _quick(search: Search, programme: Programme, point: Point) -> None:
    """Whole trays with parts of grafts, then whole grafts by rounding; needs no search of the grafts themselves."""
    if point.columns is None:
        return
    rows = search.rows
    trays = rows.whole.copy()
    trays[: programme.options] = False
    if trays.any() and _is_large(rows):
        _dive(search, programme, point)
        _round_trays(search, programme, trays, shut=_far_ways(search, point))
        if search.over(programme) or search.gap <= _FIRST_GAP:
            return
    else:
        search.offer(programme.seasons, rounded(rows, programme.seasons, _trays_down(rows, point.columns)))
    if trays.any():
        _round_trays(search, programme, trays)


def _round_trays(search: Search, programme: Programme, trays: Bool, *, shut: Int | None = None) -> None:
    """Look for whole trays with parts of grafts and round the grafts; with some ways shut, it bounds nothing."""
    start = None if search.best is None else _with_shortfalls(programme.seasons, search.best)
    gap = _FIRST_GAP if shut is None else _NEAR_GAP
    answer = programme.integers(
        trays, start=start, gap=gap, nodes=_FIRST_NODES, seconds=search.left(programme), keep_on=search.keep_on, shut=shut
    )
    if shut is None:
        search.bound = min(search.bound, answer.bound)
    search.late = search.late or (not answer.complete and not search.stopped)
    if answer.columns is not None:
        search.offer(programme.seasons, rounded(search.rows, programme.seasons, answer.columns))


def _is_large(rows: LimitRows) -> bool:
    return int(rows.whole.sum()) > _MOST_WHOLE


def _far_ways(search: Search, point: Point) -> Int:
    """Ways that no plan known so far uses, and of which a graft would cost most by the relaxation's prices; all but a thousand."""
    assert point.columns is not None
    assert point.worth_less is not None
    less = np.round(np.abs(point.worth_less), 9)
    count = len(less)
    used = (point.columns[:count] > 1e-9) | (search.rows.least[:count] > 0.0)
    if search.best is not None:
        used |= search.best[:count] > 0.5
    return np.sort(np.lexsort((less, ~used))[max(_NEAR_WAYS, int(used.sum())) :])


def _dive(search: Search, programme: Programme, point: Point) -> None:
    """Trays rounded, the grafts solved anew with them and rounded."""
    assert point.columns is not None
    trays = slice(programme.options, programme.options + len(search.rows.fillings))
    dived = programme.relax_with(trays, _trays_near(search.rows, point.columns, trays))
    if dived.columns is not None:
        search.offer(programme.seasons, rounded(search.rows, programme.seasons, dived.columns))


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
