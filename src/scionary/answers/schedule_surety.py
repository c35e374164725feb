"""How hard the plan has to try so that each wish is as sure as it was asked to be, and hardly surer.

The engine buys certainty against the plants missing in the worst seasons, which goes further than a chance: a wish that should be reached
nine years in ten is then reached more often, with many more grafts than that takes. So a quick plan is measured, and less asked of the
wishes that came out surer than wanted.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from scionary.plan import Effort, PlanProblem, PlanResult, solve_plan

_SLOPE = 0.5  # chance gained for each unit of assurance, about; only the pace of the search depends on it
_NEAR = 0.01
_LEAST = 0.05  # below this, most value is asked for
_SEASONS = 4_000
Floats = npt.NDArray[np.float64]


def unmeasured(problem: PlanProblem, asked: Floats, *, seed: int, progress: Callable[[float, str], bool] | None = None) -> PlanResult:
    """A quick plan that asks outright for what was asked, so surer than it need be: the first to be shown, and to be measured."""
    return solve_plan(problem, assurance=_given(asked), effort=Effort.QUICK, rng=seed, seasons=_SEASONS, progress=progress)


def enough_assurance(
    problem: PlanProblem, asked: Floats, *, seed: int, rounds: int, keep_on: Callable[[float], bool], first: PlanResult | None = None
) -> Floats:
    """What to ask of the engine so that the chance measured is about what was asked; NaN for most value, as it was given.

    `first` is the unmeasured plan, where it is at hand; with it or without, the answer is the same.
    """
    tried = asked.copy()
    for at in range(rounds):
        if not keep_on(at / rounds) or not np.any(~np.isnan(asked)):
            break
        measured = first if first is not None and at == 0 else unmeasured(problem, tried, seed=seed)
        chance = measured.chance
        further = np.clip(tried - (chance - asked - _NEAR / 2) / _SLOPE, 0.0, asked)
        settled = np.abs(further - tried) < _NEAR
        tried = np.where(np.isnan(asked), np.nan, further)
        if np.all(settled | np.isnan(asked)):
            break
    return _given(tried)


def _given(tried: Floats) -> Floats:
    return np.where(tried < _LEAST, np.nan, tried)
