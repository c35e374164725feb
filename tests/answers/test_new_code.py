"""Another code for a plant that shares its own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest

from scionary.answers.find import Found, find
from scionary.answers.new_code import give_new_code, same_code
from scionary.answers.story import story_lines
from scionary.book.commands import Written, correct
from scionary.book.models import Nursery, Plant
from scionary.errors import Refused
from scionary.names import code_of, grouped

pytestmark = pytest.mark.django_db


@pytest.fixture
def twins(graft: Callable[..., Written], now: datetime) -> list[Plant]:
    """Two plants with one code, as after a correction by hand."""
    made = graft(2)
    correct(made.events[1], {"code_number": made.plants[0].code_number}, now=now)
    return list(Plant.objects.order_by("running_number"))


def test_two_plants_with_one_code_are_both_shown_and_neither_is_taken(twins: list[Plant]) -> None:
    answer = find(code_of(twins[0].code_number or 0))
    assert (answer.status, answer.plant, len(answer.plants)) == (Found.SEVERAL, None, 2)
    assert "2 plants carry this code, which must not be: look at each, and give all but one a new code" in answer.words


def test_one_of_them_gets_the_next_code_and_each_is_found_alone(twins: list[Plant], now: datetime) -> None:
    shared = code_of(twins[0].code_number or 0)
    said, _ = give_new_code(twins[1], now=now)
    first, second = Plant.objects.order_by("running_number")
    assert code_of(second.code_number or 0) == said.replace(" ", "") != shared == code_of(first.code_number or 0)
    assert [same_code(first), same_code(second)] == [[], []]
    found = find(shared)
    assert found.plant is not None
    assert found.plant.id == first.pk


def test_the_story_tells_both_codes(twins: list[Plant], nursery: Nursery, now: datetime) -> None:
    shared = grouped(code_of(twins[0].code_number or 0))
    said, _ = give_new_code(twins[1], now=now)
    told = [detail for line in story_lines(twins[1], nursery) for detail in line.details]
    assert f"code {shared} → {said}" in told


def test_a_code_that_is_a_plants_alone_stays(plant: Plant, now: datetime) -> None:
    with pytest.raises(Refused, match="is this plant's alone"):
        give_new_code(plant, now=now)
