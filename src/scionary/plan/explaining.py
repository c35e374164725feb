"""Why a plan is as it is: what holds it back, why a wish is cut, what would help most, which wish is cheap to make sure of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scionary.language import Told
from scionary.plan.again import Again, changed_limit, held_programme, solve_again
from scionary.plan.cutting import CutWish, cut_wishes
from scionary.plan.helping import TOP, Helps, most_helpful
from scionary.plan.limits import Limit, LimitKind
from scionary.plan.problem import PlanProblem
from scionary.plan.programme import Programme
from scionary.plan.result import LimitPrice, PlanResult
from scionary.plan.searching import Progress
from scionary.plan.surety import MadeSure, cheap_to_make_sure

_UNITS = frozenset({LimitKind.TRAYS, LimitKind.BENCH, LimitKind.STICKS, LimitKind.STOCKS, LimitKind.THICKNESS, LimitKind.BUDGET})


@dataclass(frozen=True)
class HeldBy:
    """A limit that holds the plan back.

    Attributes
    ----------
    limit : Limit
        Which.
    price : float
        Money a unit, by the relaxation.
    one_more, one_less : float
        Money that one unit more brings and one unit less costs, each by solving again with whole grafts and trays.
    within : float
        How much those two may be wrong by, because the best whole plans are not known exactly.
    words : str
        One sentence.
    """

    limit: Limit
    price: float
    one_more: float
    one_less: float
    within: float
    words: str


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
    for at, price in enumerate(_dearest(result)):
        if tell(0.1 + 0.1 * at, Told("trying {change}", change=price.limit.one_more)) is False:
            return HoldsBack(tuple(limits), cut, (), ())
        limits.append(_confirmed(result, held, now, price))
    if tell(0.4, Told("looking for what would help")) is False:
        return HoldsBack(tuple(limits), cut, (), ())
    changes = most_helpful(problem, result, held, now)
    if tell(0.8, Told("looking for wishes that are cheap to make sure of")) is False:
        return HoldsBack(tuple(limits), cut, changes, ())
    return HoldsBack(tuple(limits), cut, changes, cheap_to_make_sure(problem, result, held))


def _dearest(result: PlanResult) -> list[LimitPrice]:
    """The dearest limits of what there is; places in a tray are told by their trays."""
    return [each for each in result.prices if each.limit.kind in _UNITS][:TOP]


def _confirmed(result: PlanResult, held: Programme, now: Again, price: LimitPrice) -> HeldBy:
    """Solve with one unit more and one less; each plan found for less room is a plan for more room too."""
    more, less = (solve_again(result, held, result.made_from, changed_limit(result.rows, price.row, by), whole=True) for by in (1.0, -1.0))
    present = max(now.value, result.value if not result.kept_own else -np.inf, less.value)
    one_more, one_less = max(more.value - present, 0.0), max(present - less.value, 0.0)
    within = max(more.bound - more.value, now.bound - present, 0.0)
    limit = price.limit
    less_words = (
        Told("one fewer would cost {cost}", cost=f"{one_less:,.0f}")
        if np.isfinite(one_less)
        else Told("with one fewer no plan keeps the limits")
    )
    small = one_more <= within and within >= 0.5
    worth: str = f"{one_more:,.0f}"
    if small:
        worth = Told("at most {worth}", worth=f"{one_more + within:,.0f}")
    elif within >= 0.5:
        worth = Told("{worth} (to within {within})", worth=worth, within=f"{within:,.0f}")
    words = Told("{limit} is worth {worth}, checked by solving with one more; {less}.", limit=limit.one_more, worth=worth, less=less_words)
    return HeldBy(limit, price.price, one_more, one_less, within, words)
