"""What no plan exceeds in money holds whatever certainty a plan was asked for."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.plan import Effort, money_bound, solve_plan
from small_seasons import best_by_counting, by_hand, small, tiny


@pytest.mark.parametrize("seed", [0, 4])
def test_a_plan_that_is_asked_to_be_sure_stays_below_the_most_that_counting_finds(seed: int) -> None:
    problem = tiny(seed)
    plain = solve_plan(problem, assurance=np.nan, effort=Effort.EXACT, luck=False, rng=1, seasons=500)
    sure = solve_plan(problem, assurance=0.95, effort=Effort.EXACT, luck=False, rng=1, seasons=500)
    most, _ = best_by_counting(problem)
    found = money_bound(plain, sure.grafts)
    assert found.value <= most + 1e-6 <= found.bound + 2e-4
    assert money_bound(plain, plain.grafts).value == pytest.approx(most, abs=1e-4)


def test_the_bound_of_a_score_is_lower_and_is_refused_as_one_of_money() -> None:
    problem = small(3)
    plain, sure = (solve_plan(problem, assurance=asked, effort=Effort.QUICK, rng=1, seasons=500) for asked in (np.nan, 0.95))
    assert sure.bound < money_bound(plain, sure.grafts).value  # so it would tell that a plan is better than the best one
    with pytest.raises(BadValue, match="solved for most value"):
        money_bound(sure, sure.grafts)


def test_the_instance_by_hand() -> None:
    problem = by_hand()
    plain = solve_plan(problem, effort=Effort.EXACT, luck=False, rng=1, seasons=500)
    assert money_bound(plain, np.array([5, 4])).value == pytest.approx(177.75)
    assert money_bound(plain, np.array([6, 4])).bound == pytest.approx(187.0, abs=1e-3)
