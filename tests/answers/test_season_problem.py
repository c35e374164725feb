"""What a book says becomes the season that the engine plans; what cannot be planned is refused in plain words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import numpy as np
import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.season_facts import MadeGraft, SeasonFacts, WishFact, season_facts
from scionary.answers.season_luck import shared_out
from scionary.answers.season_problem import MOST_WISHES, season_problem, week_name
from scionary.answers.season_ways import ways_of
from scionary.answers.stock_offers import save_offer
from scionary.answers.stock_supplier import supplier_words
from scionary.answers.unused_stocks import unused_words
from scionary.answers.wishes_on_file import wishes_on_file
from scionary.book.commands import save_noun
from scionary.book.models import Method, Nursery, RootstockLot, Wish
from scionary.errors import Refused
from scionary.plan.closing import TOO_LATE_FOR_WISH, closing_reasons
from scionary.plan.limit_writing import limit_rows

pytestmark = pytest.mark.django_db


@pytest.fixture
def facts(nursery: Nursery, now: datetime) -> SeasonFacts:
    small_nursery(nursery, now)
    return season_facts(SEASON, today=TODAY)


def test_weeks_begin_with_todays_and_end_when_all_have_healed(facts: SeasonFacts) -> None:
    season = season_problem(facts, seed=1)
    assert season.mondays[0] == date(2026, 2, 9)
    assert season.mondays[-1] == max(way.week + timedelta(days=7 * way.healing_weeks) for way in season.ways)
    assert week_name(date(2026, 12, 28)) == "week 53 (28.12.)"


def test_only_the_share_of_a_lot_that_is_thick_enough_counts(facts: SeasonFacts, now: datetime) -> None:
    for method in Method.objects.all():
        save_noun(Method, {"stock_low_mm": 6.0}, now=now, pk=method.pk)
    save_noun(RootstockLot, {"diameter_mm": 6.0}, now=now, pk=RootstockLot.objects.get().pk)
    problem = season_problem(season_facts(SEASON, today=TODAY), seed=1).problem
    assert problem.stocks.usable_share == pytest.approx(0.5)
    assert season_problem(facts, seed=1).problem.stocks.usable_share == pytest.approx(1.0)


def _made(facts: SeasonFacts, alive: bool | None, *, replaced: bool = False) -> MadeGraft:
    return MadeGraft(facts.wishes[0].cultivar, TODAY, None, None, RootstockLot.objects.get().pk, alive, replaced)


def test_half_of_the_stocks_on_which_a_graft_failed_can_be_grafted_again(facts: SeasonFacts) -> None:
    made = [*[_made(facts, alive=False)] * 6, *[_made(facts, alive=None)] * 3, _made(facts, alive=False, replaced=True)]
    season = season_problem(replace(facts, made=made), seed=1)
    assert season.problem.stocks.failed.tolist() == [3.0 if lot.lot else 0.0 for lot in season.lots]
    assert 3.0 in season.problem.stocks.failed


def test_two_wishes_of_a_cultivar_share_what_is_made_by_what_they_want(facts: SeasonFacts) -> None:
    first = facts.wishes[0]
    wishes = [replace(first, wanted=8), replace(first, ident=str(uuid4()), wanted=4), *facts.wishes[1:]]
    shared = shared_out(replace(facts, wishes=wishes, made=[*[_made(facts, alive=True)] * 6, *[_made(facts, alive=None)] * 3]))
    assert [(shared[at][True], shared[at][False]) for at in (0, 1)] == [(4, 2), (2, 1)]


def test_a_lot_that_comes_after_every_window_gives_nothing(facts: SeasonFacts, now: datetime) -> None:
    save_noun(RootstockLot, {"arrived_on": date(2026, 10, 1)}, now=now, pk=RootstockLot.objects.get().pk)
    season = season_problem(season_facts(SEASON, today=TODAY), seed=1)
    assert season.problem.stocks.arrival_week.min() > season.problem.options.week.max()


def test_the_year_turns_by_half_in_the_south(facts: SeasonFacts, now: datetime) -> None:
    save_noun(Nursery, {"latitude_deg": -38.0}, now=now, pk=facts.nursery.pk)
    season = season_problem(season_facts(SEASON, today=date(2026, 4, 6)), seed=1)
    leafy = {way.week.month for way in season.ways if way.method.leafy}
    dormant = {way.week.month for way in season.ways if not way.method.leafy}
    assert leafy <= {12, 1, 2, 3}
    assert leafy
    assert dormant <= {6, 7, 8, 9}
    assert dormant


def test_a_wish_for_what_nobody_knows_is_planned_by_the_others(facts: SeasonFacts) -> None:
    stranger = WishFact("s", uuid4(), "Never Seen", "Never Seen", "", 5, 0.9, 0.0, None, None)
    season = season_problem(replace(facts, wishes=[*facts.wishes, stranger]), seed=1)
    mine = season.problem.options.target == len(facts.wishes)
    assert mine.any()
    assert (season.problem.options.mother_tree[mine] == -1).all()
    assert season.problem.targets.value[-1] == 0.0
    assert 0.0 < season.problem.takes[:, mine].mean() < 1.0


def test_the_luck_of_a_season_is_shared_by_its_ways(facts: SeasonFacts) -> None:
    season = season_problem(facts, seed=1)
    together = np.corrcoef(season.problem.takes[:, 0], season.problem.takes[:, -1])[0, 1]
    assert season.problem.options.target[0] != season.problem.options.target[-1]
    assert together > 0.1
    again, other = season_problem(facts, seed=1), season_problem(facts, seed=2)
    assert (again.content == season.content, other.content == season.content) == (True, False)


def test_very_many_ways_are_thinned_and_every_wish_keeps_some(facts: SeasonFacts) -> None:
    season = season_problem(facts, seed=1)
    few = ways_of(facts, season.windows, season.lots, most=10)
    assert len(few) < len(season.ways)
    assert {way.wish for way in few} == {0, 1, 2}


def test_more_wishes_than_a_plan_takes_are_refused(facts: SeasonFacts, tmp_path: Path) -> None:
    many = [replace(facts.wishes[0], name=str(at)) for at in range(MOST_WISHES + 1)]
    with pytest.raises(Refused, match="501 wishes are more than one plan takes"):
        season_problem(replace(facts, wishes=many), seed=1)
    rows = "cultivar,number\n" + "".join(f"Kind {at},3\n" for at in range(MOST_WISHES + 1))
    with pytest.raises(Refused, match="501 wishes are more"):
        wishes_on_file(rows.encode(), "many.csv", today=TODAY)


def test_two_wishes_of_one_cultivar_on_file_are_told_apart(facts: SeasonFacts) -> None:
    found = wishes_on_file(b"cultivar,number,worth\nRed Tarn,4,0\nred tarn,2,9\n", "list.csv", today=TODAY).wishes
    assert [wish.name for wish in found] == ["Red Tarn", "Red Tarn, wish 2"]
    assert [wish.worth for wish in found] == [0.0, 9.0]
    assert found[0].cultivar == Wish.objects.get(cultivar__spoken="Red Tarn").cultivar_id


def test_an_over_year_has_no_week_left(facts: SeasonFacts, settings: Any) -> None:
    with pytest.raises(Refused, match="ended on 2026-09-22"):
        season_facts(SEASON, today=date(2026, 9, 22))
    with pytest.raises(Refused, match="no week of the growing year 2026 is left"):
        season_problem(season_facts(SEASON, today=date(2026, 9, 20)), seed=1)


def test_a_wish_without_a_genus_stands_on_the_books_stocks(facts: SeasonFacts) -> None:
    plain = [replace(wish, genus="", botanical="") for wish in facts.wishes]
    season = season_problem(replace(facts, wishes=plain), seed=1)
    assert [lot.name for lot in season.lots] == ["26-A"]
    assert {way.lot.name for way in season.ways if way.lot} == {"26-A"}
    assert season.problem.stocks.number.tolist() == [60.0]


def test_a_genus_of_which_there_is_no_stock_is_ordered_and_an_offer_serves_any(facts: SeasonFacts, now: datetime) -> None:
    other = [replace(facts.wishes[0], genus="Betula", botanical="Betula pendula"), replace(facts.wishes[1], genus="", botanical="")]
    assert [lot.name for lot in season_problem(replace(facts, wishes=other), seed=1).lots] == ["26-A", "Betula stocks to order"]
    save_offer("Beck: Acer, 25 for 30, 3 weeks", now=now)
    offered = replace(season_facts(SEASON, today=TODAY), wishes=other[1:])
    assert [lot.name for lot in season_problem(offered, seed=1).lots] == ["26-A", "stocks of any kind to order"]


def test_stocks_that_are_not_used_have_a_reason(facts: SeasonFacts, now: datetime) -> None:
    lot = {"species": "Betula pendula", "count": 20, "arrived_on": date(2025, 10, 1)}
    save_noun(RootstockLot, {**lot, "name": "26-B"}, now=now)
    save_noun(RootstockLot, {**lot, "name": "26-C", "species": "Acer palmatum", "arrived_on": date(2026, 10, 5)}, now=now)
    season = season_problem(season_facts(SEASON, today=TODAY), seed=1)
    told = unused_words(season, np.zeros(len(season.ways), dtype=np.int64), limit_rows(season.problem))
    assert told == (
        "none of 60 of 26-A are used: room, hours or wood give out before these stocks do, or others serve as well.",
        "none of 20 of 26-B are used: no wish is for what Betula carries.",
        "none of 20 of 26-C are used: it arrives on 5 Oct 2026, and the last window is over before it can be grafted.",
    )


def test_each_way_of_a_wish_is_open_only_while_it_heals_by_the_wishs_own_day(facts: SeasonFacts, now: datetime) -> None:
    slow = Method.objects.filter(leafy=True).first()
    assert slow is not None
    save_noun(Method, {"closed_days": 70}, now=now, pk=slow.pk)
    by_when = date(2026, 8, 30)
    wished = [replace(wish, by_when=by_when) for wish in facts.wishes]
    season = season_problem(season_facts(SEASON, today=TODAY, wishes=wished), seed=1)
    finished = [way.week + timedelta(days=7 * way.healing_weeks) for way in season.ways]
    options, closed = season.problem.options, closing_reasons(season.problem)
    assert {way.healing_weeks for way in season.ways} == {7, 12}
    assert (options.week > options.latest_week).tolist() == [day > by_when for day in finished]
    assert max(day for day, reason in zip(finished, closed, strict=True) if not reason) <= by_when
    assert TOO_LATE_FOR_WISH in closed


def test_the_seasons_that_judge_a_plan_are_none_of_those_that_it_is_made_from(facts: SeasonFacts) -> None:
    problem = season_problem(facts, seed=1).problem
    made_from, judging = ({row.tobytes() for row in table} for table in (problem.takes, problem.fresh_takes))
    assert (len(made_from), len(judging)) == (150, 1_000)
    assert not made_from & judging


def test_price_and_weeks_of_stocks_to_order_are_of_one_supplier(facts: SeasonFacts, now: datetime) -> None:
    RootstockLot.objects.update(retired=True)
    save_offer("Quick Beck: Acer palmatum, 10 for 40, 1 week", now=now)
    save_offer("Slow Tarn: Acer palmatum, 10 for 10, 6 weeks", now=now)
    season = season_problem(season_facts(SEASON, today=TODAY), seed=1)
    assert [offer.supplier for offer in season.suppliers.values()] == ["Slow Tarn"]
    ordered = [way.lot is not None and way.lot.lot is None for way in season.ways]
    dear = season.problem.options.cost[ordered] - float(season.facts.figures["graft_cost"] or 0.0)
    assert dear == pytest.approx(1.0)
    assert season.mondays[int(season.problem.stocks.arrival_week[-1])] == date(2026, 5, 25)
    assert supplier_words(season.suppliers)[0].endswith(
        "from Slow Tarn at 1.00 each, 6 weeks after the order; the plan weighs no other supplier."
    )


def test_a_supplier_who_comes_after_every_window_is_not_the_one(facts: SeasonFacts, now: datetime) -> None:
    RootstockLot.objects.update(retired=True)
    save_offer("Quick Beck: Acer palmatum, 10 for 40, 1 week", now=now)
    save_offer("Slow Tarn: Acer palmatum, 10 for 10, 60 weeks", now=now)
    season = season_problem(season_facts(SEASON, today=TODAY), seed=1)
    assert [offer.supplier for offer in season.suppliers.values()] == ["Quick Beck"]
