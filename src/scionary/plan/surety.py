"""Which wishes are cheap to make sure of."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scionary.plan.again import held_programme, solve_again
from scionary.plan.cutting import taken_by, usable_ways
from scionary.plan.problem import PlanProblem
from scionary.plan.programme import Programme
from scionary.plan.result import PlanResult

TOP = 3
TRIED = 8  # wishes whose cost is looked at by solving, of all that are estimated
SURE = 0.9  # project default, unsourced: nine seasons in ten


@dataclass(frozen=True)
class MadeSure:
    """A wish, and what it would cost to make it sure.

    Attributes
    ----------
    target : int
        Which.
    chance : float
        Its chance now.
    wanted : float
        The chance asked for.
    cost : float
        Money that the season loses by it, with parts of grafts and trays.
    """

    target: int
    chance: float
    wanted: float
    cost: float


def cheap_to_make_sure(
    problem: PlanProblem, result: PlanResult, held: Programme | None = None, *, wanted: float = SURE
) -> tuple[MadeSure, ...]:
    """Find wishes that it costs least to make sure of.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    result : PlanResult
        Its plan.
    held : Programme, optional
        Its programme, from `held_programme`, where there is one.
    wanted : float
        The chance asked for.

    Returns
    -------
    tuple of MadeSure
        At most three, cheapest first; a wish that the limits do not let be sure is left out.
    """
    seasons, own = result.made_from, held or held_programme(result)
    unsure = np.flatnonzero((result.chance < wanted) & np.isnan(seasons.assurance))
    estimate = np.array([_cost_of_surety(problem, result, int(at), wanted) for at in unsure])
    found = []
    for at in unsure[np.argsort(estimate, kind="stable")][:TRIED].tolist():
        asked, price = seasons.assurance.copy(), problem.targets.assurance_price.copy()
        asked[at], price[at] = wanted, 50.0 * max(float(problem.targets.shortfall_cost[at]), 1.0)
        changed = replace(problem, targets=replace(problem.targets, assurance_price=price))
        again = solve_again(result, own, replace(seasons, problem=changed, assurance=asked), result.rows, whole=False)
        cost = result.relaxation.value - again.relaxed
        if cost < price[at] * 0.25:
            found.append(MadeSure(at, float(result.chance[at]), wanted, max(cost, 0.0)))
    return tuple(sorted(found, key=lambda each: each.cost)[:TOP])


def _cost_of_surety(problem: PlanProblem, result: PlanResult, target: int, wanted: float) -> float:
    """A first estimate: plants missing in the worst seasons, by the cheapest way and at the prices of now."""
    usable = usable_ways(problem, result, target)
    if not len(usable):
        return np.inf
    missing = result.made_from.missing(result.grafts.astype(np.float64))[:, target]
    worst = float(np.quantile(missing, wanted))
    finished = np.quantile(result.made_from.finished[:, usable], 1.0 - wanted, axis=0)
    each = (problem.options.cost[usable] + taken_by(result, usable).sum(axis=1)) / np.maximum(finished, 1e-3)
    return max(worst, 0.0) * float(each.min())
