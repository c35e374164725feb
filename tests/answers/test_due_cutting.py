"""Due asks for scions where plan or bench day wants them, with the weather's reason or the three questions, and for water."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from answers.test_weather_import import daily
from scionary.answers.due import due
from scionary.answers.due_cutting import open_kinds
from scionary.answers.due_lines import DueLine
from scionary.answers.put_off import NOT_NEEDED, PUT_OFF, answer_line
from scionary.answers.weather_import import accept_weather
from scionary.book.commands import save_noun
from scionary.book.models import AcceptedPlan, BenchDay, Method, MotherTree, Nursery, Wish
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db
TODAY = date(2026, 7, 20)


def line(step: str, today: date = TODAY) -> DueLine | None:
    return next((each for each in due(today=today).lines if each.step == step), None)


@pytest.fixture
def morning(now: datetime) -> datetime:
    return datetime(2026, 7, 20, 6, 30, tzinfo=now.tzinfo)


@pytest.fixture
def planned(tree: MotherTree, method: Method, now: datetime) -> AcceptedPlan:
    """Twenty grafts in leaf this season."""
    save_noun(Wish, {"cultivar": tree.cultivar, "wanted": 12, "season": 2026, "method": method}, now=now)
    lines = [{"cultivar": str(tree.cultivar_id), "grafts": 20}]
    return save_noun(AcceptedPlan, {"season": 2026, "accepted_at": now, "lines": lines}, now=now)


@pytest.fixture
def seen(tree: MotherTree, write: Callable[..., Answer], now: datetime) -> Callable[..., None]:
    """Writes down what was seen at the tree on a day of July."""

    def look(day: int = 20, **payload: str) -> None:
        write("tree_seen", tree, days=(date(2026, 7, day) - now.date()).days, **payload)

    return look


def test_without_plan_or_bench_day_nothing_is_asked(tree: MotherTree, seen: Callable[..., None]) -> None:
    seen(stage="half_ripe", soaked="yes", firm_at_dawn="yes", leaves_dry="yes")
    assert line("cut") is None


def test_without_weather_the_three_questions_are_asked(planned: AcceptedPlan) -> None:
    found = line("cut")
    assert found is not None
    assert found.what == "Before you cut scions of the old tree by the gate: soaked, firm at dawn, dry?"
    assert "three answers" in found.why


def test_a_good_morning_is_said_with_its_reasons_and_how_many_sticks(planned: AcceptedPlan, seen: Callable[..., None]) -> None:
    seen(stage="half_ripe", soaked="yes", firm_at_dawn="yes", leaves_dry="yes")
    found = line("cut")
    assert found is not None
    assert found.what == "Cut scions this morning: 14 sticks of the old tree by the gate"
    assert "Leaves were firm at dawn." in found.why


def test_a_bad_morning_is_no_line_of_the_plan(planned: AcceptedPlan, seen: Callable[..., None]) -> None:
    seen(stage="soft", firm_at_dawn="no")
    assert line("cut") is None


def test_the_weather_s_reason_and_the_better_morning_stand_in_the_line(
    planned: AcceptedPlan, seen: Callable[..., None], morning: datetime
) -> None:
    accept_weather(daily(date(2025, 12, 21), 211, low=12.0, high=26.0, rain=6.0), "dry.csv", now=morning, station="Beck")
    accept_weather(daily(TODAY, 8, low=12.0, high=22.0, rain=30.0), "wet.csv", now=morning)
    seen(stage="ripe", leaves_dry="no")
    found = line("cut")
    assert found is not None
    assert found.what.startswith("Look before you cut scions")
    assert "Leaves are wet" in found.why
    assert "Better: " in found.why


def test_dormant_wood_is_not_asked_for_where_grafts_in_leaf_are_wished(planned: AcceptedPlan) -> None:
    assert line("cut", date(2026, 2, 20)) is None


def test_a_bench_day_asks_for_its_tree_and_says_not_this_morning(tree: MotherTree, seen: Callable[..., None], now: datetime) -> None:
    bench = save_noun(BenchDay, {"day": TODAY + timedelta(days=1), "tree": tree, "cultivar": tree.cultivar}, now=now)
    seen(stage="half_ripe", firm_at_dawn="no")
    found = line("cut")
    assert found is not None
    assert found.what == "Do not cut scions this morning: the old tree by the gate"
    assert "wanted for the bench on Tuesday 21 July" in found.why
    save_noun(BenchDay, {"day": TODAY + timedelta(days=9)}, now=now, pk=bench.pk)
    assert line("cut") is None


def test_it_is_put_off_and_comes_back_and_not_needed_holds_for_the_half_year(
    planned: AcceptedPlan, tree: MotherTree, morning: datetime
) -> None:
    answer_line("cut", [tree.key], PUT_OFF, today=TODAY, now=morning, until=TODAY + timedelta(days=3))
    assert line("cut") is None
    assert line("cut", TODAY + timedelta(days=3)) is not None
    answer_line("cut", [tree.key], NOT_NEEDED, today=TODAY, now=morning)
    assert line("cut", TODAY + timedelta(days=20)) is None


def test_a_dry_tree_of_which_wood_is_wanted_is_to_be_watered(
    planned: AcceptedPlan, tree: MotherTree, seen: Callable[..., None], write: Callable[..., Answer], morning: datetime, now: datetime
) -> None:
    save_noun(MotherTree, {"grows_in": "ground", "soil": "sand", "crown_mm": 2000.0}, now=now, pk=tree.pk)
    accept_weather(daily(date(2025, 12, 21), 211, low=12.0, high=26.0), "dry.csv", now=morning, station="Beck")
    accept_weather(daily(date(2026, 4, 10), 1, low=12.0, high=26.0, rain=200.0), "soaked.csv", now=morning)
    seen(stage="ripe")
    found = line("water_tree")
    assert found is not None
    assert found.event == ("watered", {})
    assert found.about == (tree.key,)
    assert found.when < TODAY
    assert "litres" in found.why
    write("watered", tree, days=(TODAY - now.date()).days - 1)
    assert line("water_tree") is None


def test_what_is_open_turns_with_the_hemisphere(nursery: Nursery, now: datetime) -> None:
    assert (open_kinds(nursery, date(2026, 2, 1)), open_kinds(nursery, TODAY)) == ({False}, {True})
    south = save_noun(Nursery, {"latitude_deg": -37.0}, now=now, pk=nursery.pk)
    assert (open_kinds(south, date(2026, 2, 1)), open_kinds(south, TODAY)) == ({True}, {False})
