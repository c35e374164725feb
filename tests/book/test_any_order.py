"""Whatever the order in which events arrive, the book says the same; the short form runs always.

The long form: SCIONARY_HYPOTHESIS=long pytest tests/book/test_any_order.py
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from book.histories import DEVICES, NOW, PLANTS, event_id, histories
from scionary.book.commands import start_book, undo
from scionary.book.fold import fold_dome, fold_plant
from scionary.book.models import Cultivar, Dome, Event
from scionary.book.projection import columns, rebuild
from scionary.book.record import NewEvent, record_events
from scionary.book.settle import Record, settle, void
from scionary.errors import Refused

pytestmark = pytest.mark.slow
LONG = os.environ.get("SCIONARY_HYPOTHESIS") == "long"
PURE = settings(max_examples=20_000 if LONG else 500)
ON_BOOK = settings(max_examples=600 if LONG else 40)
MACHINE = settings(max_examples=150 if LONG else 12, stateful_step_count=40 if LONG else 20)
CULTIVARS = tuple(str(UUID(int=number)) for number in (0xC1, 0xC2))
DOMES = tuple(str(UUID(int=number)) for number in (0xD1, 0xD2))
LATER = NOW + timedelta(days=400)


def records(events: Sequence[NewEvent]) -> list[Record]:
    """Events as the fold sees them, without a book between."""
    targets = {event.id: UUID(event.payload["target"]) for event in events if event.kind == "corrected"}
    return [Record(event.id, event.kind, event.happened_at, event.payload, targets.get(event.id)) for event in events]


@PURE
@given(histories(CULTIVARS, DOMES), st.randoms(use_true_random=False))
def test_the_fold_is_a_function_of_the_set_of_events(events: list[NewEvent], random: Any) -> None:
    about = records(events)
    shuffled = random.sample([*about, *random.sample(about, len(about) // 2)], len(about) + len(about) // 2)
    assert settle(about) == settle(shuffled)
    assert void(about) == void(shuffled)
    assert fold_plant(PLANTS[0], about) == fold_plant(PLANTS[0], shuffled)
    assert fold_dome(UUID(DOMES[0]), about) == fold_dome(UUID(DOMES[0]), shuffled)


@PURE
@given(histories(CULTIVARS, DOMES, fitting=True), st.integers(0, 13))
def test_undoing_takes_back_and_undoing_the_undo_restores(events: list[NewEvent], number: int) -> None:
    about = records(events)
    chosen = about[number % len(about)]
    namers = [str(record.id) for record in about if record.target == chosen.id]
    if chosen.id in void(about) or _circular(chosen, about):
        return
    first = Record(event_id(1_000), "corrected", NOW, {"target": str(chosen.id), "knew": namers}, chosen.id)
    second = Record(event_id(1_001), "corrected", NOW, {"target": str(first.id)}, first.id)
    assert chosen.id in void([*about, first])
    assert settle([*about, first, second]) == settle(about)


def _circular(record: Record, about: Sequence[Record]) -> bool:
    by_id = {other.id: other for other in about}
    seen: set[UUID] = set()
    here: Record | None = record
    while here is not None and here.target and here.id not in seen:
        seen.add(here.id)
        here = by_id.get(here.target)
    return here is not None and here.id in seen


def _written_columns(events: Sequence[NewEvent], sizes: Sequence[int]) -> dict[str, list[dict[str, Any]]]:
    """Columns after events came in batches of such sizes; the book is as before afterwards."""
    with transaction.atomic():
        left, turn = list(events), 0
        while left:
            size = sizes[turn % len(sizes)]
            record_events(left[:size], now=LATER)
            left, turn = left[size:], turn + 1
        found = columns()
        rebuild()
        assert columns() == found
        transaction.set_rollback(True)
    return found


def _nouns() -> None:
    start_book(now=NOW)
    for ident, name in zip(CULTIVARS, ("Red Tarn", "Ash Gill"), strict=True):
        Cultivar.objects.get_or_create(pk=ident, defaults={"spoken": name})
    for ident, name in zip(DOMES, ("Dome 1", "Dome 2"), strict=True):
        Dome.objects.get_or_create(pk=ident, defaults={"name": name})


@pytest.mark.django_db
def test_the_book_is_the_same_whatever_the_order_of_arrival() -> None:
    """Corrections that a book refuses, because a field does not fit their target, are left out."""
    _nouns()

    @ON_BOOK
    @given(histories(CULTIVARS, DOMES), st.randoms(use_true_random=False), st.lists(st.integers(1, 6), min_size=1, max_size=4))
    def check(events: list[NewEvent], random: Any, sizes: list[int]) -> None:
        usable = _accepted(events)
        shuffled = random.sample([*usable, *random.sample(usable, len(usable) // 2)], len(usable) + len(usable) // 2)
        assert _written_columns(usable, [len(usable) or 1]) == _written_columns(shuffled, sizes)

    check()


def _accepted(events: Sequence[NewEvent]) -> list[NewEvent]:
    """Those that a book takes when all the others are there already."""
    usable = list(events)
    for event in events:
        rest = [other for other in usable if other is not event]
        try:
            with transaction.atomic():
                record_events(rest, now=LATER)
                record_events([event], now=LATER)
                transaction.set_rollback(True)
        except Refused:
            usable = rest
    return usable


class TwoDevices(RuleBasedStateMachine):
    """A phone and a laptop write while apart, meet the book in any order, repeat themselves, undo and correct."""

    def __init__(self) -> None:
        super().__init__()
        self.outer = transaction.atomic()
        self.outer.__enter__()
        self.queues: dict[str, list[NewEvent]] = {device: [] for device in DEVICES}
        self.sent: list[NewEvent] = []
        self.number = 0

    @initialize()
    def begin(self) -> None:
        _nouns()

    def _next(self, kind: str, subject: str, payload: dict[str, Any], device: str, days: int) -> None:
        event = NewEvent(kind, NOW + timedelta(days=days), (subject,), payload, event_id(self.number), device=device)
        self.number += 1
        self.queues[device].append(event)

    @rule(data=st.data(), device=st.sampled_from(DEVICES))
    def write(self, data: st.DataObject, device: str) -> None:
        for event in data.draw(histories(CULTIVARS, DOMES, longest=3, fitting=True)):
            if event.kind != "corrected":
                days = (event.happened_at - NOW).days
                self._next(event.kind, event.subjects[0], event.payload, device, days)

    @rule(device=st.sampled_from(DEVICES), back=st.integers(1, 8), days=st.integers(0, 6))
    def undo_something(self, device: str, back: int, days: int) -> None:
        target = event_id(max(0, self.number - back))
        self._next("corrected", f"plant:{PLANTS[0]}", {"target": str(target)}, device, days)

    @rule(device=st.sampled_from(DEVICES), count=st.integers(1, 5), newest_first=st.booleans())
    def send(self, device: str, count: int, newest_first: bool) -> None:
        queue = self.queues[device]
        chosen = list(reversed(queue[-count:])) if newest_first else queue[:count]
        self.queues[device] = [event for event in queue if event not in chosen]
        answers = record_events(chosen, now=LATER) if chosen else []
        assert {answer.status for answer in answers} <= {"recorded", "waiting"}
        self.sent += chosen

    @rule(count=st.integers(1, 5))
    def send_again(self, count: int) -> None:
        answers = record_events(self.sent[-count:], now=LATER) if self.sent else []
        assert all(answer.status == "repeated" for answer in answers)

    @rule(back=st.integers(1, 5))
    def undo_and_restore_on_the_laptop(self, back: int) -> None:
        plain = [event for event in self.sent if event.kind != "corrected"]
        if not plain:
            return
        before = columns()
        answer = undo(plain[-min(back, len(plain))].id, now=LATER)
        if answer.status == "recorded":
            undo(answer.id, now=LATER)
        assert columns() == before

    @invariant()
    def nothing_is_lost(self) -> None:
        assert set(Event.objects.filter(id__in=[event.id for event in self.sent]).values_list("id", flat=True)) == {e.id for e in self.sent}

    @invariant()
    def columns_equal_a_rebuild(self) -> None:
        before = columns()
        rebuild()
        assert columns() == before

    def teardown(self) -> None:
        everything = columns()
        stored = list(Event.objects.exclude(kind="edited").prefetch_related("subjects"))
        transaction.set_rollback(True)
        self.outer.__exit__(None, None, None)
        with transaction.atomic():
            _nouns()
            again = [
                NewEvent(e.kind, e.happened_at, tuple(s.key for s in e.subjects.all()), e.payload, e.id, device=e.device)
                for e in reversed(stored)
            ]
            record_events(again, now=LATER)
            assert columns() == everything
            transaction.set_rollback(True)


@pytest.mark.django_db
def test_two_devices_apart_and_together_make_one_book() -> None:
    run_state_machine_as_test(TwoDevices, settings=MACHINE)
