"""scionary round: a dome looked at, and a round written down."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from nursery_clock import today_at_nursery
from scionary.book.models import Plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def three(scionary: Callable[..., Any]) -> None:
    grafted = (today_at_nursery() - timedelta(days=31)).isoformat()
    scionary("bench", "Red Tarn", "3", "--dome", "Dome 1", "--on", grafted)


def test_three_grafts_are_checked_with_three_words(scionary: Callable[..., Any], three: None) -> None:
    answer = scionary("round", "Dome 1", "1=firm", "2=firm", "3=lost", "--json").json
    assert answer["alive"] == {"low": 2, "mid": 2, "high": 2}
    assert answer["words"] == "2 of 3"
    assert "2 of 3, and that says little: 21 to 94 %." in scionary("findings").out


def test_looking_writes_nothing(scionary: Callable[..., Any], three: None) -> None:
    said = scionary("round", "dome 1").out
    assert said.startswith("Dome 1 · day 31 of about 31")
    assert "Look in: water, mould" in said
    assert set(Plant.objects.values_list("state", flat=True)) == {"waiting"}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["Dome 1", "1=splendid"], "WHAT is one of firm"),
        (["Dome 1", "8=firm"], "no plant stands at place 8"),
        (["Dome 1", "--vent", "140"], "open_pct is '140.0'"),
        (["Dome 2"], "no dome is called 'Dome 2'"),
    ],
)
def test_a_round_that_cannot_be_is_refused_whole(scionary: Callable[..., Any], three: None, typed: list[str], said: str) -> None:
    answer = scionary("round", *typed, *(["2=firm"] if len(typed) > 1 else []))
    assert answer.code == 2
    assert said in answer.err
    assert set(Plant.objects.values_list("state", flat=True)) == {"waiting"}
