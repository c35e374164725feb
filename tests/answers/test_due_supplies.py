"""Due says in time what the season's wishes are short of."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from tests.small_nursery import SEASON, small_nursery
from tests.small_nursery import TODAY as PLANNED

from scionary.answers.due import due
from scionary.answers.due_lines import DueLine
from scionary.answers.put_off import NOT_NEEDED, answer_line
from scionary.answers.schedule_asking import Ask, planned, take_schedule
from scionary.answers.season_plan import add_wishes, season_plan
from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, MotherTree, Nursery, RootstockLot, Wish

pytestmark = pytest.mark.django_db
TODAY, NEXT_AUTUMN = date(2026, 3, 5), date(2026, 10, 5)


def line(step: str, today: date = TODAY) -> DueLine | None:
    return next((each for each in due(today=today).lines if each.step == step), None)


@pytest.fixture
def wished(cultivar: Cultivar, nursery: Nursery, now: datetime) -> Wish:
    """Twenty Red Tarn, with stocks for ten and five sticks."""
    save_noun(Cultivar, {"botanical": "Acer palmatum 'Red Tarn'"}, pk=cultivar.pk, now=now)
    save_noun(RootstockLot, {"name": "26-A", "species": "Acer palmatum", "count": 10}, now=now)
    save_noun(MotherTree, {"name": "by the gate", "cultivar": cultivar, "sticks_a_season": 5}, now=now)
    return add_wishes(["20 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)[0]


def test_stocks_and_wood_that_are_short_are_said_with_numbers(wished: Wish) -> None:
    short = {each.what: each for each in season_plan(today=TODAY).shortages}
    stock, wood = line("stock"), line("wood")
    assert stock is not None
    assert stock.what == f"Order stocks, or wish for fewer plants: {short['rootstocks'].missing} Acer short"
    assert wood is not None
    assert f"Find {short['sticks'].missing} sticks more of scion wood" in wood.what


def test_enough_of_both_says_nothing(wished: Wish, now: datetime) -> None:
    save_noun(RootstockLot, {"count": 200}, pk=RootstockLot.objects.get().pk, now=now)
    save_noun(MotherTree, {"sticks_a_season": 200}, pk=MotherTree.objects.get().pk, now=now)
    assert (line("stock"), line("wood")) == (None, None)


def test_without_wishes_nothing_is_short(nursery: Nursery) -> None:
    assert (line("stock"), line("wood")) == (None, None)


def test_wishes_of_a_year_that_is_over_ask_for_nothing(wished: Wish) -> None:
    assert line("stock", NEXT_AUTUMN) is None


def test_not_needed_holds_for_this_growing_year(wished: Wish, nursery: Nursery, now: datetime) -> None:
    answer_line("stock", [nursery.key], NOT_NEEDED, today=TODAY, now=datetime.combine(TODAY, now.timetz()))
    assert line("stock") is None
    assert line("wood") is not None
    add_wishes(["20 Red Tarn"], season=2027, today=NEXT_AUTUMN, assurance=0.9, now=datetime.combine(NEXT_AUTUMN, now.timetz()))
    assert line("stock", NEXT_AUTUMN) is not None


def test_once_weeks_are_taken_to_the_bench_they_alone_ask_for_wood_and_stocks(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    assert line("wood", PLANNED) is not None
    schedule = planned(Ask(SEASON, effort="quick", why=False), today=PLANNED, now=now)
    first = schedule.rows[0]
    take_schedule(schedule, now=now)
    assert (line("wood", PLANNED), line("stock", PLANNED)) == (None, None), "all stocks are there, and every cultivar has its tree"
    assert season_plan(today=PLANNED).sentence.startswith(f"2026: {schedule.grafts} grafts in the weeks that were taken to the bench.")
    away = (replace(first, tree="", sticks=3.0, grafts=6), replace(schedule.rows[1], ordered=True, grafts=4))
    take_schedule(replace(schedule, rows=away), now=now + timedelta(minutes=1))
    stock, wood = line("stock", PLANNED), line("wood", PLANNED)
    assert wood is not None
    assert wood.what == f"Find 3 sticks of scion wood for the plan: 3 {first.name}"
    assert stock is not None
    assert stock.what == "Order stocks for the plan: 4 Acer"
    arrived = now.date() + timedelta(days=2)
    save_noun(RootstockLot, {"name": "26-B", "species": "Acer palmatum", "count": 4, "arrived_on": arrived}, now=now)
    assert line("stock", PLANNED) is None
