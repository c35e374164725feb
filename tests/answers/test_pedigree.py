"""Where a plant's wood comes from, further back than its mother tree."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from scionary.answers.pedigree import forebears, forebears_of_tree, named_with_code, plant_raised
from scionary.book.commands import Written, save_noun, undo
from scionary.book.models import Cultivar, Graft, MotherTree, Plant, ScionBag
from scionary.errors import Refused
from scionary.names import code_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def raised(cultivar: Cultivar, now: datetime) -> Callable[..., MotherTree]:
    """A mother tree that grew from a plant."""

    def grow(name: str, plant: Plant) -> MotherTree:
        return save_noun(MotherTree, {"name": name, "cultivar": cultivar, "raised_from": plant}, now=now)

    return grow


def spoken(plant: Plant) -> list[tuple[str, str]]:
    return [(step.plant.spoken, step.grown_into.name) for step in forebears(plant)]


def test_a_line_is_followed_through_every_tree_that_grew_from_a_plant(
    graft: Callable[..., Written], tree: MotherTree, raised: Callable[..., MotherTree]
) -> None:
    first = graft(tree=tree.pk).plants[0]
    second_tree = raised("young one", first)
    second = graft(days=400, tree=second_tree.pk).plants[0]
    third = graft(days=800, tree=raised("pot by the door", second).pk).plants[0]
    assert spoken(third) == [("Red Tarn 2", "pot by the door"), ("Red Tarn 1", "young one")]
    assert [step.tree for step in forebears(third)] == [second_tree, tree]
    assert spoken(first) == []
    assert [step.plant for step in forebears_of_tree(second_tree)] == [first]


def test_wood_from_a_bag_is_wood_of_its_tree(
    graft: Callable[..., Written], raised: Callable[..., MotherTree], cultivar: Cultivar, now: datetime
) -> None:
    bag = save_noun(ScionBag, {"name": "bag 1", "cultivar": cultivar, "tree": raised("young one", graft().plants[0])}, now=now)
    assert spoken(graft(days=400, bag=bag.pk).plants[0]) == [("Red Tarn 1", "young one")]


def test_a_stock_grafted_again_carries_the_wood_of_the_last_graft(
    graft: Callable[..., Written], tree: MotherTree, raised: Callable[..., MotherTree], write: Callable[..., object]
) -> None:
    young = raised("young one", graft().plants[0])
    plant = graft(days=10, tree=young.pk).plants[0]
    assert spoken(plant) == [("Red Tarn 1", "young one")]
    write("regrafted", plant, days=200, tree=tree.pk)
    assert spoken(plant) == []


def test_a_plant_whose_graft_is_undone_ends_the_line(
    graft: Callable[..., Written], raised: Callable[..., MotherTree], now: datetime
) -> None:
    first = graft().plants[0]
    later = graft(days=400, tree=raised("young one", first).pk).plants[0]
    undo(Graft.objects.get(plant=first).pk, now=now)
    assert forebears(later) == []


def test_trees_that_name_each_other_end_somewhere(graft: Callable[..., Written], raised: Callable[..., MotherTree], now: datetime) -> None:
    first = graft().plants[0]
    young = raised("young one", first)
    second = graft(days=1, tree=young.pk).plants[0]
    save_noun(MotherTree, {"raised_from": second}, now=now, pk=young.pk)
    assert spoken(second) == [("Red Tarn 2", "young one")]


def test_the_plant_is_named_by_code_or_by_name(graft: Callable[..., Written]) -> None:
    plant = graft(2).plants[1]
    assert plant_raised(code_of(plant.code_number or 0)) == plant
    assert plant_raised("Red Tarn 2") == plant
    assert plant_raised(named_with_code(plant)) == plant


@pytest.mark.parametrize(
    ("typed", "told"),
    [("Red Tarn", "2 plants fit.*Give the code of one of them: Red Tarn 1 \\("), ("Red Tarn 9", "No plant.*Give the code")],
)
def test_a_name_that_means_several_or_none_is_refused(graft: Callable[..., Written], typed: str, told: str) -> None:
    graft(2)
    with pytest.raises(Refused) as refused:
        plant_raised(typed)
    found: Any = refused.value
    assert re.search(told, f"{found.message} {found.remedy}")


def test_a_tree_cannot_have_grown_from_its_own_grafts(
    graft: Callable[..., Written], tree: MotherTree, raised: Callable[..., MotherTree]
) -> None:
    child = graft(tree=tree.pk).plants[0]
    grandchild = graft(days=400, tree=raised("young one", child).pk).plants[0]
    for plant in (child, grandchild):
        with pytest.raises(Refused, match="cannot have grown from it"):
            plant_raised(plant.spoken, tree)
