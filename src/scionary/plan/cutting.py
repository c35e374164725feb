"""Why a plan does not expect to meet a wish."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np

from scionary.language import Told
from scionary.plan.limits import LimitKind, amount_words
from scionary.plan.problem import PlanProblem
from scionary.plan.result import PlanResult
from scionary.plan.rounding import mean_of_worst
from scionary.plan.wanted import Int
from scionary.units import Float

Uses = tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class CutWish:
    """A wish that the plan does not expect to meet.

    Attributes
    ----------
    target : int
        Which.
    expected : float
        Finished plants on average.
    chance : float
        Chance of reaching the number wanted.
    brings, costs : float
        Money that its best further graft would bring, and cost by itself; NaN where no way is open.
    surety : float
        What that graft would bring beside the money by making the wish surer; 0 where certainty is not asked for.
    takes_from : tuple of (str, float)
        What that graft would take that other wishes use, and what that is worth to them, dearest first.
    only : tuple of str
        What that graft would take that no other wish uses: there is no more of it.
    words : str
        One sentence.
    """

    target: int
    expected: float
    chance: float
    brings: float
    surety: float
    costs: float
    takes_from: tuple[tuple[str, float], ...]
    only: tuple[str, ...]
    words: str


def cut_wishes(problem: PlanProblem, result: PlanResult, *, also: Collection[int] = ()) -> tuple[CutWish, ...]:
    """Say which wishes a plan does not expect to meet, and why.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    result : PlanResult
        Its plan.
    also : collection of int
        Wishes to be told too although they are expected to be met, for they are less sure than they should be.

    Returns
    -------
    tuple of CutWish
        Those that miss most money first; a wish that misses less than half a plant on average is not cut.
    """
    wanted = problem.targets.wanted
    missing = np.where(wanted - result.seen.finished > 0.5, (wanted - result.seen.finished) * problem.targets.shortfall_cost, 0.0)
    tells = (wanted - result.seen.finished > 0.5) | np.isin(np.arange(len(wanted)), list(also))
    order = [at for at in np.argsort(-missing, kind="stable").tolist() if tells[at]]
    missing_now = result.made_from.missing(result.grafts.astype(np.float64))
    return tuple(_why_cut(problem, result, at, missing_now[:, at]) for at in order)


def usable_ways(problem: PlanProblem, result: PlanResult, target: int) -> Int:
    """Find the ways of a wish that are not closed.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    result : PlanResult
        Its plan.
    target : int
        The wish.

    Returns
    -------
    ndarray of int
        Options.
    """
    mine = np.flatnonzero(problem.options.target == target)
    return mine[[not result.rows.closed[at] for at in mine]] if len(mine) else mine


def taken_by(result: PlanResult, options: Int) -> Float:
    """Tell what a graft of each way takes of every limit, at the relaxation's prices.

    Parameters
    ----------
    result : PlanResult
        The plan.
    options : ndarray of int
        The ways.

    Returns
    -------
    ndarray of shape (ways, limits)
        Money.
    """
    uses = result.rows.by_column[:, options].toarray().T
    taken: Float = np.maximum(uses, 0.0) * np.where(result.rows.priced, result.relaxation.prices, 0.0)
    return taken


def _why_cut(problem: PlanProblem, result: PlanResult, target: int, missing: Float) -> CutWish:
    expected, chance = float(result.seen.finished[target]), float(result.chance[target])
    mine = np.flatnonzero(problem.options.target == target)
    usable = usable_ways(problem, result, target)
    if not len(usable):
        reasons = list(dict.fromkeys(result.rows.closed[at] for at in mine)) or [Told("there is no mother tree, stock or window for it")]
        because = reduce(lambda these, last: Told("{these}, or {last}", these=these, last=last), reasons)
        words = Told("{wish}, because {reason}.", wish=_stands(problem, result, target), reason=because)
        return CutWish(target, expected, chance, np.nan, 0.0, np.nan, (), (), words)
    brings, surer = _brings(result, target, usable, missing)
    own_cost = problem.options.cost[usable] + problem.pots.price[problem.options.pot[usable]]
    taken = taken_by(result, usable)
    best = int(np.argmax(brings + surer - own_cost - taken.sum(axis=1)))
    shared, only = _uses(result, target, int(usable[best]), taken[best])
    gain, surety, cost = float(brings[best]), float(surer[best]), float(own_cost[best])
    why = _why(result, gain, surety, cost, shared, only)
    words = Told("{wish}: {why}.", wish=_stands(problem, result, target), why=why)
    return CutWish(target, expected, chance, gain, surety, cost, shared, only, words)


def _stands(problem: PlanProblem, result: PlanResult, target: int) -> str:
    """How the wish stands: what is expected; where that is enough, how likely."""
    name, wanted, expected = problem.targets.names[target], int(problem.targets.wanted[target]), float(result.seen.finished[target])
    if expected >= wanted - 0.5:
        return Told("{name}: enough with a chance of {chance} %", name=name, chance=f"{100 * result.chance[target]:.0f}")
    return Told("{name}: {expected} of {wanted} expected", name=name, expected=amount_words(expected), wanted=wanted)


def _why(result: PlanResult, gain: float, surety: float, cost: float, shared: Uses, only: tuple[str, ...]) -> str:
    """Why there is not one more graft."""
    brings: str = f"{gain:.2f}"
    if surety > 0.005:
        brings = Told("{gain}, and {surety} more counting how sure you want to be,", gain=brings, surety=f"{surety:.2f}")
    one = {"gain": brings, "cost": f"{cost:.2f}"}
    if gain + surety <= cost:
        return Told("one more graft would bring {gain} and cost {cost}", **one)
    takes = _takes(result, shared)
    if only:
        there = Told("one more graft would bring {gain} and cost {cost}, but there are only {limit}", **one, limit=_and(only))
        return Told("{there}, and it takes {takes}", there=there, takes=takes) if shared else there
    if not shared:
        return Told("one more graft would bring {gain} and cost {cost}; whole grafts and trays leave no room for it", **one)
    why = Told("one more graft would bring {gain} and cost {cost}, but takes {takes}", **one, takes=takes)
    left = gain + surety - cost - sum(worth for _, worth in shared) > 0.005
    return Told("{why}, and of that whole trays leave none", why=why) if left else why


def _takes(result: PlanResult, shared: Uses) -> str:
    """The dearest two things that it takes from others, with what they are worth to those."""
    asked = not bool(np.isnan(result.made_from.assurance).all())
    parts: list[str] = [Told("{what}, worth {worth} to others", what=what, worth=f"{worth:.2f}") for what, worth in shared[:2]]
    takes = _and(parts)
    return Told("{takes} (counting how sure they are to be)", takes=takes) if asked and parts else takes


def _and(parts: Sequence[str]) -> str:
    return reduce(lambda these, last: Told("{these} and {last}", these=these, last=last), parts) if parts else ""


def _uses(result: PlanResult, target: int, option: int, taken: Float) -> tuple[Uses, tuple[str, ...]]:
    """What a graft takes: of what other wishes use, how much and its worth, dearest first; and what it alone uses up."""
    others = result.grafts * (result.made_from.problem.options.target != target)
    shared, only = [], []
    for row in np.flatnonzero(taken > 1e-6).tolist():
        amount, limit = float(result.rows.matrix[row, option]), result.rows.limits[row]
        if not _used_by(result, row, option, others):
            only.append(limit.words)
            continue
        words = limit.one_more if amount == 1.0 else Told("{amount} of {one_more}", amount=f"{amount:.2g}", one_more=limit.one_more)
        shared.append((words, float(taken[row])))
    return tuple(sorted(shared, key=lambda each: -each[1])), tuple(only)


def _used_by(result: PlanResult, row: int, option: int, others: Float) -> bool:
    """Whether other wishes use what a graft of this way takes of a limit; of places, whether they stand in a tray at the same time."""
    if result.rows.limits[row].kind is LimitKind.PLACES:
        options = result.made_from.problem.options
        first, last = options.week[option], options.week[option] + options.healing_weeks[option]
        there = (options.week < last) & (first < options.week + options.healing_weeks)
        return bool(np.any(others[there] > 0))
    return bool(result.rows.matrix[[row]][:, : len(others)].maximum(0.0).dot(others)[0] > 1e-9)


def _brings(result: PlanResult, target: int, options: Int, missing: Float) -> tuple[Float, Float]:
    """What one more graft of each way would bring beside the present plan: money, and apart from it what making the wish surer is worth."""
    seasons = result.made_from
    after = missing[:, None] - seasons.finished[:, options]
    saved = np.maximum(missing, 0.0)[:, None] - np.maximum(after, 0.0)
    brings: Float = seasons.problem.targets.shortfall_cost[target] * saved.mean(axis=0) + seasons.gain[options]
    price, asked = float(seasons.assurance_price[target]), float(seasons.assurance[target])
    if price <= 0.0:
        return brings, np.zeros(len(options))
    return brings, price * (mean_of_worst(missing[:, None], asked) - mean_of_worst(after, asked))
