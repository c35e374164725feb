"""Fewer, larger batches: grafts that serve as well on another lot, from another tree or in another week that is used anyway go there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scionary.answers.schedule_crumbs import Crumbs
from scionary.answers.schedule_places import fillings_for
from scionary.answers.season_problem import Season
from scionary.answers.whole_sticks import WholeSticks
from scionary.plan import PlanResult, TrayFillings
from scionary.plan.again import columns_of
from scionary.plan.limits import LimitRows
from scionary.plan.wanted import Int
from scionary.units import Float

_ROUNDS = 2


def tidied(season: Season, result: PlanResult) -> tuple[Int, TrayFillings]:
    """Grafts in fewer batches, with the same wishes served by the same methods and no limit broken; else as they were.

    What takes is the same, since within a season a graft's chance depends on its wish and method alone; but where a tree would have to
    give parts of sticks, a few grafts fewer may be made.
    """
    if result.kept_own:
        return result.grafts, result.trays
    grafts, rows = result.grafts.astype(np.float64), free_limits(season, result.rows)
    plan = columns_of(rows, season.problem, grafts)
    if plan is None:
        return result.grafts, result.trays
    grafts = _merged(season, rows, grafts, plan)
    tidy = columns_of(rows, season.problem, grafts)
    if tidy is None:
        return result.grafts, result.trays
    swept = Crumbs(replace(result, rows=rows), grafts, tidy).swept()
    after = columns_of(rows, season.problem, swept)
    if after is not None:  # exchanges leave batches that can be put together now
        grafts = _merged(season, rows, swept, after)
        grafts = swept if columns_of(rows, season.problem, grafts) is None else grafts
    whole = WholeSticks(season, rows).brought(np.rint(grafts).astype(np.int64))
    return whole, fillings_for(season, whole, rows)


def free_limits(season: Season, rows: LimitRows) -> LimitRows:
    """The limits of the season itself: what a wish is kept at is its number of plants, not the very week or lot that they stand in."""
    least = rows.least.copy()
    least[: len(season.problem.options)] = season.problem.options.least
    return replace(rows, least=least)


def _merged(season: Season, rows: LimitRows, grafts: Float, plan: Float) -> Float:
    """Whole batches put to others of the same wish, method and pot where no limit is broken by it."""
    grafts, matrix, taken = grafts.copy(), rows.matrix.tocsc(), rows.matrix @ plan
    options, cost = season.problem.options, season.problem.options.cost
    for _ in range(_ROUNDS):
        used = sorted(np.flatnonzero(grafts).tolist(), key=lambda at: (grafts[at], at))
        for at in used:
            alike = (options.target == options.target[at]) & (options.method == options.method[at]) & (options.pot == options.pot[at])
            others = np.flatnonzero(alike & (grafts > 0) & (cost <= cost[at]) & (np.arange(len(grafts)) != at))
            for other in sorted(others.tolist(), key=lambda each: (options.week[each] != options.week[at], -grafts[each], each)):
                by = grafts[at] * (matrix[:, [other]] - matrix[:, [at]]).toarray()[:, 0]
                moved = taken + by
                fits = np.all(moved <= np.maximum(rows.upper, taken) + 1e-6) and np.all(moved >= np.minimum(rows.lower, taken) - 1e-6)
                if fits and grafts[other] + grafts[at] <= rows.most[other]:
                    grafts[other], grafts[at], taken = grafts[other] + grafts[at], 0.0, moved
                    break
    return grafts
