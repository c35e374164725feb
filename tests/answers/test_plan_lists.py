"""What a schedule needs to be ordered, cut and sown, added up from its rows."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.plan_figures import save_figures
from scionary.answers.plan_lists import plan_lists
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_asking import Ask, planned
from scionary.answers.stock_offers import drop_offer, offer_said, offers, save_offer
from scionary.book.models import Nursery, RootstockLot
from scionary.errors import BadValue, Refused

pytestmark = pytest.mark.django_db
BECK = "Beck Nursery: Acer, 25 for 30, 50 for 55, 2 weeks, delivery 12"


@pytest.fixture
def schedule(nursery: Nursery, now: datetime) -> Schedule:
    small_nursery(nursery, now)
    return planned(Ask(SEASON, effort="quick", why=False), today=TODAY, now=now)


def test_sticks_film_and_pots_follow_the_rows(schedule: Schedule) -> None:
    lists = plan_lists(schedule, today=TODAY)
    pots: Counter[str] = Counter()
    for row in schedule.rows:
        pots[row.pot] += row.grafts
    assert lists.shopping.film_m == pytest.approx(schedule.grafts * 0.25 * 1.1)
    assert lists.shopping.pots == {pot: -(-count * 11 // 10) for pot, count in pots.items()}
    needed = sum(row.sticks for row in schedule.rows)
    assert needed <= sum(lists.shopping.sticks.values()) < needed + len(schedule.rows)


def test_water_and_domes_are_those_newly_filled(schedule: Schedule) -> None:
    lists = plan_lists(schedule, today=TODAY)
    fillings = sum(lists.trays_by_week.values())
    assert fillings >= len({(row.week, dome) for row in schedule.rows for dome in row.domes}) > 0
    assert lists.water_l == pytest.approx(fillings * 520.7 * 266.7 * 10 / 1e6)


def test_with_stocks_at_hand_nothing_has_to_be_ordered_or_sown(schedule: Schedule) -> None:
    lists = plan_lists(schedule, today=TODAY)
    assert lists.order_words == ["No rootstock has to be ordered."]
    assert lists.raised == ()


def test_stocks_that_are_not_there_are_ordered_in_packs_and_in_time(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    RootstockLot.objects.update(count=0)
    save_offer(BECK, now=now)
    found = planned(Ask(SEASON, effort="quick", why=False), today=TODAY, now=now)
    first = min(row.week for row in found.rows)
    assert all(row.ordered for row in found.rows)
    assert (first - TODAY).days >= 7 * (2 + 8) - 6, "two weeks to come and eight to settle"
    [line] = plan_lists(found, today=TODAY).orders.lines
    assert line.stocks >= found.grafts
    assert not line.late
    assert (line.supplier, line.first_grafted) == ("Beck Nursery", first)


def test_without_an_offer_the_list_says_that_nobody_sells_them_and_how_to_sow(schedule: Schedule) -> None:
    needed = replace(schedule, rows=tuple(replace(row, lot="", ordered=True) for row in schedule.rows))
    lists = plan_lists(needed, today=TODAY)
    assert lists.order_words == [f"{schedule.grafts} Acer stocks: nobody who is written down offers them."]
    [raised] = lists.raised
    assert (raised.kind, raised.number) == ("Acer", schedule.grafts)
    assert raised.years >= 1, "three winters do not fit before this summer"
    assert raised.steps[0].begins >= date(2026, 2, 9)
    assert "too late to sow" in raised.words


def test_a_figure_that_is_moved_moves_the_list(schedule: Schedule, now: datetime) -> None:
    save_figures({"film_mm": "500", "spare": 0}, now=now)
    assert plan_lists(schedule, today=TODAY).shopping.film_m == pytest.approx(schedule.grafts * 0.5)
    save_figures({"film_mm": "", "spare": ""}, now=now)
    assert plan_lists(schedule, today=TODAY).shopping.film_m == pytest.approx(schedule.grafts * 0.275)


def test_a_figure_out_of_range_or_unknown_moves_nothing(nursery: Nursery, now: datetime) -> None:
    with pytest.raises(Refused, match="no figure of the plan"):
        save_figures({"worth": 30, "luck": 2}, now=now)
    with pytest.raises(BadValue, match="0 to 100"):
        save_figures({"regraft_share": 140}, now=now)
    with pytest.raises(BadValue, match="only budget, outgrown_weeks may be without"):
        save_figures({"worth": "none"}, now=now)
    assert Nursery.objects.get().plan_figures == {}


def test_an_offer_is_understood_as_it_is_said(nursery: Nursery, now: datetime) -> None:
    assert offer_said(BECK) == {
        "supplier": "Beck Nursery", "kind": "Acer", "packs": [{"size": 25, "price": 30.0}, {"size": 50, "price": 55.0}],
        "lead_weeks": 2.0, "delivery": 12.0,
    }  # fmt: skip
    first = save_offer(BECK, now=now)
    assert save_offer("beck nursery: acer, 10 for 9 at most 3", now=now) == first
    assert [each.packs for each in offers()] == [[{"size": 10, "price": 9.0, "at_most": 3}]]
    drop_offer(first.pk, now=now)
    assert offers() == []


@pytest.mark.parametrize("text", ["Beck Nursery", "Beck: Acer, cheap", "Beck: Acer, 3 weeks", "Beck: Acer, 0 for 5"])
def test_what_is_no_offer_is_refused(nursery: Nursery, now: datetime, text: str, settings: Any) -> None:
    with pytest.raises(Refused):
        save_offer(text, now=now)
    assert offers() == []
