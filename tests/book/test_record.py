"""The one door for what happened: all or none, repeats harmless, nothing overwritten."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import connection

from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, EventSubject, KeptAside, Nursery, Plant
from scionary.book.record import Answer, NewEvent, record_events
from scionary.errors import Refused, UnknownSubject


@pytest.fixture
def record(nursery: Nursery, now: datetime) -> Callable[..., list[str]]:
    def write(*events: NewEvent) -> list[str]:
        return [answer.status for answer in record_events(events, now=now)]

    return write


def moved(plant: Plant | str, now: datetime, **payload: Any) -> NewEvent:
    key = plant if isinstance(plant, str) else plant.key
    return NewEvent("moved", now + timedelta(hours=1), (key,), payload, device="phone")


def correction(target: NewEvent | UUID, now: datetime, subjects: tuple[str, ...] = (), **more: Any) -> NewEvent:
    ident = target if isinstance(target, UUID) else target.id
    about = subjects or (() if isinstance(target, UUID) else target.subjects)
    return NewEvent("corrected", now, about, {"target": str(ident), **more})


def place(plant: Plant) -> int | None:
    return Plant.objects.get(pk=plant.pk).place


def test_a_recorded_event_keeps_all_that_it_said(plant: Plant, now: datetime) -> None:
    event = replace(moved(plant, now, place=3, note="by the door"), who="Ina", clock_offset_s=-2.5)
    assert record_events([event], now=now + timedelta(hours=1)) == [Answer(event.id, "recorded")]
    row = Event.objects.get(pk=event.id)
    assert (row.kind, row.happened_at, row.payload) == ("moved", event.happened_at, {"place": 3, "note": "by the door"})
    assert (row.who, row.device, row.recorded_at, row.clock_offset_s) == ("Ina", "phone", now + timedelta(hours=1), -2.5)


def test_sqlite_is_a_file_that_is_forced_to_the_disk(nursery: Nursery) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("about SQLite's settings")
    with connection.cursor() as cursor:
        found = [cursor.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous", "foreign_keys")]
    assert found == ["wal", 2, 1]
    assert connection.settings_dict["OPTIONS"]["transaction_mode"] == "IMMEDIATE"


def test_the_same_event_again_changes_nothing(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = moved(plant, now, place=3)
    assert record(event) == ["recorded"]
    again = replace(event, clock_offset_s=4.0, happened_at=event.happened_at.astimezone())
    assert record(again, again) == ["repeated", "repeated"]
    assert (Event.objects.filter(kind="moved").count(), KeptAside.objects.count()) == (1, 0)


def test_other_content_under_the_same_id_is_kept_aside_once(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = moved(plant, now, place=3)
    other = replace(event, payload={"place": 4})
    assert record(event) == ["recorded"]
    assert record(other) == record(other) == ["kept aside"]
    assert place(plant) == 3
    assert KeptAside.objects.get().content["payload"] == {"place": 4}


def test_other_content_under_the_same_id_in_one_batch_is_kept_aside(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = moved(plant, now, place=3)
    assert record(event, replace(event, payload={"place": 4})) == ["recorded", "kept aside"]
    assert place(plant) == 3


def test_a_correction_that_comes_before_its_target_waits(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = moved(plant, now, place=3)
    assert record(correction(event, now, replace={"place": 7})) == ["waiting"]
    assert record(event) == ["recorded"]
    assert place(plant) == 7


def test_a_waiting_correction_about_something_else_still_finds_its_target(
    record: Callable[..., list[str]], plant: Plant, dome: Dome, now: datetime
) -> None:
    event = moved(plant, now, place=3)
    first = correction(event, now, (dome.key,), replace={"place": 7})
    assert record(correction(first, now, (dome.key,))) == ["waiting"]
    assert record(event, first) == ["recorded", "recorded"]
    assert place(plant) == 3


def test_a_correction_of_a_correction_reaches_the_plant_though_neither_is_about_it(
    record: Callable[..., list[str]], plant: Plant, dome: Dome, now: datetime
) -> None:
    event = moved(plant, now, place=3)
    first = correction(event, now, (dome.key,))
    record(event, first)
    assert place(plant) is None
    record(correction(first, now, (dome.key,)))
    assert place(plant) == 3


def test_of_a_waiting_correction_only_what_fits_its_target_is_used(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = moved(plant, now, place=3)
    record(correction(event, now, replace={"open_pct": 50, "place": 9}))
    record(event)
    assert place(plant) == 9


def test_a_waiting_correction_that_fits_nothing_does_not_undo(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = moved(plant, now, place=3)
    record(correction(event, now, replace={"open_pct": 50}))
    record(event)
    assert place(plant) == 3


def test_a_correction_that_does_not_fit_its_target_is_refused(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = moved(plant, now, place=3)
    record(event)
    with pytest.raises(Refused, match="no field is called 'open_pct'"):
        record(correction(event, now, replace={"open_pct": 50}))
    with pytest.raises(Refused, match="place is '0'"):
        record(correction(event, now, replace={"place": 0}))


def test_a_correction_to_a_noun_of_nobody_is_refused(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = moved(plant, now, place=3)
    record(event)
    with pytest.raises(UnknownSubject, match="holds no dome with the id"):
        record(correction(event, now, replace={"dome": str(uuid7())}))
    with pytest.raises(UnknownSubject, match="holds no pot with the id"):
        record(correction(uuid7(), now, (plant.key,), replace={"pot": str(uuid7())}))


def test_a_date_in_the_future_is_flagged_not_refused(plant: Plant, now: datetime) -> None:
    (answer,) = record_events([replace(moved(plant, now), happened_at=now + timedelta(days=3))], now=now)
    assert (answer.status, answer.flags) == ("recorded", ("the date 2026-02-17 lies in the future",))
    (answer,) = record_events([replace(moved(plant, now), happened_at=now + timedelta(minutes=9), id=uuid7())], now=now)
    assert answer.flags == ()


def test_a_date_in_the_future_is_told_by_the_nursery_s_calendar(plant: Plant, now: datetime) -> None:
    late = (now + timedelta(days=3)).replace(hour=23, minute=30)  # in Zurich the next day
    (answer,) = record_events([replace(moved(plant, now), happened_at=late)], now=now)
    assert answer.flags == ("the date 2026-02-18 lies in the future",)


def test_what_is_said_of_a_plant_may_come_before_its_graft(record: Callable[..., list[str]], cultivar: Cultivar, now: datetime) -> None:
    key = f"plant:{uuid7()}"
    record(moved(key, now, place=5))
    assert not Plant.objects.exists()
    record(NewEvent("grafted", now, (key,), {"cultivar": str(cultivar.pk)}))
    assert Plant.objects.get().place == 5


def test_one_bad_event_keeps_the_whole_batch_out(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    before = Event.objects.count(), EventSubject.objects.count()
    with pytest.raises(UnknownSubject, match="holds no dome"):
        record(moved(plant, now, place=3), moved(plant, now, dome=str(uuid7())))
    assert (Event.objects.count(), EventSubject.objects.count()) == before
    assert place(plant) is None


@pytest.mark.django_db(transaction=True)
def test_a_correction_refused_late_keeps_the_whole_batch_out(graft: Callable[..., Written], now: datetime) -> None:
    event = moved(graft().plants[0], now, place=3)
    before = Event.objects.count(), EventSubject.objects.count()
    with pytest.raises(Refused, match="place is '0'"):
        record_events([event, correction(event, now, replace={"place": 0})], now=now)
    assert (Event.objects.count(), EventSubject.objects.count()) == before


@pytest.mark.parametrize(
    ("subjects", "message"),
    [
        (("plant:12",), "'plant:12' is no subject"),
        (("shed:01900000-0000-7000-8000-000000000001",), "is no subject"),
        (("dome",), "'dome' is no subject"),
        ((), "about nothing"),
    ],
)
def test_a_subject_is_a_noun_and_its_id(record: Callable[..., list[str]], now: datetime, subjects: tuple[str, ...], message: str) -> None:
    with pytest.raises(Refused, match=message):
        record(NewEvent("untied", now, subjects))


def test_an_event_must_be_about_the_right_noun(record: Callable[..., list[str]], dome: Dome, now: datetime) -> None:
    with pytest.raises(Refused, match="must be about a plant"):
        record(NewEvent("untied", now, (dome.key,)))


def test_a_graft_is_about_one_plant(record: Callable[..., list[str]], cultivar: Cultivar, now: datetime) -> None:
    keys = (f"plant:{uuid7()}", f"plant:{uuid7()}")
    with pytest.raises(Refused, match="about several plants"):
        record(NewEvent("grafted", now, keys, {"cultivar": str(cultivar.pk)}))


def test_one_event_about_several_plants_changes_each(
    record: Callable[..., list[str]], graft: Callable[..., Written], dome: Dome, now: datetime
) -> None:
    plants = graft(3).plants
    record(NewEvent("moved", now, tuple(plant.key for plant in plants), {"dome": str(dome.pk)}))
    assert Plant.objects.filter(dome=dome).count() == 3


def test_a_key_has_one_spelling(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    record(moved(f"plant:{str(plant.pk).upper()}", now, place=3), moved(f"plant:{plant.pk.hex}", now, stands="bench"))
    assert Plant.objects.get().stands == "bench"
    assert set(EventSubject.objects.filter(event__kind="moved").values_list("subject_id", flat=True)) == {plant.key}


def test_too_long_a_record_is_refused(record: Callable[..., list[str]], dome: Dome, plant: Plant, now: datetime) -> None:
    with pytest.raises(Refused, match="the record is too long"):
        record(correction(uuid7(), now, (plant.key,), knew=[str(uuid7()) for _ in range(600)]))


def test_names_are_cleaned_and_cut(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    event = replace(moved(plant, now), who="I\x00na" + "x" * 90, device="pho\x00ne", clock_offset_s=float("nan"))
    record(event)
    row = Event.objects.get(pk=event.id)
    assert (row.who, row.device, row.clock_offset_s) == ("Ina" + "x" * 57, "phone", 0.0)


def test_an_id_that_is_none_is_refused(record: Callable[..., list[str]], plant: Plant, now: datetime) -> None:
    with pytest.raises(Refused, match="'7' is no id"):
        record(replace(moved(plant, now), id="7"))  # type: ignore[arg-type]


def test_more_events_than_fit_one_query_are_written(record: Callable[..., list[str]], cultivar: Cultivar, now: datetime) -> None:
    events = [NewEvent("grafted", now, (f"plant:{uuid7()}",), {"cultivar": str(cultivar.pk)}) for _ in range(1_100)]
    assert record(*events) == ["recorded"] * 1_100
    assert record(*events) == ["repeated"] * 1_100
    assert Plant.objects.count() == 1_100
