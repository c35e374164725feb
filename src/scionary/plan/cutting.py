"""Why a plan does not expect to meet a wish."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

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
    start = f"{name}: {expected:.1f} of {wanted} expected"
    if not len(usable):
        reasons = list(dict.fromkeys(result.rows.closed[at] for at in mine)) or ["there is no mother tree, stock or window for it"]
        return CutWish(target, expected, chance, np.nan, np.nan, (), f"{start}, because {', or '.join(reasons)}.")
    brings = _brings(result, target, usable, missing)
    own_cost = problem.options.cost[usable] + problem.pots.price[problem.options.pot[usable]]
    taken = taken_by(result, usable)
    best = int(np.argmax(brings - own_cost - taken.sum(axis=1)))
    uses = sorted(_uses(result, int(usable[best]), taken[best]), key=lambda each: -each[1])
    gain, cost = float(brings[best]), float(own_cost[best])
    if gain <= cost:
        why = f"one more graft would bring {gain:.2f} and cost {cost:.2f}"
    elif uses:
        parts = " and ".join(f"{what}, worth {money:.2f} to others" for what, money in uses[:2])
        none_left = ", and of that whole trays leave none" if gain - cost - sum(money for _, money in uses) > 0.005 else ""
        why = f"one more graft would bring {gain:.2f} and cost {cost:.2f}, but takes {parts}{none_left}"
    else:
        why = f"one more graft would bring {gain:.2f} and cost {cost:.2f}; whole grafts and trays leave no room for it"
    return CutWish(target, expected, chance, gain, cost, tuple(uses), f"{start}: {why}.")


def _uses(result: PlanResult, option: int, taken: Float) -> list[tuple[str, float]]:
    """What a graft takes that others use, in words with how much of it, and its worth."""
    found = []
    for row in np.flatnonzero(taken > 1e-6).tolist():
        amount, what = float(result.rows.matrix[row, option]), result.rows.limits[row].one_more.removeprefix("one more ")
        found.append((f"a {what}" if amount == 1.0 else f"{amount:.2g} {what}", float(taken[row])))
    return found


def _brings(result: PlanResult, target: int, options: Int, missing: Float) -> Float:
    """Money that one more graft of each way would bring beside the present plan."""
    seasons = result.made_from
    saved = np.maximum(missing, 0.0)[:, None] - np.maximum(missing[:, None] - seasons.finished[:, options], 0.0)
    brings: Float = seasons.problem.targets.shortfall_cost[target] * saved.mean(axis=0) + seasons.gain[options]
    return brings
