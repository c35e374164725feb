"""On a shared database one worker works for all machines."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest
from django.db import connection, connections

from scionary.answers.worker import _the_only_one

pytestmark = pytest.mark.django_db(transaction=True)


@contextmanager
def another_worker(book: Path) -> Iterator[threading.Event]:
    """A second worker of this book; the event is set when it works."""
    works, may_end = threading.Event(), threading.Event()

    def work() -> None:
        try:
            with _the_only_one(book):
                works.set()
                may_end.wait(timeout=10)
        finally:
            connections.close_all()

    thread = threading.Thread(target=work)
    thread.start()
    try:
        yield works
    finally:
        may_end.set()
        thread.join(timeout=10)


def test_a_second_machine_s_worker_waits_for_the_first(tmp_path: Path) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("about a database that machines share")
    with ExitStack() as stack:
        with _the_only_one(tmp_path / "here"):
            works = stack.enter_context(another_worker(tmp_path / "there"))
            assert not works.wait(timeout=0.5)
        assert works.wait(timeout=5)


def test_books_that_lie_in_one_folder_do_not_wait_for_each_other(tmp_path: Path) -> None:
    if connection.vendor == "postgresql":
        pytest.skip("about books that are files")
    with _the_only_one(tmp_path / "book.sqlite3"), another_worker(tmp_path / "trial.sqlite3") as works:
        assert works.wait(timeout=5)


def test_two_workers_of_one_book_wait_for_each_other(tmp_path: Path) -> None:
    with ExitStack() as stack:
        with _the_only_one(tmp_path / "book.sqlite3"):
            works = stack.enter_context(another_worker(tmp_path / "book.sqlite3"))
            assert not works.wait(timeout=0.5)
        assert works.wait(timeout=5)
