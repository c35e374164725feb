"""Reading one moment of the book while others write, and one order of locks for all."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from pathlib import Path

import pytest
from django.db import connection

from scionary.book.backup import backup, restore
from scionary.book.commands import GraftSetup, Written, correct, undo, write_event, write_grafts
from scionary.book.export import export
from scionary.book.locks import one_moment
from scionary.book.models import Cultivar, Dome, Event, Graft, Plant

pytestmark = pytest.mark.django_db(transaction=True)


def elsewhere(work: Callable[[], object]) -> None:
    """Do something over another connection, in at most five seconds."""

    def run() -> None:
        try:
            work()
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:
        pool.submit(run).result(timeout=5)


def test_a_dome_is_watered_while_the_book_is_read_at_one_moment(dome: Dome, now: datetime) -> None:
    with one_moment():
        before = Event.objects.count()
        elsewhere(lambda: write_event("watered", dome.key, happened_at=now, now=now))
        assert Event.objects.count() == before
    assert Event.objects.count() == before + 1


@pytest.mark.parametrize("take_home", [export, backup])
def test_a_dome_is_watered_while_the_book_is_taken_home(
    take_home: Callable[..., object], dome: Dome, graft: Callable[..., Written], now: datetime, tmp_path: Path
) -> None:
    """The reading is held up in the middle, at its first question for wishes, until the dome is watered."""
    graft(30)
    reached, go_on = threading.Event(), threading.Event()

    def wait(execute: Callable[..., object], sql: str, *rest: object) -> object:
        if "book_wish" in sql:
            reached.set()
            assert go_on.wait(timeout=10)
        return execute(sql, *rest)

    def read() -> None:
        try:
            with connection.execute_wrapper(wait):
                take_home(tmp_path / "book.zip", now=now)
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:
        reading = pool.submit(read)
        assert reached.wait(timeout=10)
        try:
            elsewhere(lambda: write_event("watered", dome.key, happened_at=now, now=now))
        finally:
            go_on.set()
        reading.result(timeout=30)
    assert Event.objects.filter(kind="watered").exists()


def test_grafting_during_restores_is_put_off_not_broken(cultivar: Cultivar, now: datetime, tmp_path: Path) -> None:
    """With locks in two orders PostgreSQL ends one of the two by force."""
    backup(tmp_path / "book.zip", now=now)
    start = threading.Barrier(2)

    def graft() -> None:
        try:
            start.wait()
            for _ in range(12):
                write_grafts(GraftSetup(cultivar.pk, now), 2, now=now)
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:
        grafting = pool.submit(graft)
        start.wait()
        for _ in range(6):
            restore(tmp_path / "book.zip", replace=True, now=now)
        grafting.result(timeout=60)
    numbers = list(Plant.objects.values_list("code_number", flat=True))
    assert len(numbers) == len(set(numbers)) <= 24


def test_two_who_undo_the_same_at_once_undo_it_once(graft: Callable[..., Written], now: datetime) -> None:
    """Each reads what is known of the event only when the other is through."""
    (event,) = graft().events
    start = threading.Barrier(4)
    statuses: list[str] = []

    def take_back() -> None:
        try:
            start.wait()
            statuses.append(undo(event, now=now).status)
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        for done in [pool.submit(take_back) for _ in range(4)]:
            done.result(timeout=30)
    assert sorted(statuses) == ["recorded", "repeated", "repeated", "repeated"]


def test_two_who_correct_the_same_at_once_do_not_dispute_it(graft: Callable[..., Written], now: datetime) -> None:
    """The second knew the first correction, so the field is not disputed."""
    written = graft(1)
    start = threading.Barrier(4)

    def change(size: float) -> Callable[[], None]:
        def work() -> None:
            try:
                start.wait()
                correct(written.events[0], {"scion_mm": size}, now=now)
            finally:
                connection.close()

        return work

    with ThreadPoolExecutor(4) as pool:
        for done in [pool.submit(change(4.0 + number)) for number in range(4)]:
            done.result(timeout=30)
    assert Event.objects.filter(kind="corrected").count() == 4
    assert Plant.objects.get().disputed == Graft.objects.get().disputed == []
