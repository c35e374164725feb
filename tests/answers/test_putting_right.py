"""Corrections and new records that keep every spoken name and every place to one plant."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scionary.answers.putting_right import put_right, shared_with_others, write_right
from scionary.book.commands import Written, save_noun, undo
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, Plant
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db

Graft = Callable[..., Written]
Write = Callable[..., Answer]


@pytest.fixture
def lanthorn(nursery: object, now: datetime) -> Cultivar:
    return save_noun(Cultivar, {"spoken": "Lanthorn"}, now=now)


@pytest.fixture
def second(nursery: object, now: datetime) -> Dome:
    return save_noun(Dome, {"name": "Dome 2"}, now=now)


def names() -> list[str]:
    return sorted(plant.spoken for plant in Plant.objects.select_related("cultivar"))


def places() -> list[tuple[str, int | None]]:
    return sorted((str(plant.dome), plant.place) for plant in Plant.objects.select_related("dome"))


def test_a_number_that_is_taken_gives_way_and_is_said(graft: Graft, lanthorn: Cultivar, now: datetime) -> None:
    graft(3, cultivar=lanthorn.pk)
    wrong = graft(2)
    done = put_right({wrong.events[0]: {"cultivar": str(lanthorn.pk)}}, now=now)
    assert names() == ["Lanthorn 1", "Lanthorn 2", "Lanthorn 3", "Lanthorn 4", "Red Tarn 2"]
    assert done.words == ["There is a Lanthorn 1 already: Red Tarn 1 is now called Lanthorn 4."]
    assert Event.objects.get(kind="corrected").payload["replace"] == {"cultivar": str(lanthorn.pk), "running_number": 4}


def test_a_number_that_is_free_is_kept(graft: Graft, lanthorn: Cultivar, now: datetime) -> None:
    wrong = graft(2)
    done = put_right({wrong.events[1]: {"cultivar": str(lanthorn.pk)}}, now=now)
    assert (names(), done.words) == (["Lanthorn 2", "Red Tarn 1"], [])


def test_a_place_that_is_taken_gives_way_and_is_said(graft: Graft, dome: Dome, second: Dome, now: datetime) -> None:
    graft(2, dome=second.pk)
    wrong = graft(1, dome=dome.pk)
    done = put_right({wrong.events[0]: {"dome": str(second.pk)}}, now=now)
    assert places() == [("Dome 2", 1), ("Dome 2", 2), ("Dome 2", 3)]
    assert done.words == ["Place 1 of Dome 2 is taken: Red Tarn 3 stands at place 3."]


def test_a_whole_batch_finds_names_and_places_one_after_another(
    graft: Graft, lanthorn: Cultivar, dome: Dome, second: Dome, now: datetime
) -> None:
    graft(2, cultivar=lanthorn.pk, dome=second.pk)
    wrong = graft(3, dome=dome.pk)
    put_right({event: {"cultivar": str(lanthorn.pk), "dome": str(second.pk)} for event in wrong.events}, now=now)
    assert names() == [f"Lanthorn {i}" for i in range(1, 6)]
    assert places() == [("Dome 2", i) for i in range(1, 6)]


def test_the_number_of_a_later_label_gives_way_where_it_stands(graft: Graft, lanthorn: Cultivar, write: Write, now: datetime) -> None:
    graft(7, cultivar=lanthorn.pk)
    wrong = graft(1)
    relabelled = write("relabelled", wrong.plants[0], days=3, running_number=7)
    put_right({wrong.events[0]: {"cultivar": str(lanthorn.pk)}}, now=now + timedelta(days=4))
    assert names() == [f"Lanthorn {i}" for i in range(1, 9)]
    assert Event.objects.get(kind="corrected", target=relabelled.id).payload["replace"] == {"running_number": 8}


def test_a_place_left_long_ago_may_be_corrected_to_one_that_is_taken(
    graft: Graft, dome: Dome, second: Dome, write: Write, now: datetime
) -> None:
    moved = graft(1, dome=dome.pk)
    write("moved", moved.plants[0], days=2, stands="bench")
    graft(1, dome=second.pk)
    done = put_right({moved.events[0]: {"dome": str(second.pk)}}, now=now + timedelta(days=3))
    assert done.words == []
    assert Plant.objects.get(pk=moved.plants[0].pk).stands == "bench"


def test_grafting_again_with_another_cultivar_takes_a_free_number(graft: Graft, lanthorn: Cultivar, now: datetime) -> None:
    graft(2, cultivar=lanthorn.pk)
    plant = graft(1).plants[0]
    given = {"happened_at": now + timedelta(days=60), "now": now + timedelta(days=60), "event_id": uuid7()}
    done = write_right("regrafted", [plant.pk], {"cultivar": str(lanthorn.pk)}, **given)
    assert names() == ["Lanthorn 1", "Lanthorn 2", "Lanthorn 3"]
    assert done.words == ["There is a Lanthorn 1 already: Red Tarn 1 is now called Lanthorn 3."]
    assert write_right("regrafted", [plant.pk], {}, **given).answers[0].status == "repeated"
    assert Event.objects.filter(kind="regrafted").count() == 1


def test_several_moved_to_one_place_stand_side_by_side(graft: Graft, dome: Dome, now: datetime) -> None:
    plants = [plant.pk for plant in graft(3).plants]
    write_right("moved", plants, {"dome": str(dome.pk), "place": 1}, happened_at=now, now=now, event_id=uuid7())
    assert places() == [("Dome 1", 1), ("Dome 1", 2), ("Dome 1", 3)]


def test_two_of_one_name_after_an_undo_are_told(graft: Graft, lanthorn: Cultivar, now: datetime) -> None:
    wrong = graft(1)
    done = put_right({wrong.events[0]: {"cultivar": str(lanthorn.pk)}}, now=now)
    graft(1)
    undo(done.events[0], now=now)
    told = [shared_with_others(plant) for plant in Plant.objects.select_related("cultivar", "dome")]
    assert told == [["another plant is called Red Tarn 1 too; relabel one of them with another number"]] * 2
    assert shared_with_others(graft(1).plants[0]) == []


def test_a_correction_dated_ahead_by_a_fast_clock_is_overruled(graft: Graft, lanthorn: Cultivar, now: datetime) -> None:
    graft(1, cultivar=lanthorn.pk)
    wrong = graft(1)
    fell_lace = save_noun(Cultivar, {"spoken": "Fell Lace"}, now=now)
    put_right({wrong.events[0]: {"cultivar": str(fell_lace.pk)}}, now=now + timedelta(hours=1))
    put_right({wrong.events[0]: {"cultivar": str(lanthorn.pk)}}, now=now)
    assert names() == ["Lanthorn 1", "Lanthorn 2"]
