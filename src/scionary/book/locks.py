"""Locks: who may write what at the same time.

SQLite lets one writer in at a time, so these cost nothing there. On PostgreSQL many write at once: each passes the
gate, which keeps apart what rows cannot keep apart, then takes the lock on numbers where it needs one, then locks the
rows of its subjects in the order of their keys. Every command keeps to this order; the gate is first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import islice
from typing import Any

from django.db import connection, transaction

from scionary.book.models import Subject

AT_ONCE = 400  # values in one query: keeps below SQLite's limit on parameters
_GATE = 7_205_331


def gate(*, alone: bool) -> None:
    """Pass the gate until the transaction ends: writers pass together, a correction, a rebuild or a restore alone.

    A correction may name an event that arrives at the same moment and is about other subjects; without the gate
    neither transaction would see the other's row.
    """
    if connection.vendor == "postgresql":
        name = "pg_advisory_xact_lock" if alone else "pg_advisory_xact_lock_shared"
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT {name}(%s)", [_GATE])


def lock(keys: Sequence[str]) -> None:
    """Make sure that the subjects have a row, and lock these rows in the order of their keys."""
    for chunk in chunks(keys):
        Subject.objects.bulk_create([Subject(key=key) for key in chunk], ignore_conflicts=True)
    for chunk in chunks(keys):
        list(Subject.objects.select_for_update().filter(key__in=chunk).order_by("key").values_list("key", flat=True))


def chunks(values: Iterable[Any]) -> Iterator[list[Any]]:
    """The values sorted, some hundred at a time."""
    source = iter(sorted(values))
    while chunk := list(islice(source, AT_ONCE)):
        yield chunk


def lock_numbers() -> None:
    """Pass the gate, then let one at a time give numbers to plants and places."""
    gate(alone=False)
    lock(["codes:all"])


@contextmanager
def one_moment() -> Iterator[None]:
    """A transaction that reads the book as it is at one moment, while others go on writing."""
    outermost = not connection.in_atomic_block
    with _reading(), transaction.atomic():
        if outermost and connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        yield


@contextmanager
def _reading() -> Iterator[None]:
    """On SQLite a transaction of this program asks for the right to write at once; a reader must not."""
    here: Any = connection
    if here.vendor != "sqlite":
        yield
        return
    here.ensure_connection()
    usual, here.transaction_mode = here.transaction_mode, "DEFERRED"
    try:
        yield
    finally:
        here.transaction_mode = usual
