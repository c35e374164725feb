"""A season's plan in its extensive form: one shortfall a wish and season, and conditional value at risk by its own definition.

A second way to write the same programme as `scionary.plan`, which tells shortfalls by cuts; other solvers can be set on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import block_array, coo_array, csr_array, eye_array, hstack

from scionary.plan.limits import LimitRows
from scionary.plan.seasons import Seasons

Float = NDArray[np.float64]


@dataclass(frozen=True)
class ExtensiveForm:
    """Minimise ``cost @ x`` within ``lower <= matrix @ x <= upper`` and ``least <= x <= most``; a plan is worth ``constant`` less."""

    cost: Float
    matrix: csr_array
    lower: Float
    upper: Float
    least: Float
    most: Float
    whole: NDArray[np.bool_]
    constant: float


def extensive_form(rows: LimitRows, seasons: Seasons) -> ExtensiveForm:
    """Write it down: limits' columns, then shortfalls season by season, then a quantile, what lies beyond it and a mean a sure wish."""
    problem, (scenarios, wishes) = seasons.problem, seasons.made.shape
    options, shorts = len(problem.options), scenarios * wishes
    at = (np.arange(scenarios)[:, None] * wishes + problem.options.target).ravel()
    gives = coo_array((seasons.finished.ravel(), (at, np.tile(np.arange(options), scenarios))), shape=(shorts, rows.columns)).tocsr()
    right = (problem.targets.wanted - seasons.made + seasons.spread * seasons.luck).ravel()
    sure = np.flatnonzero(~np.isnan(seasons.assurance))
    tails, tail_right, tail_least, tail_cost = _tails(seasons, sure, gives, right, shorts)
    extra = len(tail_cost)
    nothing = [csr_array((len(rows.limits), shorts + extra))]
    first = hstack([csr_array(rows.matrix), *nothing])
    second = hstack([gives, eye_array(shorts), csr_array((shorts, extra))])
    blocks: list[list[Any]] = [[first], [second]]
    if extra:
        blocks.append([tails])
    gain = np.concatenate([seasons.gain, np.zeros(rows.columns - options)])
    return ExtensiveForm(
        cost=np.concatenate([rows.cost - gain, np.tile(problem.targets.shortfall_cost, scenarios) / scenarios, tail_cost]),
        matrix=csr_array(block_array(blocks)),
        lower=np.concatenate([rows.lower, right, tail_right]),
        upper=np.concatenate([rows.upper, np.full(shorts + len(tail_right), np.inf)]),
        least=np.concatenate([rows.least, np.zeros(shorts), tail_least]),
        most=np.concatenate([rows.most, np.full(shorts + extra, np.inf)]),
        whole=np.concatenate([rows.whole, np.zeros(shorts + extra, dtype=bool)]),
        constant=seasons.constant,
    )


def solved(form: ExtensiveForm, *, gap: float = 1e-6, seconds: float = 60.0, whole: bool = True) -> tuple[float, float]:
    """Value and bound by scipy's own copy of its solver; -inf where it found nothing in the time."""
    answer = milp(
        form.cost,
        integrality=form.whole.astype(np.int64) * whole,
        bounds=Bounds(form.least, form.most),
        constraints=LinearConstraint(form.matrix, form.lower, form.upper),
        options={"mip_rel_gap": gap, "time_limit": seconds},
    )
    value = -np.inf if answer.x is None else form.constant - float(answer.fun)
    bound = np.inf if answer.mip_dual_bound is None else form.constant - float(answer.mip_dual_bound)
    return value, bound


def _tails(seasons: Seasons, sure: Any, gives: csr_array, right: Float, shorts: int) -> tuple[Any, Float, Float, Float]:
    """Rows, right sides, least values and costs: mean >= quantile + what lies beyond it on average over the worst seasons."""
    scenarios, wishes = seasons.made.shape
    each = scenarios + 2
    blocks, right_all = [], [np.zeros(0)]
    least, cost = np.zeros(each * len(sure)), np.zeros(each * len(sure))
    for place, wish in enumerate(sure.tolist()):
        mine = np.arange(scenarios) * wishes + wish
        own = np.zeros((scenarios + 1, each * len(sure)))
        first = place * each
        own[:scenarios, first], own[np.arange(scenarios), first + 1 + np.arange(scenarios)] = 1.0, 1.0
        own[scenarios, first + each - 1], own[scenarios, first] = 1.0, -1.0
        own[scenarios, first + 1 : first + 1 + scenarios] = -1.0 / ((1.0 - seasons.assurance[wish]) * scenarios)
        given = block_array([[gives[mine]], [csr_array((1, gives.shape[1]))]])
        blocks.append([hstack([given, csr_array((scenarios + 1, shorts)), csr_array(own)])])
        right_all += [right[mine], np.zeros(1)]
        least[first], cost[first + each - 1] = -np.inf, seasons.assurance_price[wish]
    return (block_array(blocks) if blocks else None), np.concatenate(right_all), least, cost
