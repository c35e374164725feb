"""Grafts that wait for a stage: how many, from when it can be told, and when nobody waits."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from scionary.answers.waiting import waiting
from scionary.book.commands import Written
from scionary.book.models import Plant

pytestmark = pytest.mark.django_db
SUMMER = date(2026, 7, 1)
LATER = date(2027, 7, 1)


@pytest.fixture
def five(graft: Callable[..., Written], write: Callable[..., Any]) -> list[Plant]:
    """Five grafts of February 2026; of these one is lost and one was sold."""
    plants = graft(5).plants
    write("lost", plants[0], days=31)
    write("left", plants[1], days=90, how="sale")
    return plants


def test_this_year_s_grafts_wait_for_spring_the_lost_among_them(five: list[Plant]) -> None:
    found = waiting("in_leaf", today=SUMMER)
    assert (found.grafts, found.lost, found.first) == (4, 1, date(2027, 5, 19))
    assert found.words == (
        "4 grafts wait for spring: whether they stand in leaf is known from about 19 May 2027 and not counted yet, 1 of them lost already."
    )


def test_once_the_spring_has_come_nobody_waits(five: list[Plant]) -> None:
    found = waiting("in_leaf", today=LATER)
    assert (found.grafts, found.words) == (0, "")


def test_a_graft_that_was_scored_does_not_wait(five: list[Plant], write: Callable[..., Any]) -> None:
    write("scored", five[2], days=31, sign="firm", answer="yes")
    found = waiting("firm", today=date(2026, 2, 20))
    assert (found.grafts, found.lost) == (3, 1)
    write("scored", five[3], days=31, sign="firm", answer="yes")
    found = waiting("firm", today=date(2026, 2, 20))
    assert (found.grafts, found.lost) == (1, 0)


def test_a_young_graft_is_too_young_to_tell_firm(graft: Callable[..., Written]) -> None:
    graft(1)
    words = waiting("firm", today=date(2026, 2, 20)).words
    assert words == "1 graft is too young: whether it is firm is known from about 17 March 2026 and not counted yet."
