"""Small batches are put together: no limit is broken by it, and no more is lost than the plan may miss anyway."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.kept import forget
from scionary.answers.schedule_crumbs import CRUMB, MOST_LOSS, Crumbs
from scionary.answers.schedule_solving import Ask, season_of, solved
from scionary.answers.schedule_tidy import tidied
from scionary.answers.season_problem import Season
from scionary.book.models import Nursery
from scionary.plan import Effort, Options, PlanProblem, PlanResult, Rooms, Targets, broken_limits, solve_plan
from scionary.plan.again import columns_of
from scionary.units import Float
from small_seasons import small

ASK = Ask(SEASON, effort="quick", sure="value")


def swept(result: PlanResult, grafts: Float) -> Crumbs:
    """The plan with those grafts, its small batches put together."""
    plan = columns_of(result.rows, result.made_from.problem, grafts)
    assert plan is not None
    crumbs = Crumbs(result, grafts, plan)
    crumbs.swept()
    return crumbs


def two_weeks(hours: float = 10.0) -> tuple[PlanProblem, PlanResult]:
    """Two wishes in two weeks, ten places in each: as much of both in the one week as in the other."""
    problem = PlanProblem(
        targets=Targets(("A", "B"), (7, 7), 30.0),
        options=Options((0, 0, 1, 1), (0, 1, 0, 1), healing_weeks=1, hours=0.1, cost=2.0),
        rooms=Rooms(("tray",), 1, ((10.0,),)),
        takes=((0.7, 0.7, 0.7, 0.7), (0.5, 0.5, 0.5, 0.5)),
        weeks=("week 9", "week 10"),
        bench_hours=np.array([hours, 1.0]),
    )
    return problem, solve_plan(problem, effort=Effort.EXACT, luck=False, rng=1, seasons=500)


def test_a_batch_of_one_changes_places_with_one_of_another_wish_and_nothing_is_lost() -> None:
    _, result = two_weeks()
    found = swept(result, np.array([1.0, 9.0, 9.0, 1.0]))
    assert found.grafts.tolist() == [0.0, 10.0, 10.0, 0.0]
    assert found.budget == swept(result, np.array([0.0, 10.0, 10.0, 0.0])).budget


def test_an_exchange_that_would_break_a_limit_is_left() -> None:
    problem, result = two_weeks(hours=0.9)
    result = replace(result, bound=result.value)  # nothing may be lost
    longer = replace(problem, options=replace(problem.options, hours=np.array([0.05, 0.05, 0.1, 0.1])))
    rows = solve_plan(longer, effort=Effort.QUICK, luck=False, rng=1, seasons=500).rows
    grafts = np.array([1.0, 9.0, 8.0, 1.0])  # 0.85 of 0.9 hours in the first week; with one more of B for the one of A 0.9, then no room
    found = swept(replace(result, rows=rows), grafts + np.array([1.0, -1.0, 0.0, 0.0]))
    assert found.grafts[2] * 0.1 + found.grafts[0] * 0.05 <= 0.9 + 1e-9
    assert found.grafts.tolist() == [2.0, 8.0, 8.0, 1.0]


@pytest.mark.parametrize("seed", [0, 1, 3, 5, 8])
@pytest.mark.parametrize("sure", [np.nan, 0.8])
def test_fewer_small_batches_keep_every_limit_and_lose_less_than_the_plan_may_miss(seed: int, sure: float) -> None:
    problem = small(seed, wishes=6)
    result = solve_plan(problem, assurance=sure, effort=Effort.QUICK, rng=1, seasons=500)
    grafts = result.grafts.astype(np.float64)
    plan = columns_of(result.rows, problem, grafts)
    assert plan is not None
    allowed = Crumbs(result, grafts, plan).budget
    found = swept(result, grafts).grafts
    assert broken_limits(problem, found) == ()
    assert np.count_nonzero(found) <= np.count_nonzero(grafts)
    assert np.count_nonzero((found > 0) & (found < CRUMB)) <= np.count_nonzero((grafts > 0) & (grafts < CRUMB))
    after = columns_of(result.rows, problem, found)
    assert after is not None
    lost = result.made_from.worth(grafts) - result.rows.cost @ plan - result.made_from.worth(found) + result.rows.cost @ after
    assert lost <= allowed + 1e-6
    assert allowed <= MOST_LOSS * abs(result.seen.mean) + 1e-9


def test_a_wish_does_not_lose_its_chance_to_tidiness() -> None:
    problem, result = two_weeks()
    problem = replace(problem, targets=Targets(("A", "B"), (1, 7), (0.5, 30.0)), options=replace(problem.options, cost=np.zeros(4)))
    result = solve_plan(problem, effort=Effort.QUICK, luck=False, rng=1, seasons=500)
    seasons = replace(result.made_from, finished=np.ones_like(result.made_from.finished))  # the one graft of A is what it wants
    loose = replace(result, bound=result.value + 1e6, made_from=seasons)
    assert swept(loose, np.array([1.0, 0.0, 9.0, 0.0])).grafts.tolist() == [1.0, 0.0, 9.0, 0.0]


def test_a_plan_known_to_be_the_best_loses_nothing() -> None:
    problem = small(3, wishes=6)
    result = solve_plan(problem, effort=Effort.QUICK, rng=1, seasons=500)
    best = replace(result, bound=result.value)
    assert swept(best, result.grafts.astype(np.float64)).budget == 0.0
    assert swept(replace(result, kept_own=True), result.grafts.astype(np.float64)).budget == 0.0


@pytest.fixture
def season(nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> Season:
    settings.DATA_FOLDER = tmp_path
    forget()
    small_nursery(nursery, now)
    return season_of(ASK, today=TODAY)


def _in_two_weeks(season: Season, **each: int) -> tuple[PlanResult, list[list[int]]]:
    """A plan of so many grafts of each wish in each of the same two weeks, by one method, on one lot."""
    result, options = solved(season, ASK), season.problem.options
    grafts, ways = np.zeros_like(result.grafts), []
    for name, number in each.items():
        mine = [at for at, way in enumerate(season.ways) if season.facts.wishes[way.wish].name == name.replace("_", " ")]
        way = next(at for at in mine if not result.rows.closed[at])
        alike = [at for at in mine if replace(season.ways[at], week=season.ways[way].week) == season.ways[way]]
        later = next(at for at in alike if options.week[at] >= options.week[way] + options.healing_weeks[way])
        grafts[[way, later]] = number
        ways.append([way, later])
    return replace(result, grafts=grafts), ways


@pytest.mark.django_db
def test_a_season_is_put_together_where_its_limits_let_it(season: Season) -> None:
    few, [ways] = _in_two_weeks(season, Red_Tarn=5)
    grafts, _ = tidied(season, few)
    assert sorted(grafts[ways].tolist()) == [0, 10]


@pytest.mark.django_db
def test_a_wish_that_is_kept_at_a_number_is_put_together_with_it(season: Season) -> None:
    few, [ways] = _in_two_weeks(season, Red_Tarn=5)
    least = few.rows.least.copy()
    least[ways] = 5
    grafts, _ = tidied(season, replace(few, rows=replace(few.rows, least=least)))
    assert sorted(grafts[ways].tolist()) == [0, 10]


@pytest.mark.django_db
def test_what_exchanges_leave_in_parts_is_put_together_too(season: Season, monkeypatch: pytest.MonkeyPatch) -> None:
    few, [ways] = _in_two_weeks(season, Red_Tarn=5)
    monkeypatch.setattr(Crumbs, "swept", lambda crumbs: few.grafts.astype(np.float64))
    grafts, _ = tidied(season, few)
    assert sorted(grafts[ways].tolist()) == [0, 10]


@pytest.mark.django_db
def test_a_wish_for_which_one_week_has_no_hours_stays_in_parts_and_another_is_still_put_together(season: Season) -> None:
    many, [red, ash] = _in_two_weeks(season, Red_Tarn=13, Ash_Gill=2)  # 26 grafts take longer than the two hours of a week
    minutes = 60 * float(season.problem.options.hours[red[0]])
    assert 17 * minutes <= 120 < 26 * minutes
    grafts, _ = tidied(season, many)
    assert grafts[red].tolist() == [13, 13]
    assert sorted(grafts[ash].tolist()) == [0, 4]
    assert broken_limits(season.problem, grafts) == ()
