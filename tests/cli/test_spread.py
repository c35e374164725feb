"""`scionary spread`: what plants shared, in the terminal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.commands import Written
from scionary.book.models import MotherTree, Plant, RootstockLot

pytestmark = pytest.mark.django_db


@pytest.fixture
def two(graft: Callable[..., Written], tree: MotherTree, lot: RootstockLot) -> list[Plant]:
    return graft(2, tree=tree.pk, lot=lot.pk).plants


def test_a_tree_is_followed_to_its_grafts(scionary: Callable[..., Any], two: list[Plant]) -> None:
    done = scionary("spread", "the old tree by the gate", "--by", "wood")
    assert done.code == 0
    assert done.out.startswith("2 plants (2 here) could have it.\n")
    assert "Red Tarn 2" in done.out


def test_back_from_a_plant_names_tree_and_lot(scionary: Callable[..., Any], two: list[Plant]) -> None:
    told = scionary("spread", "red tarn 2", "--back", "--by", "wood,stock", "--json").json
    assert {each["name"] for each in told["reached"]} == {"the old tree by the gate", "stock lot 24-B"}
    assert told["sentence"] == "It could have come to Red Tarn 2 from 1 mother tree and 1 stock lot."


def test_nothing_reached_says_no(scionary: Callable[..., Any], two: list[Plant]) -> None:
    done = scionary("spread", "Red Tarn 1", "--by", "stock")
    assert done.code == 1
    assert "met nothing" in done.out


def test_the_set_is_marked_and_released(scionary: Callable[..., Any], two: list[Plant]) -> None:
    done = scionary("spread", "24-B", "--quarantine", "galls on the roots")
    assert "Written down for 2 plants and 1 stock lot: set in quarantine." in done.out
    assert Plant.objects.filter(quarantine_reason="galls on the roots").count() == 2
    told = scionary("spread", "24-B", "--release", "clean", "--json").json
    assert (told["written"], told["about"]) == ("released", 2)
    assert not Plant.objects.exclude(quarantined_at=None).exists()


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        (["Blue Tarn 7"], "No plant"),
        (["24-B", "--by", "wind"], "'wind' is no way"),
        (["24-B", "--since", "soon"], "no date"),
        (["24-B", "--quarantine", ""], "no reason"),
        (["24-B", "--quarantine", "galls", "--doubt", "red"], "several things"),
    ],
)
def test_what_cannot_be_is_refused(scionary: Callable[..., Any], two: list[Plant], typed: list[str], why: str) -> None:
    done = scionary("spread", *typed)
    assert done.code == 2
    assert why in done.err
