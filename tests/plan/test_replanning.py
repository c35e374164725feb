"""The rest of a season: what is made counts and takes its supplies, and only weeks to come are planned."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.plan import Effort, Rooms, Stocks, rest_of_season, solve_plan
from small_seasons import small, tiny


def test_the_rest_of_a_plan_that_was_followed_is_the_same_plan() -> None:
    problem = small(4)
    whole = solve_plan(problem, effort=Effort.EXACT, luck=False, rng=1)
    made = np.where(problem.options.week < 2, whole.grafts, 0)
    assert made.sum() > 0
    filled = whole.trays
    early = filled.week < 2
    trays = replace(filled, **{name: getattr(filled, name)[early] for name in ("room", "week", "pot", "healing_weeks", "trays")})
    rest = solve_plan(rest_of_season(problem, 2, made, trays=trays), effort=Effort.EXACT, luck=False, rng=1)
    assert rest.grafts[problem.options.week < 2].sum() == 0
    spent = float(problem.options.cost @ made + problem.rooms.cost[trays.room] @ trays.trays)
    pots = np.bincount(problem.options.pot, weights=made, minlength=2)
    spent += float(problem.pots.price @ np.maximum(pots - problem.pots.owned, 0.0))
    assert rest.value - spent == pytest.approx(whole.value, abs=1e-4)


def test_trays_that_stand_are_not_there_until_they_have_healed() -> None:
    problem = replace(tiny(0), rooms=Rooms(("tray",), 2, 4, cost=3.0), weeks=("week 9", "week 10", "week 11"))
    rest = rest_of_season(problem, 1, (4, 0, 1, 0))
    assert rest.rooms.available.tolist() == [[0.0, 0.0, 2.0]]


def test_stocks_sticks_and_money_are_less_what_was_taken() -> None:
    problem = tiny(0)
    rest = rest_of_season(problem, 1, (2, 0, 1, 0))
    assert (problem.sticks.number - rest.sticks.number).tolist() == [2.0, 1.0]
    assert problem.stocks.number[0] - rest.stocks.number[0] == 3.0
    usable = problem.stocks.number[0] * 0.9 - 3.0
    assert rest.stocks.number[0] * rest.stocks.usable_by_any[0] == pytest.approx(usable)
    assert rest.budget == pytest.approx(problem.budget - 2 * problem.options.cost[0] - problem.options.cost[2] - 3.0)


def test_what_happened_is_never_refused_though_it_broke_limits() -> None:
    rest = rest_of_season(tiny(0), 1, (90, 0, 90, 0))
    assert (rest.budget, rest.stocks.number.min(), rest.sticks.number.min(), rest.rooms.available[0, 0]) == (0.0, 0.0, 0.0, 0.0)
    assert solve_plan(rest, rng=1).grafts.sum() == 0


def test_chances_that_have_been_updated_move_the_rest() -> None:
    problem = small(4)
    dear = replace(problem.targets, wanted=(12, 4, 4, 4), value=(90.0, 20.0, 20.0, 20.0))
    problem = replace(problem, targets=dear, sticks=replace(problem.sticks, number=40.0))
    made = np.where((problem.options.target == 0) & (problem.options.week == 0), 6.0, 0.0)
    alive, dead = (
        solve_plan(rest_of_season(problem, 2, made, takes=np.full_like(problem.takes, chance)), effort=Effort.EXACT, rng=1)
        for chance in (1.0, 0.0)
    )
    mine = problem.options.target == 0
    assert alive.seen.finished[0] > 5.5
    assert dead.grafts[mine].sum() > alive.grafts[mine].sum()


def test_a_season_can_be_planned_again_more_than_once() -> None:
    problem = small(4)
    once = rest_of_season(problem, 1, np.where(problem.options.week == 0, 1.0, 0.0))
    twice = rest_of_season(once, 3, np.where(problem.options.week == 2, 1.0, 0.0))
    assert once.already is not None
    assert twice.already is not None
    assert (len(once.already.grafts), len(twice.already.grafts)) == (8, 16)


def test_failed_stocks_are_told_and_used() -> None:
    problem = replace(tiny(0), stocks=Stocks(("lot",), 9, failed=2))
    assert rest_of_season(problem, 1, np.zeros(4), failed=(5,)).stocks.failed.tolist() == [5.0]
    assert rest_of_season(problem, 1, np.zeros(4)).stocks.failed.tolist() == [2.0]


def test_a_week_outside_the_season_is_refused() -> None:
    with pytest.raises(BadValue, match="week is 9"):
        rest_of_season(tiny(0), 9, np.zeros(4))
