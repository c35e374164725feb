"""Two kinds of tray and ways that heal for different times: the engine's best plan is the best of all that can be counted."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from scionary.plan import Effort, Options, PlanProblem, Rooms, Targets, solve_plan

HOLDS, STANDS, WEEK, HEALS, WEEKS = (2, 3), (1.0, 1.5), (0, 1, 0, 1), (1, 2, 3, 1), 4  # trays' places and costs; ways' weeks


def season(seed: int) -> PlanProblem:
    rng = np.random.default_rng(seed)
    return PlanProblem(
        targets=Targets(("A", "B"), rng.integers(2, 5, 2), rng.uniform(10.0, 40.0, 2), penalty=2.0),
        options=Options((0, 0, 1, 1), WEEK, healing_weeks=HEALS, cost=rng.uniform(1.0, 6.0, 4)),
        rooms=Rooms(("small", "large"), np.ones((2, WEEKS)), ((HOLDS[0],), (HOLDS[1],)), cost=STANDS),
        takes=rng.uniform(0.3, 0.95, (3, 4)),
        weeks=tuple(f"week {at}" for at in range(WEEKS)),
    )


def money(problem: PlanProblem, grafts: tuple[int, ...]) -> float:
    """What finished plants bring less what grafts cost, season by season."""
    total, targets = 0.0, problem.targets
    for takes in problem.takes:
        for wish in (0, 1):
            done = sum(n * take for n, take, of in zip(grafts, takes, (0, 0, 1, 1), strict=True) if of == wish)
            met, short = min(done, targets.wanted[wish]), max(targets.wanted[wish] - done, 0.0)
            total += targets.value[wish] * met - targets.penalty[wish] * short
    return total / len(problem.takes) - sum(n * cost for n, cost in zip(grafts, problem.options.cost, strict=True))


def stands(trays: tuple[tuple[int, ...], ...]) -> bool:
    """Whether no kind of tray stands twice at once: there is one of each."""
    for room in (0, 1):
        for week in range(WEEKS):
            if sum(there[room] for there, first, heals in zip(trays, WEEK, HEALS, strict=True) if first <= week < first + heals) > 1:
                return False
    return True


def counted(problem: PlanProblem) -> float:
    """The best money of all trays and all grafts; a tray holds one age, so each of these four ways has trays of its own."""
    best = -np.inf
    for trays in itertools.product(itertools.product((0, 1), repeat=2), repeat=4):
        if stands(trays):
            places = [sum(n * holds for n, holds in zip(there, HOLDS, strict=True)) for there in trays]
            cost = sum(n * each for there in trays for n, each in zip(there, STANDS, strict=True))
            best = max(best, *(money(problem, grafts) - cost for grafts in itertools.product(*(range(n + 1) for n in places))))
    return best


@pytest.mark.parametrize("seed", range(4))
def test_mixed_healing_in_two_kinds_of_tray_is_as_good_as_counting(seed: int) -> None:
    problem = season(seed)
    found = solve_plan(problem, effort=Effort.EXACT, rng=1, luck=False, seasons=100)
    assert found.value == pytest.approx(counted(problem), abs=1e-6)
