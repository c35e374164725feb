"""Reading the book."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from scionary.book import queries
from scionary.book.commands import Written, correct, save_noun, undo
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, Nursery, Plant
from scionary.book.one_page import one_page
from scionary.book.projection import records_of
from scionary.book.record import Answer
from scionary.book.settle import settle
from scionary.errors import UnknownSubject

Write = Callable[..., Answer]


def kinds(plant: Plant) -> list[str]:
    return [event.kind for event in queries.story(plant)]


def test_the_nursery_is_the_books_settings(nursery: Nursery) -> None:
    assert queries.nursery() == nursery


def test_a_plant_is_found_by_its_id(plant: Plant) -> None:
    assert queries.plant(plant.pk).spoken == "Red Tarn 1"
    with pytest.raises(UnknownSubject, match="no such plant"):
        queries.plant(uuid7())


def test_plants_come_with_all_that_a_list_shows(
    graft: Callable[..., Written], dome: Dome, django_assert_num_queries: Callable[..., object]
) -> None:
    graft(5, dome=dome.pk)
    with django_assert_num_queries(2):  # type: ignore[attr-defined]
        assert [(p.spoken, p.dome.name, p.grafts.all()[0].cultivar.spoken) for p in queries.plants()][4] == (
            "Red Tarn 5",
            "Dome 1",
            "Red Tarn",
        )


def test_a_dome_lists_its_plants_by_place(graft: Callable[..., Written], dome: Dome) -> None:
    graft(3, dome=dome.pk, places=(3, 1, 2))
    assert [p.place for p in queries.plants_in(dome)] == [1, 2, 3]


def test_a_dome_is_in_use_until_all_in_it_are_lost(graft: Callable[..., Written], dome: Dome, write: Write) -> None:
    plants = graft(2, dome=dome.pk).plants
    write("lost", plants[0], days=1)
    assert list(queries.domes_in_use()) == [dome]
    write("lost", plants[1], days=1)
    assert list(queries.domes_in_use()) == []


def test_a_story_tells_what_happened_to_the_plant_and_to_its_dome_meanwhile(
    graft: Callable[..., Written], dome: Dome, write: Write
) -> None:
    (plant,) = graft(dome=dome.pk).plants
    write("watered", dome, days=-1)
    write("watered", dome, days=1)
    write("moved", plant, days=2, stands="bench")
    write("vented", dome, days=3, open_pct=33)
    assert kinds(plant) == ["moved", "watered", "grafted"]


def test_an_undone_move_does_not_end_a_stay(graft: Callable[..., Written], dome: Dome, write: Write, now: datetime) -> None:
    (plant,) = graft(dome=dome.pk).plants
    move = write("moved", plant, days=2, stands="bench")
    write("vented", dome, days=3, open_pct=33)
    undo(move.id, now=now + timedelta(days=4))
    assert kinds(plant) == ["corrected", "vented", "moved", "grafted"]


def test_a_corrected_graft_stays_in_its_corrected_dome(graft: Callable[..., Written], dome: Dome, write: Write, now: datetime) -> None:
    other = save_noun(Dome, {"name": "Dome 2"}, now=now)
    written = graft(dome=dome.pk)
    correct(written.events[0], {"dome": str(other.pk)}, now=now)
    write("watered", other, days=1)
    assert "watered" in kinds(written.plants[0])


def test_a_story_holds_corrections_of_corrections(plant: Plant, write: Write, now: datetime) -> None:
    move = write("moved", plant, place=3)
    undo(undo(move.id, now=now).id, now=now)
    assert kinds(plant).count("corrected") == 2


def test_stays_follow_moves_wintering_and_leaving(graft: Callable[..., Written], dome: Dome, write: Write, now: datetime) -> None:
    (plant,) = graft(dome=dome.pk).plants
    write("moved", plant, days=10, stands="bench")
    write("moved", plant, days=20, dome=dome.pk)
    write("wintered_in", plant, days=25)
    write("left", plant, days=30, how="gift")
    day = [now + timedelta(days=days) for days in (0, 10, 20, 30)]
    settled = settle(records_of([plant.key])[plant.key])
    assert queries.stays(settled) == [(str(dome.pk), day[0], day[1]), (str(dome.pk), day[2], day[3])]
    assert queries.stays([]) == []


def test_undone_marks_what_does_not_stand(plant: Plant, write: Write, now: datetime) -> None:
    move = write("moved", plant, place=3)
    first = undo(move.id, now=now)
    assert queries.undone(Event.objects.all()) == {move.id}
    second = undo(first.id, now=now)
    assert queries.undone(Event.objects.all()) == {first.id}
    undo(second.id, now=now)
    assert queries.undone(Event.objects.all()) == {move.id, second.id}


@pytest.mark.parametrize(
    ("typed", "found"), [("red tarn 2", 1), ("Red Tarn", 3), ("2", 1), ("north", 3), ("Ash Gill", 0), ("", 3), ("red tarn 9", 0)]
)
def test_a_plant_is_found_by_what_a_person_says(graft: Callable[..., Written], typed: str, found: int) -> None:
    graft(3, stands="north window")
    assert queries.find_spoken(typed).count() == found


def test_dome_states_are_given_by_id(dome: Dome, write: Write, now: datetime) -> None:
    assert queries.dome_states([dome.pk]) == {}
    write("vented", dome, days=1, open_pct=33)
    assert queries.dome_states([dome.pk])[dome.pk].vent_pct == 33.0


def test_within_one_page_the_stamp_is_looked_up_once(plant: Plant, write: Callable[..., Answer], django_assert_num_queries: Any) -> None:
    before = queries.stamp()
    with one_page():
        first = queries.stamp()
        with django_assert_num_queries(0):
            assert queries.stamp() == first == before
    write("observed", plant, days=1)
    assert queries.stamp() != before
