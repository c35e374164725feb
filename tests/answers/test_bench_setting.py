"""Setting the bench and the grafts then written one by one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from scionary.answers.bench_setting import (
    BenchSetting,
    cultivars_said,
    graft_here,
    last_thickness,
    recent_days,
    set_bench,
    to_make,
    write_standing,
)
from scionary.answers.growing_year import year_at
from scionary.answers.standing import Grafted, StandingLine
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import AcceptedPlan, BenchDay, Cultivar, Dome, MotherTree, Nursery, Plant, RootstockLot
from scionary.errors import Refused

pytestmark = pytest.mark.django_db

DAY = date(2026, 2, 14)


def test_new_names_are_added_and_said(nursery: Nursery, cultivar: Cultivar, now: datetime) -> None:
    setting = BenchSetting("Red Tarn", DAY, dome="Dome 1", lot="25-A", tree="by the gate")
    done = set_bench(setting, count=2, nursery=nursery, now=now, ident=uuid7())
    assert done.new == [
        "25-A is new to the book and was added as a stock lot.",
        "by the gate is new to the book and was added as a mother tree.",
        "Dome 1 is new to the book and was added as a dome.",
    ]
    assert Plant.objects.filter(dome__name="Dome 1").count() == 2
    assert RootstockLot.objects.get().count is None


def test_the_same_setting_again_makes_one_bench_day(nursery: Nursery, now: datetime) -> None:
    ident = uuid7()
    for _ in range(2):
        set_bench(BenchSetting("Red Tarn", DAY), count=3, nursery=nursery, now=now, ident=ident)
    assert (BenchDay.objects.count(), Plant.objects.count()) == (1, 3)


def test_a_tree_of_another_cultivar_is_refused_with_all_that_came_with_it(nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    with pytest.raises(Refused, match="is a Red Tarn, not a Fell Lace"):
        set_bench(BenchSetting("Fell Lace", DAY, tree=tree.name), nursery=nursery, now=now, ident=uuid7())
    assert not Cultivar.objects.filter(spoken="Fell Lace").exists()


def test_a_changed_bench_holds_for_the_grafts_to_come(nursery: Nursery, now: datetime) -> None:
    first = set_bench(BenchSetting("Red Tarn", DAY, dome="Dome 1"), count=1, nursery=nursery, now=now, ident=uuid7()).bench
    change = set_bench(BenchSetting("Red Tarn", DAY, dome="Dome 2"), nursery=nursery, now=now, ident=first.pk, change=first)
    graft_here(change.bench, 1, stock_mm=None, scion_mm=None, nursery=nursery, now=now, event_id=uuid7())
    assert [str(plant.dome) for plant in Plant.objects.order_by("running_number")] == ["Dome 1", "Dome 2"]


def test_a_graft_needs_a_cultivar_and_keeps_its_thickness_for_the_next(nursery: Nursery, cultivar: Cultivar, now: datetime) -> None:
    bench = save_noun(BenchDay, {"day": DAY}, now=now)
    with pytest.raises(Refused, match="no cultivar is set"):
        graft_here(bench, 1, stock_mm=None, scion_mm=None, nursery=nursery, now=now, event_id=uuid7())
    bench = save_noun(BenchDay, {"cultivar": cultivar}, now=now, pk=bench.pk)
    assert last_thickness(bench) == (None, None)
    graft_here(bench, 1, stock_mm=6.8, scion_mm=3.1, nursery=nursery, now=now, event_id=uuid7())
    assert last_thickness(bench) == (6.8, 3.1)


def test_the_plan_is_held_against_what_was_made(nursery: Nursery, cultivar: Cultivar, graft: Callable[..., Written], now: datetime) -> None:
    assert to_make(DAY, nursery) == []
    none_of_it = save_noun(Cultivar, {"spoken": "Orrery"}, now=now)
    lines = [{"cultivar": str(cultivar.pk), "grafts": 14}, {"cultivar": str(none_of_it.pk), "grafts": 0}]
    save_noun(AcceptedPlan, {"season": year_at(DAY, nursery), "accepted_at": now, "lines": lines}, now=now)
    graft(2)
    (line,) = to_make(DAY, nursery)
    assert (line.cultivar, line.made, line.planned) == (cultivar, 2, 14)


def test_bench_days_come_latest_first_with_what_was_made(nursery: Nursery, cultivar: Cultivar, now: datetime) -> None:
    set_bench(BenchSetting("Red Tarn", DAY), count=2, nursery=nursery, now=now, ident=uuid7())
    save_noun(BenchDay, {"day": DAY + timedelta(days=1)}, now=now)
    assert [(day.made, day.cultivars) for day in recent_days()] == [(0, "nothing made yet"), (2, "Red Tarn")]


def test_a_bench_day_without_a_cultivar_names_those_that_were_made(nursery: Nursery) -> None:
    assert cultivars_said(BenchDay(day=DAY), Counter({"Ash Gill": 1, "Red Tarn": 4})) == "Red Tarn and Ash Gill"


def test_what_stands_already_makes_its_dome_or_nothing(nursery: Nursery, now: datetime) -> None:
    given = {"grafted": Grafted(DAY, "month"), "method": None, "now": now}
    dome, written = write_standing("Dome 7", [StandingLine("Red Tarn", 2)], event_id=uuid7(), **given)
    assert (str(dome), len(written.plants)) == ("Dome 7", 2)
    with pytest.raises(Refused):
        write_standing("Dome 8", [], event_id=uuid7(), **given)
    assert not Dome.objects.filter(name="Dome 8").exists()
