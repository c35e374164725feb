"""No wish that most value would serve is dropped to make others sure, where a plan without that is nearly as sure."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.answers.schedule_keeping import without_loss
from scionary.answers.schedule_surety import Floats, lost_chance
from scionary.errors import Refused
from scionary.plan import Effort, Options, PlanProblem, PlanResult, Pots, Rooms, Targets, solve_plan

NONE = np.full(3, np.nan)


def crowded(places: float) -> PlanProblem:
    """Three wishes for four; the third is worth a little less than the others; two seasons, one of them good."""
    return PlanProblem(
        targets=Targets(("A", "B", "C"), 4, (30.0, 30.0, 28.0)),
        options=Options(target=(0, 1, 2), week=0, healing_weeks=1, cost=1.0),
        rooms=Rooms(("tray",), 1, ((places,),)),
        takes=np.array([[0.7] * 3, [0.9] * 3]),
        pots=Pots(("pot",)),
    )


def solve(problem: PlanProblem, sure: Floats) -> PlanResult:
    return solve_plan(problem, assurance=sure, effort=Effort.QUICK, rng=1, seasons=4_000)


def kept_instead(places: float, asked: Floats, sure: Floats, *, keep_on: bool = True) -> tuple[PlanResult, PlanResult, PlanResult]:
    """Most value, the surest plan, and the plan that is taken."""
    problem = crowded(places)
    value, surest = solve(problem, NONE), solve(problem, sure)
    taken = without_loss(surest, value, asked=asked, sure=sure, seed=1, solve=solve, keep_on=lambda: keep_on)
    return value, surest, taken


def test_a_wish_that_was_dropped_keeps_what_most_value_gives_it() -> None:
    asked = np.full(3, 0.6)
    value, surest, taken = kept_instead(14.0, asked, np.array([0.95, 0.95, np.nan]))
    assert lost_chance(surest.chance, asked, value.chance).tolist() == [False, False, True]
    assert taken.grafts[2] >= value.grafts[2] > surest.grafts[2]
    assert not lost_chance(taken.chance, asked, value.chance).any()
    assert taken.grafts.sum() <= 14


def test_the_surest_plan_stays_where_no_wish_is_lost_or_the_person_stops() -> None:
    asked = np.full(3, 0.6)
    _, surest, taken = kept_instead(30.0, asked, asked)
    assert taken is surest
    _, surest, taken = kept_instead(14.0, asked, np.array([0.95, 0.95, np.nan]), keep_on=False)
    assert taken is surest


def test_the_surest_plan_stays_where_keeping_would_cost_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scionary.answers.schedule_keeping._NEARLY", 10.0)
    monkeypatch.setattr("scionary.answers.schedule_surety._LOSING", 1.0)
    _, surest, taken = kept_instead(14.0, np.full(3, 0.6), np.array([0.95, 0.95, np.nan]))
    assert taken is surest


def test_the_surest_plan_stays_where_no_other_is_found() -> None:
    def refuse(problem: PlanProblem, sure: Floats) -> PlanResult:
        raise Refused("none was found", where="plan", remedy="More time.")

    problem, asked, sure = crowded(14.0), np.full(3, 0.6), np.array([0.95, 0.95, np.nan])
    surest = solve(problem, sure)
    assert without_loss(surest, solve(problem, NONE), asked=asked, sure=sure, seed=1, solve=refuse, keep_on=lambda: True) is surest
