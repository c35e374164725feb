"""How hard the plan has to try so that each wish is as sure as it was asked to be, where that can be had at all.

The engine buys certainty against the plants missing in the worst seasons, and that is no chance. With room for all it overshoots: a wish
that should be reached nine years in ten is reached more often, with many more grafts than that takes. With room for few it can buy plants
that make no wish sure and leave other wishes with nothing. So quick plans are measured: less is asked of wishes that came out surer than
wanted, those that fell get a price on the plants missing in all but the best seasons, and of all that was measured the surest is taken;
most value where asking makes nothing surer on the whole. What a wish loses of the chance that most value gives it counts three times.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from scionary.plan import Effort, PlanProblem, PlanResult, solve_plan

_SLOPE = 0.5  # chance gained for each unit of assurance, about; only the pace of the search depends on it
_NEAR = 0.01
_LEAST = 0.05  # below this, most value is asked for
_PULL = 0.3  # asked of a wish that fell: plants missing in its worst seven seasons of ten
_SEASONS = 4_000
_LOSING = 3.0  # weight of a chance lost against one gained; project default, unsourced
KEPT_OF_CHANCE = 0.5  # a wish that keeps less of the chance that most value gives it has lost it; project default, unsourced
NO_CHANCE = 0.1  # and with less than this there is none to lose; project default, unsourced
Floats = npt.NDArray[np.float64]


def unmeasured(
    problem: PlanProblem,
    asked: Floats,
    *,
    seed: int,
    progress: Callable[[float, str], bool] | None = None,
    seconds: float | None = None,
) -> PlanResult:
    """A quick plan that asks outright for what was asked, so surer than it need be: the first to be shown, and to be measured."""
    return solve_plan(problem, assurance=_given(asked), effort=Effort.QUICK, rng=seed, seasons=_SEASONS, progress=progress, seconds=seconds)


def enough_assurance(
    problem: PlanProblem,
    asked: Floats,
    *,
    seed: int,
    rounds: int,
    keep_on: Callable[[float], bool],
    plain: Floats,
    seconds: Callable[[], float | None] = lambda: None,
    first: PlanResult | None = None,
) -> Floats:
    """What to ask of the engine so that wishes are as sure as they were asked to be; NaN for most value.

    `plain` are the chances under most value. `first` is the unmeasured plan, where it is at hand; with it or without, the answer is the
    same. `seconds` says how many are left: a plan that they cut short measures nothing.
    """
    wanted = ~np.isnan(asked)
    slack = _NEAR * wanted.sum()
    least = sureness = how_sure(plain, asked, plain)
    tried, best, pulled = asked.copy(), np.full(len(asked), np.nan), np.zeros(len(asked), dtype=bool)
    for at in range(rounds if wanted.any() else 0):
        if not keep_on(at / rounds):
            return _given(best if at else asked)
        there = first is not None and at == 0
        measured = first if first is not None and there else unmeasured(problem, tried, seed=seed, seconds=seconds())
        if not measured.complete and not there:
            keep_on(at / rounds)
            return _given(best if at else asked)
        chance = measured.chance
        now = how_sure(chance, asked, plain)
        pulled |= lost_chance(chance, asked, plain)
        further = np.where(pulled, _PULL, np.clip(tried - (chance - asked - _NEAR / 2) / _SLOPE, 0.0, asked))
        further = np.where(wanted, further, np.nan)
        if now > least + slack and now >= sureness - 3 * slack:
            best, sureness = further, max(now, sureness)
        if np.all((np.abs(further - tried) < _NEAR) | ~wanted):
            break
        tried = further
    return _given(best)


def how_sure(chance: Floats, asked: Floats, plain: Floats) -> float:
    """Between how many wishes are as sure as asked and what parts of it all have, less what wishes lost that others have now."""
    wanted, share = ~np.isnan(asked), np.fmin(chance / asked, 1.0)
    lost = np.where(lost_chance(chance, asked, plain), np.fmin(plain / asked, 1.0) - share, 0.0)
    met = (chance >= asked - _NEAR) + share
    return float(0.5 * met[wanted].sum() - _LOSING * lost.sum())


def lost_chance(chance: Floats, asked: Floats, plain: Floats) -> npt.NDArray[np.bool_]:
    """Which wishes lost most of the chance that most value gives them."""
    there = np.fmin(plain, asked)
    found: npt.NDArray[np.bool_] = ~np.isnan(asked) & (there >= NO_CHANCE) & (chance < KEPT_OF_CHANCE * there)
    return found


def _given(tried: Floats) -> Floats:
    return np.where(tried < _LEAST, np.nan, tried)
