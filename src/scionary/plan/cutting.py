"""Why a plan does not expect to meet a wish."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

import numpy as np

from scionary.language import Told
from scionary.plan.limits import amount_words
from scionary.plan.problem import PlanProblem
from scionary.plan.result import PlanResult
from scionary.plan.wanted import Int
from scionary.units import Float


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
    takes_from : tuple of (str, float)
        What that graft would take that others use, and what that is worth to them, dearest first.
    words : str
        One sentence.
    """

    target: int
    expected: float
    chance: float
    brings: float
    costs: float
    takes_from: tuple[tuple[str, float], ...]
    words: str


def cut_wishes(problem: PlanProblem, result: PlanResult) -> tuple[CutWish, ...]:
    """Say which wishes a plan does not expect to meet, and why.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    result : PlanResult
        Its plan.

    Returns
    -------
    tuple of CutWish
        Those that miss most money first; a wish that misses less than half a plant on average is not cut.
    """
    wanted = problem.targets.wanted
    missing = np.where(wanted - result.seen.finished > 0.5, (wanted - result.seen.finished) * problem.targets.shortfall_cost, 0.0)
    order = [at for at in np.argsort(-missing, kind="stable").tolist() if wanted[at] - result.seen.finished[at] > 0.5]
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
    name, wanted = problem.targets.names[target], int(problem.targets.wanted[target])
    mine = np.flatnonzero(problem.options.target == target)
    usable = usable_ways(problem, result, target)
    start = {"name": name, "expected": amount_words(expected), "wanted": wanted}
    if not len(usable):
        reasons = list(dict.fromkeys(result.rows.closed[at] for at in mine)) or [Told("there is no mother tree, stock or window for it")]
        because = reduce(lambda these, last: Told("{these}, or {last}", these=these, last=last), reasons)
        words = Told("{name}: {expected} of {wanted} expected, because {reason}.", **start, reason=because)
        return CutWish(target, expected, chance, np.nan, np.nan, (), words)
    brings = _brings(result, target, usable, missing)
    own_cost = problem.options.cost[usable] + problem.pots.price[problem.options.pot[usable]]
    taken = taken_by(result, usable)
    best = int(np.argmax(brings - own_cost - taken.sum(axis=1)))
    uses = sorted(_uses(result, int(usable[best]), taken[best]), key=lambda each: -each[1])
    gain, cost = float(brings[best]), float(own_cost[best])
    money = {"gain": f"{gain:.2f}", "cost": f"{cost:.2f}"}
    if gain <= cost:
        why = Told("one more graft would bring {gain} and cost {cost}", **money)
    elif uses:
        parts: list[str] = [Told("{what}, worth {worth} to others", what=what, worth=f"{worth:.2f}") for what, worth in uses[:2]]
        takes = reduce(lambda these, last: Told("{these} and {last}", these=these, last=last), parts)
        why = Told("one more graft would bring {gain} and cost {cost}, but takes {takes}", **money, takes=takes)
        if gain - cost - sum(worth for _, worth in uses) > 0.005:
            why = Told("{why}, and of that whole trays leave none", why=why)
    else:
        why = Told("one more graft would bring {gain} and cost {cost}; whole grafts and trays leave no room for it", **money)
    words = Told("{name}: {expected} of {wanted} expected: {why}.", **start, why=why)
    return CutWish(target, expected, chance, gain, cost, tuple(uses), words)


def _uses(result: PlanResult, option: int, taken: Float) -> list[tuple[str, float]]:
    """What a graft takes that others use, in words with how much of it, and its worth."""
    found = []
    for row in np.flatnonzero(taken > 1e-6).tolist():
        amount, what = float(result.rows.matrix[row, option]), result.rows.limits[row].one_more
        words = what if amount == 1.0 else Told("{amount} of {one_more}", amount=f"{amount:.2g}", one_more=what)
        found.append((words, float(taken[row])))
    return found


def _brings(result: PlanResult, target: int, options: Int, missing: Float) -> Float:
    """Money that one more graft of each way would bring beside the present plan."""
    seasons = result.made_from
    saved = np.maximum(missing, 0.0)[:, None] - np.maximum(missing[:, None] - seasons.finished[:, options], 0.0)
    brings: Float = seasons.problem.targets.shortfall_cost[target] * saved.mean(axis=0) + seasons.gain[options]
    return brings
