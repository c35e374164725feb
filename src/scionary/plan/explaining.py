"""Why a plan is as it is: what holds it back, why a wish is cut, what would help most, which wish is cheap to make sure of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scionary.language import Told
from scionary.plan.again import Again, Judged, changed_limit, held_programme, judged_again, solve_again
from scionary.plan.cutting import CutWish, cut_wishes
from scionary.plan.helping import TOP, Helps, most_helpful
from scionary.plan.limits import Limit, LimitKind, LimitRows
from scionary.plan.problem import PlanProblem
from scionary.plan.programme import Programme
from scionary.plan.result import PlanResult
from scionary.plan.searching import Progress
from scionary.plan.surety import MadeSure, cheap_to_make_sure

_UNITS = frozenset({LimitKind.BENCH, LimitKind.STICKS, LimitKind.STOCKS, LimitKind.THICKNESS, LimitKind.BUDGET})

_NEARLY, _MOST_STARTS = 0.99, 6  # of weeks in which a stay may begin, those that prices call dearest; so many are solved for


@dataclass(frozen=True)
class HeldBy:
    """A limit that holds the plan back.

    Attributes
    ----------
    limit : Limit
        Which; of trays, that of the first week of a stay.
    last_week : int
        Of trays, the last week of that stay; else the limit's week.
    price : float
        Money a unit, by the relaxation.
    one_more, one_less : float
        What one unit more brings and one unit less costs in the seasons that the plan was made from, each by solving again with whole
        grafts and trays; certainty that is asked for counts.
    within : float
        How much those two may be wrong by, because the best whole plans are not known exactly.
    words : str
        One sentence, with what the judging seasons say: money, and apart from it what counts certainty too.
    """

    limit: Limit
    last_week: int
    price: float
    one_more: float
    one_less: float
    within: float
    words: str


@dataclass(frozen=True)
class _Unit:
    """One unit more of something: in words, its price, the rows that it is in, the first one's limit, and its last week."""

    words: str
    price: float
    rows: tuple[int, ...]
    limit: Limit
    last_week: int


@dataclass(frozen=True)
class HoldsBack:
    """Everything that explains a plan.

    Attributes
    ----------
    limits : tuple of HeldBy
        The dearest limits.
    cut : tuple of CutWish
        Wishes that it does not expect to meet, those that miss most money first.
    changes : tuple of Helps
        The most helpful changes.
    sure : tuple of MadeSure
        Wishes that are cheap to make sure of, cheapest first.
    """

    limits: tuple[HeldBy, ...]
    cut: tuple[CutWish, ...]
    changes: tuple[Helps, ...]
    sure: tuple[MadeSure, ...]


def what_holds_back(problem: PlanProblem, result: PlanResult, *, progress: Progress | None = None) -> HoldsBack:
    """Explain a plan.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    result : PlanResult
        Its plan, from `solve_plan`.
    progress : callable, optional
        Called with a fraction and a word; returning False leaves out what is not yet looked at.

    Returns
    -------
    HoldsBack
        Prices confirmed by solving with one unit more and less, cut wishes, changes, and wishes cheap to make sure of.
    """
    tell = progress or (lambda fraction, words: True)
    held = held_programme(result)
    now = solve_again(result, held, result.made_from, result.rows, whole=True)
    limits: list[HeldBy] = []
    cut = cut_wishes(problem, result)
    for at, unit in enumerate(_dearest(result, held)):
        if tell(0.1 + 0.1 * at, Told("trying {change}", change=unit.words)) is False:
            return HoldsBack(tuple(limits), cut, (), ())
        limits.append(_confirmed(result, held, now, unit))
    if tell(0.4, Told("looking for what would help")) is False:
        return HoldsBack(tuple(limits), cut, (), ())
    changes = most_helpful(problem, result, held, now)
    if tell(0.8, Told("looking for wishes that are cheap to make sure of")) is False:
        return HoldsBack(tuple(limits), cut, changes, ())
    return HoldsBack(tuple(limits), cut, changes, cheap_to_make_sure(problem, result, held))


def _dearest(result: PlanResult, held: Programme) -> list[_Unit]:
    """The dearest of what there is: hours, stocks, sticks, money by their limit, trays for a whole stay, and places by their trays."""
    found = [
        _Unit(each.limit.one_more, each.price, (each.row,), each.limit, each.limit.week)
        for each in result.prices
        if each.limit.kind in _UNITS
    ]
    found += _stays(result, held)
    return sorted(found, key=lambda each: -each.price)[:TOP]


def _stays(result: PlanResult, held: Programme) -> list[_Unit]:
    """One tray more of each kind for as long as grafts stay in it, from the week in which that is worth most."""
    limits = result.rows.limits
    rooms = dict.fromkeys(limit.of for limit in limits if limit.kind is LimitKind.TRAYS)
    return [unit for room in rooms if (unit := _best_stay(result, held, room)) is not None]


