"""A command that met another writer is tried again; at last it says so in words."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

import pytest
from django.db import DatabaseError, IntegrityError, OperationalError, transaction

from scionary.book.patience import TRIES, patiently
from scionary.errors import Busy


class CutByTheServer(Exception):
    """What the driver of PostgreSQL raises: it carries the server's own code."""

    def __init__(self, sqlstate: str) -> None:
        self.sqlstate = sqlstate


def failing(times: int, cause: Exception, kind: type[DatabaseError] = OperationalError) -> tuple[Callable[[], int], list[int]]:
    """A command that fails so many times and then gives its number of tries; and the list of its tries."""
    tries: list[int] = []

    @patiently
    def command() -> int:
        tries.append(len(tries) + 1)
        if len(tries) <= times:
            raise kind("no") from cause
        return len(tries)

    return command, tries


def waited_too_long() -> Exception:
    error = sqlite3.OperationalError("database is locked")
    error.sqlite_errorcode = sqlite3.SQLITE_BUSY
    return error


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("state", ["40P01", "40001", "23505"])
def test_a_command_cut_short_by_another_writer_is_done_in_the_end(state: str) -> None:
    command, _ = failing(TRIES - 1, CutByTheServer(state))
    assert command() == TRIES


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(("cause", "count"), [(CutByTheServer("40P01"), TRIES), (waited_too_long(), 1)])
def test_patience_has_an_end_that_is_told_in_words(cause: Exception, count: int) -> None:
    command, tries = failing(99, cause)
    with pytest.raises(Busy, match="somebody else was writing at the same moment; nothing was written"):
        command()
    assert len(tries) == count


@pytest.mark.django_db(transaction=True)
def test_what_fails_for_another_reason_is_not_tried_again() -> None:
    command, tries = failing(1, CutByTheServer("23503"), IntegrityError)
    with pytest.raises(IntegrityError):
        command()
    assert len(tries) == 1


@pytest.mark.django_db(transaction=True)
def test_inside_a_larger_transaction_only_the_whole_is_tried_again() -> None:
    inner, tries = failing(1, CutByTheServer("40P01"))

    @patiently
    def outer() -> int:
        with transaction.atomic():
            return inner()

    assert outer() == 2
    assert len(tries) == 2
