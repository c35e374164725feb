"""Writing into the book: each command is one transaction."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace as changed
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from scionary.book.commands import (
    GraftSetup,
    Written,
    correct,
    correct_many,
    cultivar_called,
    free_places,
    noon,
    save_noun,
    start_book,
    undo,
    write_grafts,
    write_many,
)
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, Graft, Method, Nursery, Plant, PotKind, RootstockLot, Tally
from scionary.book.record import Answer, NewEvent, record_events
from scionary.errors import Refused, UnknownSubject

Write = Callable[..., Answer]


def state(plant: Plant) -> str:
    return Plant.objects.get(pk=plant.pk).state


def place(plant: Plant) -> int | None:
    return Plant.objects.get(pk=plant.pk).place


def test_a_new_book_has_a_nursery_pots_and_methods(nursery: Nursery) -> None:
    assert nursery.name == "Tarn Bridge"
    assert (PotKind.objects.count(), Method.objects.count()) == (2, 2)


def test_starting_again_leaves_the_book_alone(nursery: Nursery, now: datetime) -> None:
    assert start_book(now=now, name="Another") == nursery
    assert (Nursery.objects.get().name, PotKind.objects.count()) == ("Tarn Bridge", 2)


def test_a_new_noun_is_written_with_its_edit(dome: Dome, now: datetime) -> None:
    event = Event.objects.get(subjects__key=dome.key)
    assert (event.kind, event.happened_at, event.payload["before"]) == ("edited", now, None)
    assert event.payload["after"]["name"] == "Dome 1"


def test_an_edit_keeps_what_was_before_and_after(dome: Dome, now: datetime) -> None:
    save_noun(Dome, {"stands": "south wall"}, now=now + timedelta(days=1), pk=dome.pk, who="Ina")
    event = Event.objects.filter(subjects__key=dome.key).latest("happened_at")
    assert (event.payload["before"]["stands"], event.payload["after"]["stands"], event.who) == ("north window", "south wall", "Ina")


def test_an_edit_that_changes_nothing_writes_no_event(dome: Dome, now: datetime) -> None:
    save_noun(Dome, {"stands": "north window"}, now=now, pk=dome.pk)
    assert Event.objects.filter(subjects__key=dome.key).count() == 1


@pytest.mark.parametrize(
    ("model", "values", "message"),
    [
        (Dome, {"name": "Dome 1"}, "dome, name: Dome with this Name already exists"),
        (Dome, {"name": ""}, "dome, name: This field cannot be blank"),
        (Dome, {"name": "Dome 9", "length_mm": 3.0}, "dome, length mm: .*greater than or equal to 50"),
        (Cultivar, {"spoken": "Lanthorn", "later_survival": 3.0}, "cultivar, later survival: .*less than or equal to 1"),
        (Cultivar, {"spoken": "Lanthorn", "later_survival": -0.1}, "cultivar, later survival: .*greater than or equal to 0"),
        (Dome, {"name": "Dome 9", "length_mm": float("nan")}, "dome, length_mm: nan is no number"),
        (Nursery, {"time_zone": "Tarn/Bridge"}, "nursery, time zone: 'Tarn/Bridge' is no time zone"),
        (RootstockLot, {"name": "24-C", "diameter_mm": 900.0}, "lot, diameter mm"),
    ],
)
def test_a_refused_noun_keeps_nothing(dome: Dome, now: datetime, model: type, values: dict[str, object], message: str) -> None:
    before = model.objects.count(), Event.objects.count()  # type: ignore[attr-defined]
    with pytest.raises(Refused, match=message):
        save_noun(model, values, now=now)
    assert (model.objects.count(), Event.objects.count()) == before  # type: ignore[attr-defined]


def test_more_takes_than_grafts_are_refused(cultivar: Cultivar, now: datetime) -> None:
    with pytest.raises(Refused, match="9 takes of 8 grafts"):
        save_noun(Tally, {"cultivar": cultivar, "grafts": 8, "takes": 9}, now=now)


def test_a_noun_of_nobody_cannot_be_edited(nursery: Nursery, now: datetime) -> None:
    with pytest.raises(UnknownSubject, match="no dome with this id"):
        save_noun(Dome, {"name": "Dome 2"}, now=now, pk=uuid4())


def test_a_cultivar_is_found_by_its_name_in_any_case(cultivar: Cultivar, now: datetime) -> None:
    assert cultivar_called("  red   TARN ", now=now) == cultivar
    assert cultivar_called("Ash Gill", now=now).spoken == "Ash Gill"


def test_a_batch_of_grafts_is_numbered_and_placed(graft: Callable[..., Written], dome: Dome, lot: RootstockLot, method: Method) -> None:
    written = graft(3, dome=dome.pk, lot=lot.pk, method=method.pk, grafter="Ina")
    assert [(p.code_number, p.running_number, p.place) for p in written.plants] == [(0, 1, 1), (1, 2, 2), (2, 3, 3)]
    assert [p.spoken for p in written.plants] == ["Red Tarn 1", "Red Tarn 2", "Red Tarn 3"]
    assert Graft.objects.filter(dome=dome, lot=lot, method=method, grafter="Ina").count() == 3
    assert set(written.events) == set(Graft.objects.values_list("id", flat=True))


def test_the_next_batch_counts_on_and_takes_free_places(graft: Callable[..., Written], dome: Dome, write: Write) -> None:
    first = graft(3, dome=dome.pk)
    write("moved", first.plants[1], stands="bench")
    second = graft(2, dome=dome.pk, device="phone")
    assert [(p.running_number, p.place) for p in second.plants] == [(4, 2), (5, 4)]
    assert min(p.code_number or 0 for p in second.plants) >= 200
    assert free_places(dome.pk, 2) == [5, 6]
    assert free_places(None, 2) == []


def test_places_can_be_given(graft: Callable[..., Written], dome: Dome) -> None:
    assert [p.place for p in graft(2, dome=dome.pk, places=(8, 6)).plants] == [8, 6]


@pytest.mark.parametrize("count", [0, -1, 501])
def test_a_batch_has_its_limits(graft: Callable[..., Written], count: int) -> None:
    with pytest.raises(Refused, match=f"{count} grafts at once. Give a number from 1 to 500"):
        graft(count)


def test_a_refused_batch_uses_no_number(graft: Callable[..., Written], cultivar: Cultivar, now: datetime) -> None:
    with pytest.raises(UnknownSubject, match="no lot"):
        write_grafts(GraftSetup(cultivar.pk, now, lot=uuid4()), 2, now=now)
    assert graft().plants[0].code_number == 0


def test_a_graft_dated_ahead_is_flagged(cultivar: Cultivar, now: datetime) -> None:
    written = write_grafts(GraftSetup(cultivar.pk, now + timedelta(days=40)), 2, now=now)
    assert written.flags == ["the date 2026-03-26 lies in the future"]


def test_an_event_about_a_plant_of_nobody_is_refused(write: Write) -> None:
    with pytest.raises(UnknownSubject, match="no such plant"):
        write("untied", f"plant:{uuid7()}")


def test_several_events_are_written_all_or_none(graft: Callable[..., Written], now: datetime) -> None:
    one, other = graft(2).plants
    with pytest.raises(Refused, match="sign is 'blue'"):
        write_many([("untied", one.key, {}), ("scored", other.key, {"sign": "blue", "answer": "yes"})], happened_at=now, now=now)
    assert not Event.objects.filter(kind="untied").exists()


def test_undo_takes_back_and_undoing_the_undo_restores(plant: Plant, write: Write, now: datetime) -> None:
    loss = write("lost", plant, days=1, cause="mould")
    undone = undo(loss.id, now=now)
    assert state(plant) == "waiting"
    undo(undone.id, now=now)
    assert state(plant) == "dead"


def test_undoing_twice_is_undoing_once(plant: Plant, write: Write, now: datetime) -> None:
    loss = write("lost", plant, days=1)
    undone = undo(loss.id, now=now)
    assert undo(loss.id, now=now + timedelta(days=9)) == Answer(undone.id, "repeated")
    undo(undone.id, now=now)
    assert state(plant) == "dead"


def test_undo_of_a_corrected_event_takes_it_back_and_can_be_undone(plant: Plant, write: Write, now: datetime) -> None:
    move = write("moved", plant, days=1, place=1)
    correct(move.id, {"place": 5}, now=now)
    undone = undo(move.id, now=now)
    assert (place(plant), Plant.objects.get().disputed) == (None, [])
    undo(undone.id, now=now)
    assert place(plant) == 5


def test_correcting_twice_holds_the_second_and_both_fields(plant: Plant, write: Write, now: datetime) -> None:
    move = write("moved", plant, days=1, place=1)
    correct(move.id, {"place": 5, "stands": "bench"}, now=now)
    second = correct(move.id, {"place": 6}, now=now)
    found = Plant.objects.get()
    assert (found.place, found.stands, found.disputed) == (6, "bench", [])
    undo(second.id, now=now)
    assert place(plant) == 5


def test_corrections_from_two_devices_that_did_not_meet_are_disputed(plant: Plant, write: Write, now: datetime) -> None:
    move = write("moved", plant, days=1, place=1)
    for device, number in (("phone", 5), ("tablet", 6)):
        payload = {"target": str(move.id), "replace": {"place": number}}
        record_events([NewEvent("corrected", now, (plant.key,), payload, device=device)], now=now)
    assert Plant.objects.get().disputed == ["dome", "place", "stands"]
    correct(move.id, {"place": 5}, now=now)
    assert (place(plant), Plant.objects.get().disputed) == (5, [])


def test_an_undone_batch_leaves_no_plant_and_no_free_number(graft: Callable[..., Written], now: datetime) -> None:
    written = graft(2)
    for ident in written.events:
        undo(ident, now=now)
    assert not Plant.objects.exists()
    assert [p.code_number for p in graft(1).plants] == [2]


def test_only_what_the_book_holds_can_be_corrected(nursery: Nursery, now: datetime) -> None:
    edit = Event.objects.filter(kind="edited")[0]
    for ident in (uuid7(), edit.id):
        with pytest.raises(UnknownSubject, match="no such record"):
            undo(ident, now=now)


def test_noon_is_the_nurserys_own(nursery: Nursery) -> None:
    assert noon(date(2026, 7, 1), nursery).astimezone(UTC) == datetime(2026, 7, 1, 10, tzinfo=UTC)


def test_a_setup_writes_only_what_was_set(now: datetime) -> None:
    setup = GraftSetup(UUID(int=1), now)
    assert setup.payload() == {"cultivar": str(UUID(int=1)), "precision": "day"}
    assert changed(setup, scion_mm=5.0, note="in frost").payload()["scion_mm"] == 5.0


def test_several_records_are_corrected_all_or_none(graft: Callable[..., Written], now: datetime) -> None:
    first, second = graft(2).events
    answers = correct_many([(first, {"grafter": "Ina"}), (second, None)], now=now)
    assert [answer.status for answer in answers] == ["recorded", "recorded"]
    assert [each.grafter for each in Graft.objects.all()] == ["Ina"]
    with pytest.raises(UnknownSubject, match="holds no such record"):
        correct_many([(first, {"grafter": "Ash"}), (uuid7(), None)], now=now)
    assert Graft.objects.get().grafter == "Ina"
