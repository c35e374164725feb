"""What is lost between stages: only grafts whose both stages are known."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from scionary.answers.stage_chain import Step, stage_chain
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Nursery, Tally
from scionary.take import RateRange, wilson_interval

pytestmark = pytest.mark.django_db
Write = Callable[..., Any]
Grafts = Callable[..., Written]


def step(earlier: str, later: str) -> Step:
    return next(each for each in stage_chain().steps if (each.earlier, each.later) == (earlier, later))


@pytest.fixture
def twelve(graft: Grafts, write: Write) -> None:
    """Ten firm and two not; of the ten eight grew and two were lost, of the eight five stood in leaf and one did not."""
    plants = graft(12).plants
    for at, plant in enumerate(plants):
        write("scored", plant, sign="firm", answer="yes" if at < 10 else "no", days=31)
    for plant in plants[:8]:
        write("scored", plant, sign="growing", answer="yes", days=70)
    for plant in plants[8:10]:
        write("lost", plant, days=80)
    for at, plant in enumerate(plants[:6]):
        write("scored", plant, sign="in_leaf", answer="yes" if at < 5 else "no", days=460)


def test_each_step_counts_the_grafts_whose_both_stages_are_known(twelve: None) -> None:
    assert [(each.known, each.reached, each.lost, each.waiting) for each in stage_chain().steps] == [
        (10, 8, 2, 0),
        (6, 5, 1, 2),
        (8, 5, 3, 2),
    ]


def test_the_range_is_that_of_the_count(twelve: None) -> None:
    found = step("firm", "growing")
    assert (found.low, found.high) == wilson_interval(8, 10, 0.9)
    assert found.words == "Of 10 grafts that were firm, 8 were growing: 80 %, 54 to 93 %; 2 were lost in between."


def test_a_coming_season_is_less_certain_than_the_count(twelve: None) -> None:
    found = step("firm", "growing")
    assert found.coming.low < found.low
    assert found.coming.high > found.high


def test_grafts_never_firm_and_tallies_say_nothing_of_later_losses(
    graft: Grafts, write: Write, cultivar: Cultivar, nursery: Nursery, now: datetime
) -> None:
    for plant in graft(3).plants:
        write("scored", plant, sign="firm", answer="no", days=31)
    for stage, takes in (("firm", 9), ("in_leaf", 4)):
        save_noun(Tally, {"cultivar": cultivar, "season": 2024, "grafts": 10, "takes": takes, "stage": stage}, now=now)
    assert [each.known for each in stage_chain().steps] == [0, 0, 0]
    assert stage_chain().sentence == "Of no firm graft is a later stage known yet."
    assert not stage_chain().known


def test_a_step_of_one_graft_is_said_in_the_singular() -> None:
    only = Step("firm", "growing", 1, 0, 0, 1, 0.0, 0.7, RateRange(0.4, 0.2, 0.1, 0.8))
    assert only.words == "Of 1 graft that was firm, 0 were growing: 0 %, 0 to 70 %; 1 was lost in between."
