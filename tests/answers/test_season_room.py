"""Domes and stocks as a season has them: what is too small, and what has not settled yet."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from uuid import uuid4

import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.schedule_assumed import all_assumed
from scionary.answers.schedule_trying import change_said
from scionary.answers.season_facts import MadeGraft, season_facts
from scionary.answers.season_problem import Season, season_problem
from scionary.book.commands import save_noun
from scionary.book.models import Dome, Nursery, RootstockLot
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _book(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)


def season() -> Season:
    return season_problem(season_facts(SEASON, today=TODAY), seed=1)


@pytest.mark.parametrize(("came", "week"), [(date(2025, 10, 1), -1), (date(2026, 1, 5), 3), (date(2026, 3, 2), 11), (date(2026, 3, 3), 12)])
def test_a_lot_that_comes_has_to_settle_before_it_is_grafted(came: date, week: int, now: datetime) -> None:
    save_noun(RootstockLot, {"arrived_on": came}, now=now, pk=RootstockLot.objects.get().pk)
    found = season()
    assert found.problem.stocks.arrival_week.tolist() == [week]
    assert ("settling_weeks" in [each.figure for each in all_assumed(found, ())]) is (week >= 0)


def test_a_lot_that_was_grafted_on_has_settled(now: datetime) -> None:
    lot = save_noun(RootstockLot, {"arrived_on": date(2026, 3, 2)}, now=now, pk=RootstockLot.objects.get().pk)
    grafted = MadeGraft(uuid4(), date(2026, 3, 2), None, None, lot.pk, None, replaced=False)
    known = replace(season_facts(SEASON, today=TODAY), made=[grafted])
    assert season_problem(known, seed=1).problem.stocks.arrival_week.tolist() == [-1]


def test_a_dome_that_holds_no_pot_is_named(now: datetime) -> None:
    save_noun(Dome, {"length_mm": 60.0, "width_mm": 60.0}, now=now, pk=Dome.objects.get(name="Dome 1").pk)
    told = [each.words for each in all_assumed(season(), ())]
    assert "Dome 1: no pot of this plan fits in, so nothing is planned there." in told


def test_domes_that_hold_no_pot_at_all_are_refused_with_their_sizes(now: datetime) -> None:
    for dome in Dome.objects.all():
        save_noun(Dome, {"length_mm": 60.0, "width_mm": 60.0}, now=now, pk=dome.pk)
    told = (
        r"no dome holds a single pot: Dome 1 is 60 × 60 mm inside and Dome 2 is 60 × 60 mm inside; 4-inch square is \d+(\.\d+)? mm across"
    )
    with pytest.raises(Refused, match=told):
        season()


def test_more_stocks_without_a_lot_are_of_the_lot_that_serves_most_wishes(now: datetime) -> None:
    save_noun(RootstockLot, {"name": "26-B", "species": "Betula pendula", "count": 20, "arrived_on": date(2025, 10, 1)}, now=now)
    assert change_said("50 more stocks", season()) == {"what": "stocks", "number": 50.0, "which": "26-A"}
