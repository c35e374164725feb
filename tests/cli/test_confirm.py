"""`scionary confirm`: names to confirm in leaf."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.models import Event, Plant

pytestmark = pytest.mark.django_db
SUMMER = "2025-07-01"


@pytest.fixture
def leafy(graft: Callable[..., Any], write: Callable[..., Any]) -> list[Plant]:
    plants: list[Plant] = graft(2, days=-700, stands="tunnel").plants
    for plant in plants:
        write("scored", plant, days=-230, sign="in_leaf", answer="yes")
    write("name_doubted", plants[1], days=-229, reason="redder")
    return plants


def test_they_are_listed(scionary: Callable[..., Any], leafy: list[Plant]) -> None:
    said = scionary("confirm", "--on", "2026-07-01").out
    assert said.startswith("2 names to confirm while the leaves are there.\ntunnel: Red Tarn\n")
    assert "never confirmed in leaf" in said
    told = scionary("confirm", "--on", "2026-07-01", "--json").json
    assert [each["why"] for each in told["groups"][0]["plants"]] == ["never confirmed in leaf", "name in doubt"]


def test_those_named_are_confirmed_in_one_record(scionary: Callable[..., Any], leafy: list[Plant]) -> None:
    said = scionary("confirm", "Red Tarn 1", "Red Tarn 2", "--note", "full leaf", "--on", SUMMER).out
    assert said == "Confirmed in leaf: Red Tarn 1, Red Tarn 2.\n"
    event = Event.objects.get(kind="name_confirmed")
    assert (event.payload, event.subjects.count()) == ({"note": "full leaf"}, 2)
    assert not Plant.objects.exclude(name_doubted_at=None).exists()


def test_a_plant_that_nobody_knows_confirms_none(scionary: Callable[..., Any], leafy: list[Plant]) -> None:
    assert scionary("confirm", "Red Tarn 1", "Ash Gill 9", "--on", SUMMER).code == 2
    assert not Event.objects.filter(kind="name_confirmed").exists()


def test_a_lost_plant_is_not_confirmed_and_the_day_is_told(
    scionary: Callable[..., Any], leafy: list[Plant], write: Callable[..., Any]
) -> None:
    write("lost", leafy[0], days=-228)
    refused = scionary("confirm", "Red Tarn 1", "Red Tarn 2", "--on", SUMMER)
    assert refused.code == 2
    assert "Red Tarn 1 was recorded as lost on 1 Jul 2025." in refused.err
    assert not Event.objects.filter(kind="name_confirmed").exists()


def test_while_trees_stand_bare_the_day_must_be_named(scionary: Callable[..., Any], leafy: list[Plant], out_of_leaf: None) -> None:
    refused = scionary("confirm", "Red Tarn 1")
    assert (refused.code, "Say on which day you saw it in leaf." in refused.err) == (2, True)


def test_that_it_stood_bare_on_that_day_is_said(scionary: Callable[..., Any], leafy: list[Plant]) -> None:
    assert "Look: trees do not stand in leaf on 20 Jan 2026." in scionary("confirm", "Red Tarn 1", "--on", "2026-01-20").out
