"""Records whose plant the book does not hold are found until the plant is there or the record is undone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from scionary.answers.without_plant import count_without_plant, without_plant
from scionary.book.commands import Written, undo
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Plant
from scionary.book.record import NewEvent, record_events

Graft = Callable[..., Written]


def look(key: str, at: datetime, *, came: datetime | None = None) -> NewEvent:
    event = NewEvent("scored", at, (key,), {"sign": "firm", "answer": "yes"})
    record_events([event], now=came or at)
    return event


def test_what_tells_of_plants_that_are_there_is_not_listed(graft: Graft, now: datetime) -> None:
    look(graft(2).plants[0].key, now)
    assert (without_plant(10), count_without_plant()) == ([], 0)


def test_what_came_after_the_undo_is_listed_with_the_name_and_the_undo(graft: Graft, now: datetime) -> None:
    written = graft(3)
    answer = undo(written.events[1], now=now + timedelta(hours=3))
    seen = look(written.plants[1].key, now + timedelta(hours=2), came=now + timedelta(hours=4))
    (found,) = without_plant(10)
    assert (found.event.pk, found.spoken, found.undone_by) == (seen.id, "Red Tarn 2", (answer.id,))
    undo(answer.id, now=now + timedelta(hours=5))
    assert without_plant(10) == []
    assert Plant.objects.get(pk=written.plants[1].pk).state == "alive"


def test_what_was_seen_after_the_undo_is_listed_though_it_came_before_it(graft: Graft, now: datetime) -> None:
    written = graft()
    look(written.plants[0].key, now + timedelta(hours=2))
    record_events(
        [NewEvent("corrected", now + timedelta(hours=1), (written.plants[0].key,), {"target": str(written.events[0])})],
        now=now + timedelta(hours=6),
    )
    assert count_without_plant() == 1


def test_what_was_known_before_the_undo_went_with_the_graft(graft: Graft, now: datetime) -> None:
    written = graft()
    look(written.plants[0].key, now + timedelta(hours=1))
    undo(written.events[0], now=now + timedelta(hours=2))
    assert without_plant(10) == []


def test_what_tells_of_a_graft_that_has_not_arrived_is_listed_until_it_does(cultivar: Cultivar, now: datetime) -> None:
    plant = f"plant:{uuid7()}"
    look(plant, now)
    (found,) = without_plant(10)
    assert (found.spoken, found.undone_by) == ("", ())
    record_events([NewEvent("grafted", now - timedelta(days=1), (plant,), {"cultivar": str(cultivar.pk), "running_number": 1})], now=now)
    assert without_plant(10) == []


def test_a_record_that_was_undone_waits_no_more(graft: Graft, now: datetime) -> None:
    written = graft()
    undo(written.events[0], now=now)
    seen = look(written.plants[0].key, now + timedelta(hours=1))
    undo(seen.id, now=now + timedelta(hours=2))
    assert count_without_plant() == 0


def test_the_last_to_come_stand_first(graft: Graft, now: datetime) -> None:
    written = graft()
    undo(written.events[0], now=now)
    first, second = (look(written.plants[0].key, now + timedelta(hours=hours)) for hours in (1, 2))
    assert [found.event.pk for found in without_plant(10)] == [second.id, first.id]
    assert len(without_plant(1)) == 1
