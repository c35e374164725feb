"""A plan under thousands of seasons: money by hand, chances by the binomial law, one seed for every plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binom

from scionary.errors import BadValue
from scionary.plan import Already, Options, PlanProblem, Rooms, Targets, evaluate_plan
from small_seasons import by_hand, small

SURE = PlanProblem(
    targets=Targets(("A", "B"), (4, 3), (50.0, 40.0), penalty=10.0, salvage=5.0),
    options=Options((0, 1), 0, cost=(8.0, 6.0)),
    rooms=Rooms(("tray",), 1, 10, cost=3.0),
    takes=((1.0, 0.0),),
)


def test_money_is_value_and_salvage_less_penalty_and_costs() -> None:
    found = evaluate_plan(SURE, (6, 4), seasons=100, rng=1)
    assert found.mean == pytest.approx(4 * 50 + 2 * 5 - 3 * 10 - 6 * 8 - 4 * 6 - 3)
    assert (found.cost, found.sd, found.low, found.high) == (pytest.approx(75.0), 0.0, found.mean, found.mean)
    assert (found.chance.tolist(), found.finished.tolist(), found.missing.tolist()) == ([1.0, 0.0], [6.0, 0.0], [0.0, 3.0])
    assert found.reached == 1.0


def test_chances_follow_the_binomial_law_within_each_season() -> None:
    problem = by_hand()
    found = evaluate_plan(problem, (6, 4), seasons=200_000, rng=1)
    expected = [np.mean([binom.sf(3, 6, p) for p in (0.5, 0.9)]), np.mean([binom.sf(2, 4, p) for p in (0.8, 0.4)])]
    assert found.chance == pytest.approx(expected, abs=0.004)
    assert found.finished == pytest.approx([6 * 0.7, 4 * 0.6], abs=0.01)


def test_a_season_is_shared_by_all_grafts_under_it() -> None:
    problem = PlanProblem(Targets(("A", "B"), 5, 10.0), Options((0, 1), 0), Rooms(("tray",), 1, 20), ((0.05, 0.05), (0.95, 0.95)))
    found = evaluate_plan(problem, (10, 10), seasons=4_000, rng=1)
    assert found.sd > 45.0
    assert found.reached == pytest.approx(1.0, abs=0.05)


def test_later_losses_thin_the_takes() -> None:
    problem = replace(by_hand(), survival=(0.5, 1.0))
    assert evaluate_plan(problem, (100, 0), rng=1).finished[0] == pytest.approx(35.0, abs=0.5)


def test_fresh_seasons_are_used_where_there_are_some() -> None:
    found = evaluate_plan(replace(by_hand(), fresh_takes=((1.0, 1.0),)), (4, 3), seasons=50, rng=1)
    assert found.fresh
    assert found.chance.tolist() == [1.0, 1.0]


def test_grafts_that_are_made_are_judged_with_the_rest() -> None:
    made = Already((0, 1), (3, 2), ((1.0, 0.0), (1.0, 0.0)), survival=(1.0, 1.0))
    found = evaluate_plan(replace(SURE, takes=((1.0, 0.0), (1.0, 0.0)), already=made), (1, 0), seasons=10, rng=1)
    assert found.finished.tolist() == [4.0, 0.0]


def test_one_seed_gives_every_plan_the_same_seasons() -> None:
    first, second = (evaluate_plan(small(1), np.ones(24), rng=5) for _ in range(2))
    assert first.to_dict() == second.to_dict()
    assert evaluate_plan(small(1), np.ones(24), rng=6).mean != first.mean


def test_the_score_takes_off_what_assurance_still_misses() -> None:
    problem = by_hand()
    plain = evaluate_plan(problem, (6, 4), rng=1)
    asked = evaluate_plan(problem, (6, 4), rng=1, assurance=0.9)
    assert plain.score == plain.mean == asked.mean
    assert asked.score < asked.mean
    enough = evaluate_plan(problem, (60, 60), rng=1, assurance=0.9)
    assert enough.score == enough.mean


def test_an_empty_plan_has_its_penalties_only() -> None:
    assert evaluate_plan(SURE, (0, 0), rng=1).mean == pytest.approx(-70.0)


@pytest.mark.parametrize(
    ("grafts", "seasons", "words"), [((1,), 9, "grafts"), ((1, -1), 9, "grafts is -1.0"), ((1, 1), 0, "seasons is 0.0")]
)
def test_what_cannot_be_judged_is_named(grafts: tuple[int, ...], seasons: int, words: str) -> None:
    with pytest.raises(BadValue, match=words):
        evaluate_plan(by_hand(), grafts, seasons=seasons, rng=1)


def test_it_says_how_many_different_seasons_judge_a_plan() -> None:
    problem = small(3)
    fresh = replace(problem, fresh_takes=np.tile(problem.takes, (3, 1)))
    nothing = np.zeros(len(problem.options))
    assert evaluate_plan(problem, nothing, rng=1).distinct == 12
    assert evaluate_plan(fresh, nothing, rng=1).distinct == 36
    assert evaluate_plan(fresh, nothing, seasons=10, rng=1).distinct == 10
