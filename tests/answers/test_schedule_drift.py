"""A plan that was taken to the bench is set against what is made, and later against what took."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from tests.small_nursery import SEASON, TODAY, limits_broken, small_nursery

from scionary.answers.schedule_asking import Ask, planned, take_schedule
from scionary.answers.schedule_drift import drift_of, plan_scores
from scionary.answers.schedule_solving import season_of
from scionary.book.commands import GraftSetup, Written, write_grafts
from scionary.book.models import Cultivar, Dome, Method, MotherTree, Nursery, RootstockLot
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db
QUICK = Ask(SEASON, effort="quick", why=False)


@pytest.fixture
def made(nursery: Nursery, now: datetime) -> dict[str, Cultivar]:
    return small_nursery(nursery, now)


def make(cultivar: Cultivar, count: int, now: datetime) -> Written:
    """Grafts as they are made at the bench, in Dome 1."""
    dormant = Method.objects.get(name="Side veneer, dormant, winter")
    dome, lot, tree = Dome.objects.get(name="Dome 1"), RootstockLot.objects.get(), MotherTree.objects.get(cultivar=cultivar)
    setup = GraftSetup(cultivar.pk, now, method=dormant.pk, dome=dome.pk, lot=lot.pk, tree=tree.pk)
    return write_grafts(setup, count, now=now)


def test_what_is_made_is_fixed_and_the_rest_is_planned_anew(made: dict[str, Cultivar], now: datetime) -> None:
    first = planned(QUICK, today=TODAY, now=now)
    take_schedule(first, now=now)
    make(made["Red Tarn"], 6, now)
    later = TODAY + timedelta(days=10)
    again = planned(QUICK, today=later, now=now)
    red = next(wish for wish in again.wishes if wish.name == "Red Tarn")
    assert red.made == 6
    assert all(row.week >= later - timedelta(days=6) for row in again.rows)
    assert again.weeks[0].domes[0].kind == "before"
    heals = TODAY + timedelta(days=45)
    assert not [row for row in again.rows if "Dome 1" in row.domes and row.week < heals]
    assert limits_broken(again) == []
    drift = next(each for each in again.drift if each.name == "Red Tarn")
    assert drift.made == 6
    assert drift.planned == sum(row.grafts for row in first.rows if row.name == "Red Tarn" and row.week < again.weeks[0].monday)
    assert "6 are made" in drift.words


def test_grafts_of_the_running_week_are_not_due_yet(made: dict[str, Cultivar], now: datetime) -> None:
    plan = planned(QUICK, today=TODAY, now=now)
    monday = TODAY - timedelta(days=TODAY.weekday())
    red = next(row for row in plan.rows if row.name == "Red Tarn")
    others = tuple(row for row in plan.rows if row.name != "Red Tarn")
    take_schedule(replace(plan, rows=(replace(red, week=monday, grafts=5), *others)), now=now)
    due = {
        day: next(each for each in drift_of(season_of(QUICK, today=day), plan) if each.name == "Red Tarn")
        for day in (TODAY, monday + timedelta(days=7))
    }
    assert [each.planned for each in due.values()] == [0, 5]


def test_sticks_that_were_cut_are_gone(made: dict[str, Cultivar], now: datetime) -> None:
    make(made["Ash Gill"], 8, now)
    found = planned(QUICK, today=TODAY, now=now)
    assert sum(row.sticks for row in found.rows if row.name == "Ash Gill") <= 1.0


def test_a_plan_is_scored_against_what_took(made: dict[str, Cultivar], now: datetime, write: Callable[..., Answer]) -> None:
    schedule = planned(QUICK, today=TODAY, now=now)
    wishes = tuple(replace(wish, low=2, high=5) if wish.name == "Red Tarn" else wish for wish in schedule.wishes)
    take_schedule(replace(schedule, wishes=wishes), now=now)
    for at, plant in enumerate(make(made["Red Tarn"], 6, now).plants):
        write("scored", plant, sign="in_leaf", answer="yes" if at < 4 else "no", days=430)
    [score] = plan_scores()
    red = next(wish for wish in score.wishes if wish.name == "Red Tarn")
    assert (red.made, red.taken, red.known, red.inside) == (6, 4, 6, True)
    assert next(wish for wish in score.wishes if wish.name == "Ash Gill").inside is None
    assert (replace(red, low=5).inside, replace(red, low=0, high=3).inside) == (False, False)
    assert "Of 1 wish that can be judged, 1 came out in the range" in score.sentence
    assert score.value_so_far == pytest.approx(4 * 30.0 - schedule.cost)


def test_without_an_accepted_plan_there_is_no_drift_and_no_score(made: dict[str, Cultivar], now: datetime) -> None:
    assert planned(QUICK, today=TODAY, now=now).drift == ()
    assert plan_scores() == []
