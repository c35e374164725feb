"""What a phone takes along into the yard: each tree with the verdict on this morning, where something is known of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from answers.test_weather_import import daily
from scionary.answers.cutting import Rating, cut_today
from scionary.answers.hand_yard import trees
from scionary.answers.weather_import import accept_weather
from scionary.book.commands import save_noun
from scionary.book.models import MotherTree, Nursery
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db
SUMMER = date(2026, 7, 20)


def test_without_weather_and_answers_nothing_is_said_of_the_morning(tree: MotherTree, nursery: Nursery) -> None:
    assert "morning" not in trees(nursery, today=SUMMER)[0]


def test_the_answers_of_today_are_a_verdict_for_today_alone(
    tree: MotherTree, nursery: Nursery, write: Callable[..., Answer], now: datetime
) -> None:
    days = (SUMMER - now.date()).days
    write("tree_seen", tree, days=days, soaked="yes", firm_at_dawn="yes", leaves_dry="yes", stage="ripe")
    told = trees(nursery, today=SUMMER)[0]["morning"]
    assert (told["day"], told["rating"], told["words"], told["better"]) == ("2026-07-20", "good", "good", "")
    assert "firm at dawn" in told["why"]
    assert "morning" not in trees(nursery, today=SUMMER + timedelta(days=1))[0]


def test_the_weather_s_reason_comes_with_it_in_the_person_s_units(tree: MotherTree, nursery: Nursery, now: datetime) -> None:
    save_noun(MotherTree, {"grows_in": "ground", "soil": "sand", "root_depth_mm": 400.0, "crown_mm": 2000.0}, now=now, pk=tree.pk)
    accept_weather(daily(date(2025, 12, 21), 219, low=12.0, high=26.0), "dry.csv", now=now, station="Beck")
    told = trees(nursery, today=SUMMER)[0]["morning"]
    tree.refresh_from_db()
    answer = cut_today(tree, nursery, today=SUMMER)
    assert answer.rating is Rating.BAD
    assert (told["rating"], told["words"], told["why"]) == ("bad", "not this morning", answer.why)
