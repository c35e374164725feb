"""A plan that drops no wish for the sake of others, where there is one that is nearly as sure.

A wish that lost most of the chance that most value gives it keeps at least the grafts that most value gives it, and the rest is planned
anew; wishes that are lost then do so too. What comes of it takes the place of the surest plan where no wish is lost in it and little of
what that plan makes sure.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from scionary.answers.schedule_surety import Floats, how_sure, lost_chance, unmeasured
from scionary.errors import Refused
from scionary.plan import PlanProblem, PlanResult

_ROUNDS = 3
_NEARLY = 0.9  # of how sure the surest plan is, wishes that it drops counted against it; project default, unsourced


def without_loss(
    result: PlanResult,
    value: PlanResult,
    *,
    asked: Floats,
    sure: Floats,
    seed: int,
    solve: Callable[[PlanProblem, Floats], PlanResult],
    keep_on: Callable[[], bool],
) -> PlanResult:
    """The plan of a season in which no wish is lost; the given one where it loses none, or where that would cost too much.

    `value` is the plan for most value, `sure` what `result` was asked for, `solve` looks for a plan as `result` was looked for.
    """
    lost, kept = lost_chance(result.chance, asked, value.chance), np.zeros(len(asked), dtype=bool)
    for _ in range(_ROUNDS if lost.any() else 0):
        if not keep_on():
            break
        kept |= lost
        season, ask = _keeping(result.made_from.problem, value, kept), np.where(kept, np.nan, sure)
        try:
            lost = lost_chance(unmeasured(season, ask, seed=seed).chance, asked, value.chance)
            found = None if lost.any() else solve(season, ask)
        except Refused:  # in so few steps no whole plan was found
            break
        if found is not None:
            return found if _is_nearly_as_sure(found, result, asked, value.chance) else result
    return result


def _is_nearly_as_sure(found: PlanResult, result: PlanResult, asked: Floats, plain: Floats) -> bool:
    sureness = how_sure(found.chance, asked, plain)
    lost = lost_chance(found.chance, asked, plain).any()
    return found.complete and not lost and sureness >= _NEARLY * how_sure(result.chance, asked, plain)


def _keeping(problem: PlanProblem, value: PlanResult, kept: np.typing.NDArray[np.bool_]) -> PlanProblem:
    """The season in which some wishes have at least the grafts that most value gives them."""
    options = problem.options
    least = np.where(kept[options.target], np.maximum(options.least, value.grafts), options.least)
    return replace(problem, options=replace(options, least=least))
