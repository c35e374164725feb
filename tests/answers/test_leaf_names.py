"""Which names are to be confirmed in leaf, and when that is due."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

import pytest

from scionary.answers.due import due
from scionary.answers.leaf_names import confirm_names, leaf_names
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, MotherTree, Nursery, Plant
from scionary.book.record import Answer
from scionary.errors import UnknownSubject

pytestmark = pytest.mark.django_db
SPRING, SUMMER, WINTER, NEXT_SUMMER = date(2027, 5, 20), date(2027, 7, 1), date(2028, 1, 5), date(2028, 7, 1)


@pytest.fixture
def leafy(graft: Callable[..., Written], write: Callable[..., Answer], dome: Dome) -> list[Plant]:
    """Given, inferred, doubted, confirmed and one that was never seen in leaf; grafted in February 2026, seen in leaf in May 2027."""
    plants = graft(5, dome=dome.pk).plants
    for plant in plants[:4]:
        write("scored", plant, days=450, sign="in_leaf", answer="yes")
    write("name_inferred", plants[1], days=451, chance=0.93)
    write("name_doubted", plants[2], days=451, reason="redder than its tree")
    write("name_confirmed", plants[3], days=451)
    return plants


def why(today: date) -> dict[str, str]:
    return {each.plant.spoken: each.why for each in leaf_names(today=today).plants}


def named(today: date) -> list[str]:
    return [plant.spoken for line in due(today=today).lines if line.step == "names" for plant in line.plants]


def test_those_seen_in_leaf_with_a_name_that_is_not_confirmed_are_listed_with_the_reason(leafy: list[Plant]) -> None:
    assert why(SPRING) == {
        "Red Tarn 1": "never confirmed in leaf",
        "Red Tarn 2": "name inferred, 0.93",
        "Red Tarn 3": "name in doubt",
    }


def test_they_stand_by_place_and_cultivar_with_its_looks(
    leafy: list[Plant], graft: Callable[..., Written], write: Callable[..., Answer], now: datetime
) -> None:
    ash = save_noun(Cultivar, {"spoken": "Ash Gill", "traits": {"summer": "green"}}, now=now)
    other = graft(1, cultivar=ash.pk, stands="tunnel").plants[0]
    write("scored", other, days=450, sign="in_leaf", answer="yes")
    groups = leaf_names(today=SUMMER).groups
    assert [(group.place, group.cultivar, group.looks, len(group.plants)) for group in groups] == [
        ("Dome 1", "Red Tarn", "", 3),
        ("tunnel", "Ash Gill", "colour in summer: green", 1),
    ]


def test_a_leaf_in_the_grafts_own_year_tells_nothing_yet(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    plant = graft().plants[0]
    write("scored", plant, days=60, sign="in_leaf", answer="yes")
    assert leaf_names(today=date(2026, 7, 1)).plants == []


def test_a_lost_or_sold_plant_is_not_listed(leafy: list[Plant], write: Callable[..., Answer]) -> None:
    write("left", leafy[0], days=460, how="sale")
    write("lost", leafy[1], days=460)
    assert set(why(SUMMER)) == {"Red Tarn 3"}


def test_it_is_due_only_while_trees_stand_in_leaf(leafy: list[Plant]) -> None:
    assert named(SUMMER) == ["Red Tarn 1", "Red Tarn 2", "Red Tarn 3"]
    assert named(WINTER) == []
    assert leaf_names(today=WINTER).sentence == "3 names to confirm, once trees stand in leaf again: about 19 Apr 2028."


def test_south_of_the_equator_it_is_due_half_a_year_later(leafy: list[Plant], nursery: Nursery, now: datetime) -> None:
    save_noun(Nursery, {"latitude_deg": -37.0}, now=now, pk=nursery.pk)
    assert named(SUMMER) == []
    assert named(date(2027, 12, 1)) == ["Red Tarn 1", "Red Tarn 2", "Red Tarn 3"]


def test_in_a_later_summer_only_names_that_are_not_sure_are_due(leafy: list[Plant]) -> None:
    assert named(NEXT_SUMMER) == ["Red Tarn 2", "Red Tarn 3"]
    assert len(leaf_names(today=NEXT_SUMMER).plants) == 3


def test_confirmed_they_share_one_record_and_are_due_no_longer(leafy: list[Plant], now: datetime) -> None:
    ident = uuid7()
    moment = now.replace(year=2027, month=7)
    for _ in range(2):
        confirm_names([plant.pk for plant in leafy[:3]], happened_at=moment, now=moment, event_id=ident)
    event = Event.objects.get(pk=ident)
    assert event.subjects.filter(key__startswith="plant:").count() == 3
    assert Event.objects.filter(kind="name_confirmed").count() == 2
    assert set(Plant.objects.filter(pk__in=[p.pk for p in leafy[:3]]).values_list("name_status", flat=True)) == {"confirmed"}
    assert (why(SUMMER), named(SUMMER)) == ({}, [])


def test_a_plant_of_nobody_is_refused_and_nothing_is_written(leafy: list[Plant], now: datetime) -> None:
    summer = now.replace(year=2027, month=7)
    with pytest.raises(UnknownSubject):
        confirm_names([leafy[0].pk, uuid7()], happened_at=summer, now=summer, event_id=uuid7())
    assert Event.objects.filter(kind="name_confirmed").count() == 1


def test_a_doubt_about_the_tree_is_told_and_presses(
    leafy: list[Plant], graft: Callable[..., Written], write: Callable[..., Answer], tree: MotherTree
) -> None:
    plant = graft(1, tree=tree.pk, stands="tunnel").plants[0]
    write("scored", plant, days=450, sign="in_leaf", answer="yes")
    write("name_doubted", tree.key, days=460, reason="leaves too red")
    assert why(SPRING)["Red Tarn 6"] == "never confirmed in leaf; the name of the old tree by the gate is in doubt: leaves too red"
    assert named(NEXT_SUMMER) == ["Red Tarn 2", "Red Tarn 3", "Red Tarn 6"]
