"""What a schedule needs to be ordered, cut and sown, added up from its rows."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.plan_figures import save_figures
from scionary.answers.plan_lists import plan_lists
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_asking import Ask, planned
from scionary.answers.stock_offers import offer_said, offers, save_offer
from scionary.answers.words import short_day
from scionary.book.models import Method, MotherTree, Nursery, PotKind, RootstockLot
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
    RootstockLot.objects.update(pot_kind=None)
    assert plan_lists(schedule, today=TODAY).shopping.pots == {pot: -(-count * 11 // 10) for pot, count in pots.items()}
    needed = sum(row.sticks for row in schedule.rows)
    assert needed - 0.1 <= sum(cut.sticks for cut in lists.cuts) < needed + len(schedule.rows)


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
    first = min(row.week for row in schedule.rows)
    late = " (late)" if first - timedelta(days=77) < TODAY else ""
    assert lists.order_words == [
        f"{schedule.grafts} Acer stocks: nobody who is written down offers them. Order by {short_day(first - timedelta(days=77))}{late}."
    ]
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


@pytest.mark.parametrize("text", ["Beck Nursery", "Beck: Acer, cheap", "Beck: Acer, 3 weeks", "Beck: Acer, 0 for 5"])
def test_what_is_no_offer_is_refused(nursery: Nursery, now: datetime, text: str, settings: Any) -> None:
    with pytest.raises(Refused):
        save_offer(text, now=now)
    assert offers() == []


def test_no_tree_is_asked_for_more_sticks_than_it_gives(schedule: Schedule) -> None:
    lists = plan_lists(schedule, today=TODAY)
    cut: Counter[str] = Counter()
    for line in lists.cuts:
        cut[line.tree] += line.sticks
    assert cut["Ash Gill by the gate"] > 0
    assert all(cut[tree.name] <= (tree.sticks_a_season or 0) for tree in MotherTree.objects.all())
    assert not any("make fewer grafts" in words for words in lists.stick_words)


def test_a_plan_that_asks_more_of_a_tree_is_told_so(schedule: Schedule) -> None:
    rows = tuple(replace(row, grafts=90) if row.name == "Ash Gill" else row for row in schedule.rows)
    told = [words for words in plan_lists(replace(schedule, rows=rows), today=TODAY).stick_words if "make fewer grafts" in words]
    assert len(told) == 1
    assert "The tree gives 4 sticks in all" in told[0]


def test_dormant_sticks_are_cut_before_the_buds_and_kept_until_they_are_grafted(schedule: Schedule) -> None:
    Method.objects.update(leafy=False)
    Method.objects.update(grafts_a_stick=2.0)
    days = {date(2026, 5, 4): 3, date(2026, 3, 2): 1}
    rows = tuple(replace(schedule.rows[0], week=week, grafts=grafts) for week, grafts in days.items())
    lists = plan_lists(replace(schedule, rows=rows), today=date(2026, 1, 12))
    [cut] = lists.cuts
    assert (cut.week, cut.sticks, cut.until) == (date(2026, 2, 16), 2, date(2026, 5, 4))
    assert lists.stick_words == [
        f"Week of 16 Feb 2026: 2 sticks of {cut.tree}, to be kept cold and moist until the week of 4 May 2026: "
        "77 days, at most 60 are usual"
    ]


def test_pots_under_stocks_are_not_bought_again_and_wood_without_a_tree_names_its_cultivar(schedule: Schedule) -> None:
    rows = tuple(replace(row, lot="26-A", tree="") for row in schedule.rows)
    lists = plan_lists(replace(schedule, rows=rows), today=TODAY)
    assert lists.shopping.pots == {}
    assert f"{schedule.grafts} stocks stand in their pots already: no pot is counted for them." in [each.words for each in lists.assumed]
    assert any("of a tree of Red Tarn that is not written down" in words for words in lists.stick_words)
    assert not any("thick enough and alive" in each.words for each in lists.assumed)
    ordered = tuple(replace(row, ordered=True) for row in rows)
    assert any("thick enough and alive" in each.words for each in plan_lists(replace(schedule, rows=ordered), today=TODAY).assumed)
    RootstockLot.objects.update(pot_kind=PotKind.objects.exclude(name="4-inch square").first())
    assert sum(plan_lists(replace(schedule, rows=rows), today=TODAY).shopping.pots.values()) >= schedule.grafts