def _best_stay(result: PlanResult, held: Programme, room: int) -> _Unit | None:
    """Prices of single weeks do not tell in which a stay should begin, so the likeliest are solved for, with parts of grafts."""
    rows, prices, fillings = result.rows, result.relaxation.prices, result.rows.fillings
    at = {limit.week: row for row, limit in enumerate(rows.limits) if limit.kind is LimitKind.TRAYS and limit.of == room}
    stay = _stay_weeks(result, room)
    spans = {}
    for first in np.unique(fillings.week[fillings.room == room]).tolist():
        spans[first] = tuple(at[week] for week in range(first, first + stay) if week in at)
    worth = {first: float(prices[list(span)].sum()) for first, span in spans.items()}
    if max(worth.values()) <= 1e-6 * max(1.0, abs(result.value)):
        return None
    dear = [first for first, each in worth.items() if each >= _NEARLY * max(worth.values())]
    likely = [dear[place] for place in np.unique(np.linspace(0, len(dear) - 1, _MOST_STARTS).astype(int)).tolist()]
    relaxed = {
        first: solve_again(result, held, result.made_from, _changed(result, spans[first], 1.0), whole=False).relaxed for first in likely
    }
    best = max(likely, key=lambda first: relaxed[first])
    limit, last = rows.limits[spans[best][0]], rows.limits[spans[best][-1]]
    weeks, name = result.made_from.problem.weeks, result.made_from.problem.rooms.names[room]
    words = limit.one_more
    if last.week > limit.week:
        words = Told("one more {what} from {first} to {last}", what=name, first=weeks[limit.week], last=weeks[last.week])
    return _Unit(words, worth[best], spans[best], limit, last.week)


def _stay_weeks(result: PlanResult, room: int) -> int:
    """How long grafts stay in a kind of tray: as most of the plan's do, else the shortest that any way has."""
    used = result.trays.room == room
    if used.any():
        return int(np.argmax(np.bincount(result.trays.healing_weeks[used], weights=result.trays.trays[used])))
    return int(result.rows.fillings.healing[result.rows.fillings.room == room].min())


def _confirmed(result: PlanResult, held: Programme, now: Again, unit: _Unit) -> HeldBy:
    """Solve with one unit more and one less; each plan found for less room is a plan for more room too."""
    (more, gained), (less, lost) = (_with(result, held, unit, by) for by in (1.0, -1.0))
    present = max(now.value, result.value if not result.kept_own else -np.inf, less.value)
    one_more, one_less = max(more.value - present, 0.0), max(present - less.value, 0.0)
    within = max(more.bound - more.value, now.bound - present, less.bound - less.value if np.isfinite(less.value) else 0.0, 0.0)
    fewer = (
        Told("one fewer would cost {cost}", cost=_both(result, -lost.money, -lost.score))
        if np.isfinite(one_less)
        else Told("with one fewer no plan keeps the limits")
    )
    worth = _both(result, gained.money, gained.score)
    if one_more <= within and within >= 0.5:
        most = Told("at most {worth}", worth=f"{one_more + within:,.0f}")
        worth = Told("{worth}, counting how sure you want to be", worth=most) if _asks(result) else most
    elif within >= 0.5:
        worth = Told("{worth} (to within {within})", worth=worth, within=f"{within:,.0f}")
    words = Told("{limit} is worth {worth}, checked by solving with one more; {less}.", limit=unit.words, worth=worth, less=fewer)
    return HeldBy(unit.limit, unit.last_week, unit.price, one_more, one_less, within, words)


def _with(result: PlanResult, held: Programme, unit: _Unit, by: float) -> tuple[Again, Judged]:
    """Solve with more or less of a limit; judged where it would be tried."""
    rows = _changed(result, unit.rows, by)
    again = solve_again(result, held, result.made_from, rows, whole=True)
    return again, judged_again(result, again, result.made_from.problem, rows)


def _changed(result: PlanResult, at: tuple[int, ...], by: float) -> LimitRows:
    """The limits with more or less in some rows, never below none."""
    rows = result.rows
    for row in at:
        rows = changed_limit(rows, row, max(by, -float(rows.upper[row])) if np.isfinite(rows.upper[row]) else by)
    return rows


def _both(result: PlanResult, money: float, score: float) -> str:
    """Money; where certainty is asked for, what it is worth counting that too, said apart."""
    if not _asks(result):
        return f"{max(score, 0.0):,.0f}"
    return Told("{money} in money and {score} counting how sure you want to be", money=f"{money:,.0f}", score=f"{max(score, 0.0):,.0f}")


def _asks(result: PlanResult) -> bool:
    """Whether any wish was asked to be sure."""
    return not bool(np.isnan(result.made_from.assurance).all())
