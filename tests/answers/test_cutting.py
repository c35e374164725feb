"""The verdict of this morning: weather, the tree's water, what was seen and what was answered."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from answers.test_weather_import import daily, hourly
from scionary.answers.cutting import CutAnswer, Thirst, cut_all, cut_today, limits_of, reason_words, value_words
from scionary.answers.weather_import import accept_weather
from scionary.book.commands import save_noun
from scionary.book.models import MotherTree, Nursery
from scionary.book.record import Answer
from scionary.season import Rating, Stage

pytestmark = pytest.mark.django_db
SUMMER = datetime(2026, 7, 20, 6, 30)


@pytest.fixture
def july(now: datetime) -> datetime:
    return SUMMER.replace(tzinfo=now.tzinfo)


@pytest.fixture
def dry_year(nursery: Nursery, july: datetime) -> None:
    """Warm days without rain since the shortest day, but for a soaking in April; a forecast of a week."""
    accept_weather(daily(date(2025, 12, 21), 219, low=12.0, high=26.0), "dry.csv", now=july, station="Beck")
    accept_weather(daily(date(2026, 4, 10), 1, low=12.0, high=26.0, rain=200.0), "soaked.csv", now=july)


def today(tree: MotherTree, nursery: Nursery, **said: object) -> CutAnswer:
    return cut_today(tree, nursery, today=SUMMER.date(), **said)  # type: ignore[arg-type]


def by_quantity(answer: CutAnswer) -> dict[str, Rating]:
    return {reason.quantity: reason.rating for reason in answer.verdict.reasons}


def test_without_weather_three_answers_and_a_look_are_enough(tree: MotherTree, nursery: Nursery) -> None:
    assert today(tree, nursery).rating is Rating.DOUBT
    said = {"soaked": True, "firm_at_dawn": True, "leaves_dry": True, "stage": Stage.HALF_RIPE}
    answer = today(tree, nursery, answers=said)
    assert answer.rating is Rating.GOOD
    assert answer.rests_on == ["The book holds no weather: the answers are yours."]
    assert today(tree, nursery, answers={**said, "firm_at_dawn": False}).rating is Rating.BAD


def test_what_was_written_down_today_counts_and_yesterday_s_answers_do_not(
    tree: MotherTree, nursery: Nursery, write: Callable[..., Answer], now: datetime
) -> None:
    days = (SUMMER.date() - now.date()).days
    write("tree_seen", tree, days=days, soaked="yes", firm_at_dawn="yes", leaves_dry="yes", stage="ripe")
    assert today(tree, nursery).rating is Rating.GOOD
    tomorrow = cut_today(tree, nursery, today=SUMMER.date() + timedelta(days=1))
    assert set(tomorrow.verdict.unknown) >= {"firm", "soaked"}
    assert by_quantity(tomorrow)["stage"] is Rating.GOOD
    late = cut_today(tree, nursery, today=SUMMER.date() + timedelta(days=8))
    assert "stage" in late.verdict.unknown


def test_a_dry_soil_speaks_against_cutting_and_says_how_much_water_it_takes(
    dry_year: None, tree: MotherTree, nursery: Nursery, now: datetime
) -> None:
    save_noun(MotherTree, {"grows_in": "ground", "soil": "sand", "root_depth_mm": 400.0, "crown_mm": 2000.0}, now=now, pk=tree.pk)
    tree.refresh_from_db()
    answer = today(tree, nursery, answers={"stage": Stage.RIPE})
    assert answer.rating is Rating.BAD
    assert by_quantity(answer)["stress"] is Rating.BAD
    assert answer.thirst is not None
    assert answer.thirst.high == pytest.approx(100.0, rel=0.03)  # 32 mm under 3.14 m²
    assert answer.thirst.litres == "about 101 litres"
    assert Thirst(261.2, 261.4, SUMMER.date()).litres == "about 261 litres"
    assert Thirst(80.0, 100.0, SUMMER.date()).litres == "80 to 100 litres"
    assert "crown" not in " ".join(answer.rests_on)
    save_noun(MotherTree, {"crown_mm": None}, now=now, pk=tree.pk)
    bare = cut_today(MotherTree.objects.get(pk=tree.pk), nursery, today=SUMMER.date(), answers={})
    assert "Its crown is not written down: litres are reckoned under one of 2000 mm, which is taken." in bare.rests_on
    assert any("sand" in words for words in answer.rests_on)


def test_watering_through_fills_the_soil_again(
    dry_year: None, tree: MotherTree, nursery: Nursery, write: Callable[..., Answer], now: datetime
) -> None:
    write("watered", tree, days=(SUMMER.date() - now.date()).days - 1)
    answer = today(tree, nursery, answers={"stage": Stage.RIPE, "leaves_dry": True})
    assert (by_quantity(answer)["stress"], by_quantity(answer)["soaked"]) == (Rating.GOOD, Rating.GOOD)
    assert (answer.rating, answer.thirst) == (Rating.GOOD, None)


def test_a_little_water_is_reckoned_over_the_crown(
    dry_year: None, tree: MotherTree, nursery: Nursery, write: Callable[..., Answer], now: datetime
) -> None:
    write("watered", tree, days=(SUMMER.date() - now.date()).days - 1, litres=5)
    assert by_quantity(today(tree, nursery))["stress"] is not Rating.GOOD


def test_a_forecast_ranks_the_coming_mornings(dry_year: None, tree: MotherTree, nursery: Nursery, july: datetime) -> None:
    accept_weather(daily(date(2026, 7, 20), 8, low=12.0, high=22.0, rain=20.0), "wet.csv", now=july)
    answer = today(tree, nursery, answers={"stage": Stage.RIPE})
    assert answer.foretold
    best = answer.next_best
    assert best is not None
    assert best.date > "2026-07-21"
    assert best.verdict.rating is Rating.GOOD
    assert answer.to_dict()["best_mornings"][0]["rating"] == "good"


def test_a_record_that_ends_is_not_taken_for_today_s_weather(dry_year: None, tree: MotherTree, nursery: Nursery) -> None:
    later = cut_today(tree, nursery, today=date(2026, 9, 20))
    assert later.rests_on[0].startswith("The weather in the book ends on 27 Jul 2026")
    assert "stress" not in by_quantity(later)


def test_hours_tell_the_morning_s_air(tree: MotherTree, nursery: Nursery, july: datetime) -> None:
    accept_weather(hourly(datetime(2026, 7, 1), 24 * 21), "hours.csv", now=july)
    answer = today(tree, nursery)
    assert by_quantity(answer)["demand"] is Rating.GOOD
    assert by_quantity(answer)["wet"] is Rating.DOUBT


def test_warmth_says_whether_wood_is_in_leaf_on_both_sides_of_the_equator(tree: MotherTree, nursery: Nursery, now: datetime) -> None:
    accept_weather(daily(date(2025, 6, 21), 238, low=12.0, high=24.0), "warm.csv", now=now)
    assert not cut_today(tree, nursery, today=now.date(), answers={"stage": Stage.DORMANT}).leafy
    south = save_noun(Nursery, {"latitude_deg": -37.0}, now=now, pk=nursery.pk)
    assert cut_today(tree, south, today=now.date()).leafy


def test_moved_limits_are_held_and_said(tree: MotherTree, nursery: Nursery, now: datetime) -> None:
    moved = save_noun(Nursery, {"cut_limits": {"soak_days": 3.0, "gone": 1.0}}, now=now, pk=nursery.pk)
    assert limits_of(moved).soak_days == 3.0
    assert "changed by hand" in limits_of(moved).source("soak_days")


def test_values_are_told_in_the_person_s_units(nursery: Nursery, now: datetime) -> None:
    here = save_noun(Nursery, {"length_unit": "in", "temperature_unit": "F"}, now=now, pk=nursery.pk)
    assert value_words(0.0, "°C", here) == "32 °F"
    assert reason_words("25 mm of rain and watering in the last 2 days.", here).startswith("1 in of rain")


def test_all_trees_are_judged_once_until_something_is_written(tree: MotherTree, nursery: Nursery) -> None:
    first = cut_all([tree], nursery, today=SUMMER.date())[tree.pk]
    assert cut_all([tree], nursery, today=SUMMER.date())[tree.pk] is first
