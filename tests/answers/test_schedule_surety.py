"""Each wish is about as sure as it was asked to be: not much surer, which would take many more grafts."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.kept import forget
from scionary.answers.schedule_solving import Ask, assurance_of, most_value, season_of, solved
from scionary.answers.schedule_surety import enough_assurance, how_sure, lost_chance
from scionary.book.commands import save_noun
from scionary.book.models import Dome, MotherTree, Nursery, RootstockLot
from scionary.plan import Effort, Options, PlanProblem, Pots, Targets, solve_plan
from scionary.plan.supply import Rooms

pytestmark = pytest.mark.django_db


@pytest.fixture
def ample(nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> None:
    """Nothing is short."""
    settings.DATA_FOLDER = tmp_path
    forget()
    small_nursery(nursery, now)
    save_noun(Nursery, {"bench_hours_a_week": None}, now=now, pk=nursery.pk)
    for model in (Dome, RootstockLot, MotherTree):
        model.objects.update(retired=True)  # type: ignore[attr-defined]


def test_with_room_for_all_each_chance_is_about_what_was_asked(ample: None) -> None:
    ask = Ask(SEASON, effort="quick", sure=0.8)
    result = solved(season_of(ask, today=TODAY), ask)
    assert np.all(np.abs(result.chance - 0.8) < 0.06)


def test_asking_the_engine_outright_grafts_many_more(ample: None) -> None:
    ask = Ask(SEASON, effort="quick", sure=0.8)
    season = season_of(ask, today=TODAY)
    outright = solve_plan(season.problem, assurance=0.8, effort=Effort.QUICK, rng=ask.seed)
    assert outright.chance.min() > 0.83
    assert solved(season, ask).grafts.sum() < 0.9 * outright.grafts.sum()


def test_most_value_asks_for_no_chance_and_a_stop_leaves_what_was_asked(ample: None) -> None:
    ask = Ask(SEASON, sure="value")
    season = season_of(ask, today=TODAY)
    asked = assurance_of(season, ask)
    assert np.isnan(enough_assurance(season.problem, asked, seed=1, rounds=2, keep_on=lambda share: True, plain=asked)).all()
    wanted, none = np.full(3, 0.9), np.zeros(3)
    stopped = enough_assurance(season.problem, wanted, seed=1, rounds=2, keep_on=lambda share: False, plain=none)
    assert stopped.tolist() == wanted.tolist()


def crowded(value: float) -> PlanProblem:
    """Three like wishes for four, ten places, one season in two twice as good as the other; the third wish is worth `value`."""
    return PlanProblem(
        targets=Targets(("A", "B", "C"), 4, (30.0, 30.0, value)),
        options=Options(target=(0, 1, 2), week=0, healing_weeks=1, cost=1.0),
        rooms=Rooms(("tray",), 1, ((10.0,),)),
        takes=np.array([[0.45] * 3, [0.9] * 3]),
        pots=Pots(("pot",)),
    )


def test_a_chance_that_a_wish_loses_weighs_more_than_one_that_another_gains() -> None:
    asked, plain = np.full(3, 0.8), np.array([0.4, 0.4, 0.4])
    assert how_sure(np.array([0.8, 0.8, 0.0]), asked, plain) < how_sure(plain, asked, plain)
    assert how_sure(np.array([0.8, 0.8, 0.3]), asked, plain) > how_sure(plain, asked, plain)
    assert lost_chance(np.array([0.1, 0.3, 0.0]), asked, np.array([0.4, 0.4, 0.05])).tolist() == [True, False, False]


def test_where_asking_only_takes_from_other_wishes_most_value_is_the_plan() -> None:
    problem, asked = crowded(29.0), np.full(3, 0.9)
    plain = solve_plan(problem, assurance=np.nan, effort=Effort.QUICK, rng=1)
    outright = solve_plan(problem, assurance=asked, effort=Effort.QUICK, rng=1)
    assert how_sure(outright.chance, asked, plain.chance) <= how_sure(plain.chance, asked, plain.chance)
    sure = enough_assurance(problem, asked, seed=1, rounds=3, keep_on=lambda share: True, plain=plain.chance)
    assert np.isnan(sure).all()


def test_a_plan_that_asks_is_never_less_sure_than_most_value(nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> None:
    settings.DATA_FOLDER = tmp_path
    forget()
    small_nursery(nursery, now)
    MotherTree.objects.update(retired=True)
    RootstockLot.objects.update(count=16)
    for share in (0.7, 0.9, 0.99):
        ask = Ask(SEASON, effort="quick", sure=share)
        season = season_of(ask, today=TODAY)
        asked, plain = assurance_of(season, ask), most_value(season, ask).chance
        chance = solved(season, ask).chance
        assert how_sure(chance, asked, plain) >= how_sure(plain, asked, plain) - 1e-9
        assert not lost_chance(chance, asked, plain).any()


def test_a_quick_plan_that_is_near_enough_to_its_bound_is_not_looked_for_again(ample: None) -> None:
    ask = Ask(SEASON, sure="value", seed=3)
    season = season_of(ask, today=TODAY)
    value = most_value(season, ask)
    assert value.gap <= Effort.NORMAL.gap
    again = solved(season, ask, plain=value)
    anew = solve_plan(season.problem, assurance=np.nan, effort=Effort.NORMAL, rng=ask.seed)
    assert again.seen is value.seen
    assert (again.grafts.tolist(), again.value, again.bound, again.effort) == (anew.grafts.tolist(), anew.value, anew.bound, anew.effort)
    far = replace(value, gap=0.02)
    assert solved(season, replace(ask, seed=4), plain=far).seen is not far.seen
