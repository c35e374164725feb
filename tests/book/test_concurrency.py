"""Several writers at the same moment about the same subjects: nothing is lost, columns equal a rebuild."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from datetime import datetime, timedelta

import pytest
from django.db import connection, transaction

from scionary.book.commands import GraftSetup, save_noun, undo, write_grafts
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, Nursery, Plant
from scionary.book.projection import columns, rebuild
from scionary.book.record import NewEvent, record_events

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow]
WRITERS, EACH = 6, 100


def together(*work: Callable[[], None]) -> None:
    """Run pieces of work in threads that start at the same moment; raise what any of them raised."""
    start = threading.Barrier(len(work))

    def run(piece: Callable[[], None]) -> None:
        try:
            start.wait()
            piece()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(work)) as pool:
        running = [pool.submit(run, piece) for piece in work]
    for piece in running:
        piece.result()


def assert_columns_equal_a_rebuild() -> None:
    before = columns()
    rebuild()
    assert columns() == before


def test_six_hundred_small_writes_about_five_plants_and_a_dome_are_all_kept(
    nursery: Nursery, cultivar: Cultivar, dome: Dome, now: datetime
) -> None:
    plants = write_grafts(GraftSetup(cultivar.pk, now), 5, now=now).plants

    def writer(number: int) -> Callable[[], None]:
        def work() -> None:
            for turn in range(EACH):
                moment = now + timedelta(minutes=turn * WRITERS + number)
                keys = (plants[(turn + number) % 5].key, plants[(turn * 3 + 1) % 5].key)
                payload = {"dome": str(dome.pk), "place": number * EACH + turn + 1}
                (answer,) = record_events([NewEvent("moved", moment, keys, payload, device=f"device {number}")], now=now)
                if turn % 10 == 9:
                    undo(answer.id, now=moment)

        return work

    together(*(writer(number) for number in range(WRITERS)))
    assert Event.objects.filter(kind="moved").count() == WRITERS * EACH
    assert Event.objects.filter(kind="corrected").count() == WRITERS * EACH // 10
    assert_columns_equal_a_rebuild()


def test_the_same_events_sent_by_two_at_once_are_recorded_once(cultivar: Cultivar, now: datetime) -> None:
    plant = write_grafts(GraftSetup(cultivar.pk, now), 1, now=now).plants[0]
    events = [NewEvent("moved", now, (plant.key,), {"place": place}) for place in range(1, 41)]
    statuses: list[str] = []

    def send() -> None:
        for event in events:
            statuses.extend(answer.status for answer in record_events([event], now=now))

    together(send, send, send)
    assert (statuses.count("recorded"), statuses.count("repeated")) == (40, 80)


def test_one_id_used_at_once_for_two_plants_keeps_one_and_puts_the_other_aside(cultivar: Cultivar, now: datetime) -> None:
    plants = write_grafts(GraftSetup(cultivar.pk, now), 2, now=now).plants
    idents = [uuid7() for _ in range(30)]
    statuses: list[str] = []

    def send(plant: Plant) -> Callable[[], None]:
        def work() -> None:
            for ident in idents:
                statuses.extend(answer.status for answer in record_events([NewEvent("untied", now, (plant.key,), {}, ident)], now=now))

        return work

    together(send(plants[0]), send(plants[1]))
    assert (statuses.count("recorded"), statuses.count("kept aside")) == (30, 30)
    assert_columns_equal_a_rebuild()


def test_a_correction_that_meets_its_target_on_the_way_is_never_overlooked(cultivar: Cultivar, dome: Dome, now: datetime) -> None:
    """The correction is about the dome only, so that nothing but the gate keeps the two transactions apart."""
    plant = write_grafts(GraftSetup(cultivar.pk, now), 1, now=now).plants[0]
    events = [NewEvent("moved", now + timedelta(minutes=place), (plant.key,), {"place": place}) for place in range(1, 61)]

    def send() -> None:
        for event in events:
            record_events([event], now=now)

    def take_back() -> None:
        for event in events:
            record_events([NewEvent("corrected", now, (dome.key,), {"target": str(event.id)})], now=now)

    together(send, take_back)
    assert Plant.objects.get(pk=plant.pk).place is None
    assert_columns_equal_a_rebuild()


def test_an_event_waits_for_the_correction_that_names_it(cultivar: Cultivar, dome: Dome, now: datetime) -> None:
    """The two are about different subjects; had the event not waited, neither writer would have seen the other's."""
    plant = write_grafts(GraftSetup(cultivar.pk, now), 1, now=now).plants[0]
    event = NewEvent("moved", now + timedelta(minutes=1), (plant.key,), {"place": 7})

    def send() -> None:
        try:
            record_events([event], now=now)
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:
        with transaction.atomic():
            (answer,) = record_events([NewEvent("corrected", now, (dome.key,), {"target": str(event.id)})], now=now)
            sending = pool.submit(send)
            assert not wait([sending], timeout=0.5).done
        sending.result()
    assert answer.status == "waiting"
    assert Plant.objects.get(pk=plant.pk).place is None
    assert_columns_equal_a_rebuild()


def test_rebuilding_while_others_write_loses_nothing(cultivar: Cultivar, now: datetime) -> None:
    def write() -> None:
        for _ in range(15):
            write_grafts(GraftSetup(cultivar.pk, now), 2, now=now)

    def build() -> None:
        for _ in range(8):
            rebuild()

    together(write, write, build)
    assert Plant.objects.count() == 60
    assert sorted(Plant.objects.values_list("running_number", flat=True)) == list(range(1, 61))
    assert_columns_equal_a_rebuild()


def test_edits_of_one_noun_at_once_are_each_written_down(dome: Dome, now: datetime) -> None:
    def edit(name: str) -> Callable[[], None]:
        def work() -> None:
            for turn in range(20):
                save_noun(Dome, {"note": f"{name} {turn}"}, now=now, pk=dome.pk)

        return work

    together(edit("one"), edit("two"))
    edits = Event.objects.filter(subjects__key=dome.key).order_by("id")
    assert edits.count() == 41
    after = [event.payload["after"]["note"] for event in edits]
    assert sorted(event.payload["before"]["note"] for event in edits[1:]) == sorted(set(after) - {Dome.objects.get().note})
