"""Whole grafts and trays of a large season: looked for among the nearest ways first, held to the bound of all ways."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.plan import Effort, solve_plan
from scionary.plan import whole as search_module
from scionary.plan.limit_writing import limit_rows
from scionary.plan.programme import Programme
from scionary.plan.relaxing import EXACT, relax
from scionary.plan.seasons import seasons_of
from small_seasons import small


@pytest.mark.parametrize("seed", [3, 4, 5, 6])
def test_a_large_season_is_planned_as_well_by_the_ways_that_are_near(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    problem = small(seed, wishes=6)
    best = solve_plan(problem, effort=Effort.EXACT, rng=1, seasons=200)
    usual = solve_plan(problem, effort=Effort.QUICK, rng=1, seasons=200)
    monkeypatch.setattr(search_module, "_MOST_WHOLE", 0)
    monkeypatch.setattr(search_module, "_NEAR_WAYS", 12)
    large = solve_plan(problem, effort=Effort.QUICK, rng=1, seasons=200)
    assert large.bound >= best.value - 1e-6
    assert large.value >= usual.value - 0.01 * abs(usual.value)


def test_ways_that_are_shut_for_one_look_are_open_again_after_it() -> None:
    problem = small(3)
    programme = Programme(limit_rows(problem), seasons_of(problem, assurance=None, rng=np.random.default_rng(1)))
    before = relax(programme, close=EXACT, seconds=None, keep_on=lambda: True)
    assert before.columns is not None
    used = np.flatnonzero(before.columns[: programme.options] > 0.5)
    rows = programme.rows
    without = programme.integers(rows.whole, start=None, gap=0.0, nodes=100, seconds=None, keep_on=lambda: True, shut=used)
    assert without.columns is not None
    assert not without.columns[used].any()
    assert without.bound < before.value - 1.0
    assert programme.relax().value == pytest.approx(before.value)


def test_what_is_looked_for_among_few_ways_bounds_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search_module, "_MOST_WHOLE", 0)
    monkeypatch.setattr(search_module, "_far_ways", lambda search, point: np.arange(1, len(search.rows.closed)))
    found = solve_plan(small(4), effort=Effort.QUICK, rng=1, seasons=200)
    assert found.bound >= solve_plan(small(4), effort=Effort.EXACT, rng=1, seasons=200).value - 1e-6
