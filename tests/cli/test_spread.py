"""`scionary spread`: what plants shared, in the terminal."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from scionary.book.commands import Written, save_noun
from scionary.book.models import BenchDay, Cultivar, Dome, MotherTree, Plant, RootstockLot

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
    assert "knows of nothing that it met" in done.out


def test_the_set_is_marked_and_released(scionary: Callable[..., Any], two: list[Plant]) -> None:
    done = scionary("spread", "24-B", "--quarantine", "galls on the roots")
    assert "Written down for 2 plants and 1 stock lot: set in quarantine." in done.out
    assert Plant.objects.filter(quarantine_reason="galls on the roots").count() == 2
    told = scionary("spread", "24-B", "--release", "clean", "--json").json
    assert (told["written"], told["about"]) == ("released", 2)
    assert not Plant.objects.exclude(quarantined_at=None).exists()


def test_a_doubt_is_about_a_name_and_follows_the_wood_alone(
    scionary: Callable[..., Any], graft: Callable[..., Written], dome: Dome, tree: MotherTree
) -> None:
    graft(1, tree=tree.pk, dome=dome.pk)
    graft(3, dome=dome.pk)
    looked = scionary("spread", "the old tree by the gate", "--doubt", "mislabelled", "--look")
    assert "Would be written down for 1 plant and 1 mother tree: name in doubt, mislabelled." in looked.out
    assert not Plant.objects.exclude(name_doubted_at=None).exists()
    done = scionary("spread", "the old tree by the gate", "--doubt", "mislabelled")
    assert "Written down for 1 plant and 1 mother tree: name in doubt." in done.out
    assert Plant.objects.exclude(name_doubted_at=None).count() == 1
    refused = scionary("spread", "the old tree by the gate", "--name", "--quarantine", "cankers")
    assert (refused.code, "is about a sickness" in refused.err) == (2, True)


def test_a_tree_without_grafts_is_marked_and_that_is_no_failure(scionary: Callable[..., Any], tree: MotherTree) -> None:
    done = scionary("spread", "the old tree by the gate", "--quarantine", "cankers")
    assert (done.code, "Written down for 1 mother tree: set in quarantine.\n" in done.out) == (0, True)


def test_a_bench_day_is_named_by_its_date(
    scionary: Callable[..., Any], two: list[Plant], cultivar: Cultivar, graft: Callable[..., Written], now: datetime
) -> None:
    assert "there is no bench day" in scionary("spread", "2026-02-14").err
    bench = save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar}, now=now)
    graft(2, bench=bench.pk)
    assert "2 plants (2 here) could be wrong with it" in scionary("spread", "2026-02-14", "--name").out
    save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "grafter": "Maren"}, now=now)
    assert "there are 2 bench days of that date: Red Tarn" in scionary("spread", "2026-02-14").err


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        (["Blue Tarn 7"], "No plant"),
        (["24-B", "--by", "wind"], "'wind' is no way"),
        (["24-B", "--since", "soon"], "no date"),
        (["24-B", "--since", "2899-01-01"], "still to come"),
        (["24-B", "--quarantine", ""], "no reason"),
        (["24-B", "--quarantine", "galls", "--doubt", "red"], "several things"),
    ],
)
def test_what_cannot_be_is_refused(scionary: Callable[..., Any], two: list[Plant], typed: list[str], why: str) -> None:
    done = scionary("spread", *typed)
    assert done.code == 2
    assert why in done.err
