"""`scionary confirm`: names to confirm in leaf."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.models import Event, Plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def leafy(graft: Callable[..., Any], write: Callable[..., Any]) -> list[Plant]:
    plants: list[Plant] = graft(2, days=-500, stands="tunnel").plants
    for plant in plants:
        write("scored", plant, days=-30, sign="in_leaf", answer="yes")
    write("name_doubted", plants[1], days=-29, reason="redder")
    return plants


def test_they_are_listed(scionary: Callable[..., Any], leafy: list[Plant]) -> None:
    said = scionary("confirm", "--on", "2026-07-01").out
    assert said.startswith("2 names to confirm while the leaves are there.\ntunnel: Red Tarn\n")
    assert "never confirmed in leaf" in said
    told = scionary("confirm", "--on", "2026-07-01", "--json").json
    assert [each["why"] for each in told["groups"][0]["plants"]] == ["never confirmed in leaf", "name in doubt"]


def test_those_named_are_confirmed_in_one_record(scionary: Callable[..., Any], leafy: list[Plant]) -> None:
    assert scionary("confirm", "Red Tarn 1", "Red Tarn 2", "--note", "full leaf").out == "Confirmed in leaf: Red Tarn 1, Red Tarn 2.\n"
    event = Event.objects.get(kind="name_confirmed")
    assert (event.payload, event.subjects.count()) == ({"note": "full leaf"}, 2)
    assert not Plant.objects.exclude(name_doubted_at=None).exists()


def test_a_plant_that_nobody_knows_confirms_none(scionary: Callable[..., Any], leafy: list[Plant]) -> None:
    assert scionary("confirm", "Red Tarn 1", "Ash Gill 9").code == 2
    assert not Event.objects.filter(kind="name_confirmed").exists()
