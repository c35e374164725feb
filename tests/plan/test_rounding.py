"""Whole grafts from parts of grafts."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.plan import Effort, Options, PlanProblem, Rooms, Targets, solve_plan
from scionary.plan.limit_writing import limit_rows
from scionary.plan.rounding import rounded
from scionary.plan.seasons import seasons_of


def rare_in_two_weeks(wishes: int = 1) -> PlanProblem:
    """A rare kind, at most two thirds of it in one week."""
    weeks = [0, 1] * wishes
    targets = [wish for wish in range(wishes) for _ in range(2)]
    return PlanProblem(
        targets=Targets(tuple(f"kind {wish}" for wish in range(wishes)), 4, 30.0, rare=True),
        options=Options(target=targets, week=weeks, cost=1.0),
        rooms=Rooms(("tray",), 4, 20, cost=1.0),
        takes=np.full((20, len(weeks)), 0.7),
        weeks=("first", "second"),
    )


@pytest.mark.parametrize("parts", [(4.0, 2.0), (3.999, 1.999), (2.6, 1.3)])
def test_parts_that_round_to_more_than_a_share_of_fewer_give_way(parts: tuple[float, float]) -> None:
    problem = rare_in_two_weeks()
    rows = limit_rows(problem)
    columns = np.zeros(rows.columns)
    columns[:2] = parts
    start = len(rows.closed)
    columns[start : start + len(rows.fillings)] = 1.0
    found = rounded(rows, seasons_of(problem, assurance=None, rng=np.random.default_rng(1)), columns)
    assert found is not None
    first, second = found[:2]
    assert first + second > 0
    assert max(first, second) <= 2 / 3 * (first + second) + 1e-9


def test_a_quick_plan_of_rare_kinds_grafts_something() -> None:
    for seed in range(5):
        result = solve_plan(rare_in_two_weeks(4), assurance=0.8, effort=Effort.QUICK, rng=seed, seasons=200)
        assert result.grafts.sum() > 0
        assert result.value > 0.5 * result.bound
