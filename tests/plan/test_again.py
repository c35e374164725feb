"""A season solved again from where its plan stands is the season solved from nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scionary.plan import Effort, PlanResult, more_hours, more_trays, solve_plan
from scionary.plan import whole as search_module
from scionary.plan.again import changed_limit, changed_problem, held_programme, solve_again
from scionary.plan.limits import LimitRows
from scionary.plan.programme import Programme
from scionary.plan.relaxing import EXACT, relax
from scionary.plan.seasons import Seasons
from small_seasons import small


@pytest.fixture(scope="module")
def result() -> PlanResult:
    return solve_plan(small(4, wishes=6, seasons=20), effort=Effort.NORMAL, rng=1, seasons=500)


def from_nothing(rows: LimitRows, seasons: Seasons) -> float:
    return relax(Programme(rows, seasons), close=EXACT, seconds=None, keep_on=lambda: True).value


def test_going_on_from_the_last_solve_gives_what_a_fresh_one_gives(result: PlanResult) -> None:
    held, problem = held_programme(result), result.made_from.problem
    changes = [changed_limit(result.rows, price.row, by) for price in result.prices[:3] for by in (1.0, -1.0)]
    asked: list[tuple[Seasons, LimitRows]] = [(result.made_from, rows) for rows in changes]
    asked += [changed_problem(result, more_trays(problem, 0)), changed_problem(result, more_hours(problem, 4.0))]
    for seasons, rows in asked:
        again = solve_again(result, held, seasons, rows, whole=False)
        assert again.relaxed == pytest.approx(from_nothing(rows, seasons), rel=1e-6, abs=1e-4)
    assert held.rows is asked[-1][1]  # all of them went on from the last, none began anew


def test_a_wish_that_is_to_be_sure_is_told_to_the_same_programme(result: PlanResult) -> None:
    seasons = result.made_from
    targets = seasons.problem.targets
    price = np.where(np.arange(len(targets.names)) == 1, 40.0, 0.0)
    problem = replace(seasons.problem, targets=replace(targets, assurance_price=price))
    sure = np.where(np.arange(len(targets.names)) == 1, 0.9, np.nan)
    asked = replace(seasons, problem=problem, assurance=sure)
    held = held_programme(result)
    solve_again(result, held, seasons, result.rows, whole=False)
    again = solve_again(result, held, asked, result.rows, whole=False)
    assert again.relaxed == pytest.approx(from_nothing(result.rows, asked), rel=1e-6, abs=1e-4)
    back = solve_again(result, held, seasons, result.rows, whole=False)
    assert back.relaxed == pytest.approx(result.relaxation.value, rel=1e-6, abs=1e-4)


def test_other_ways_or_other_luck_are_another_programme(result: PlanResult) -> None:
    held, seasons = held_programme(result), result.made_from
    assert not held.turn_to(result.rows, replace(seasons, spread=seasons.spread + 1.0))
    uses = result.rows.matrix.copy()
    uses.data = uses.data * 2
    assert not held.turn_to(replace(result.rows, matrix=uses), seasons)
    assert held.turn_to(result.rows, seasons)


def test_a_large_season_is_rounded_and_stays_between_its_plan_and_its_bound(result: PlanResult, monkeypatch: pytest.MonkeyPatch) -> None:
    more = changed_problem(result, more_trays(result.made_from.problem, 0))
    exact = solve_again(result, held_programme(result), *more, whole=True)
    monkeypatch.setattr(search_module, "_MOST_WHOLE", 0)
    rounded = solve_again(result, held_programme(result), *more, whole=True)
    assert result.value - 1e-6 <= rounded.value <= rounded.bound + 1e-6
    assert exact.bound <= rounded.bound + 1e-6
    assert rounded.value >= exact.value - 0.02 * abs(exact.value)
