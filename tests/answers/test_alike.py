"""Names that may be one: what is offered, and what a person settled."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID

import pytest

from scionary.answers.alike import alike, left_behind, they_are_two, told_two
from scionary.answers.joining import join
from scionary.book.commands import save_noun, undo
from scionary.book.models import Cultivar, Event, MotherTree, ScionBag
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def add(cultivar: Cultivar, now: datetime) -> Callable[..., Cultivar]:
    return lambda spoken, **more: save_noun(Cultivar, {"spoken": spoken, **more}, now=now)


def pairs() -> list[tuple[str, str]]:
    return [(pair.first.spoken, pair.second.spoken) for pair in alike()]


@pytest.mark.parametrize(
    ("other", "offered"),
    [
        ("Red Tran", True),
        ("red tarn", True),
        ("Red-Tarn", True),
        ("Réd Tarn", True),
        ("'Red Tarn'", True),
        ("Red Fell", False),
        ("Snowbed", False),
    ],
)
def test_what_is_spelt_nearly_alike_is_offered(add: Callable[..., Cultivar], other: str, offered: bool) -> None:
    add(other)
    assert bool(pairs()) is offered


def test_numbers_that_tell_apart_do_so_on_purpose(add: Callable[..., Cultivar]) -> None:
    add("Seedling 1")
    add("Seedling 2")
    assert pairs() == []


def test_one_that_is_grown_no_longer_is_not_offered(add: Callable[..., Cultivar]) -> None:
    add("Red Tran", retired=True)
    assert pairs() == []


def test_the_same_botanical_name_is_offered_down_to_the_cultivar(add: Callable[..., Cultivar]) -> None:
    add("Glow", botanical="Acer palmatum 'Tarnred'")
    add("Wine", botanical="Acer palmatum 'Tarnred'")
    add("Seed A", botanical="Acer palmatum")
    add("Kind B", botanical="Acer palmatum")
    assert [(pair.first.spoken, pair.second.spoken, pair.why) for pair in alike()] == [
        ("Glow", "Wine", "they bear the same botanical name")
    ]


def test_both_are_counted_and_the_one_with_more_plants_comes_first(
    add: Callable[..., Cultivar], cultivar: Cultivar, graft: Callable[..., Any], now: datetime
) -> None:
    tran = add("Red Tran")
    graft(2, cultivar=tran.pk)
    graft(1)
    save_noun(MotherTree, {"name": "by the well", "cultivar": cultivar}, now=now)
    save_noun(ScionBag, {"name": "bag 1", "cultivar": cultivar}, now=now)
    save_noun(ScionBag, {"name": "bag 2", "cultivar": cultivar, "retired": True}, now=now)
    (pair,) = alike()
    assert (pair.first.spoken, pair.first.plants, pair.first.has) == ("Red Tran", 2, "2 plants")
    assert pair.second.has == "1 plant, 1 tree, 1 bag"


def test_told_to_be_two_they_are_not_offered_again_until_that_is_undone(
    add: Callable[..., Cultivar], cultivar: Cultivar, now: datetime
) -> None:
    tran = add("Red Tran")
    told = they_are_two(tran.pk, cultivar.pk, now=now)
    assert they_are_two(cultivar.pk, tran.pk, now=now) == told
    assert pairs() == []
    assert told_two() == {frozenset((tran.pk, cultivar.pk)): told}
    undo(told, now=now)
    assert pairs() == [("Red Tarn", "Red Tran")]
    assert they_are_two(cultivar.pk, tran.pk, now=now) != told
    assert pairs() == []


def test_one_and_itself_or_one_of_nobody_cannot_be_two(cultivar: Cultivar, now: datetime) -> None:
    for other in (cultivar.pk, UUID(int=7)):
        with pytest.raises(Refused, match="two cultivars of the book are needed"):
            they_are_two(cultivar.pk, other, now=now)
    assert not Event.objects.filter(kind="answered").exists()


def test_what_came_under_a_name_that_was_given_up_is_told(
    add: Callable[..., Cultivar], cultivar: Cultivar, graft: Callable[..., Any], now: datetime
) -> None:
    tran = add("Red Tran")
    graft(1, cultivar=tran.pk)
    join(cultivar.pk, tran.pk, now=now)
    assert left_behind() == []
    graft(2, cultivar=tran.pk)
    assert [(left.keep, left.give, left.words) for left in left_behind()] == [(cultivar.pk, tran.pk, "2 plants under Red Tran")]
    join(cultivar.pk, tran.pk, now=now)
    assert left_behind() == []


def test_nothing_but_signs_for_names_is_no_pair(add: Callable[..., Cultivar]) -> None:
    add("🌱")
    add("🌿")
    assert pairs() == []
