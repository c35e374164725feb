"""Patience with other writers: a whole command is tried again when the database let somebody else go first."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import DatabaseError, connection

from scionary.errors import Busy
from scionary.language import say

TRIES = 5
# PostgreSQL's word that another writer came first: a deadlock was cut, two moments crossed, or the same id came twice.
_MET_ANOTHER = {"40P01", "40001", "23505"}

P = ParamSpec("P")
T = TypeVar("T")


def patiently(command: Callable[P, T]) -> Callable[P, T]:
    """A command that is tried again when it met another writer, and says `Busy` at last.

    Inside a larger transaction that is for its owner to do: what came before is gone with the part that failed.
    """

    @wraps(command)
    def tried(*args: P.args, **kwargs: P.kwargs) -> T:
        if connection.in_atomic_block:
            return command(*args, **kwargs)
        for left in reversed(range(TRIES)):
            try:
                return command(*args, **kwargs)
            except DatabaseError as error:
                if left and _state(error) in _MET_ANOTHER:
                    continue
                if met_another(error):
                    raise busy() from error
                raise
        raise AssertionError("the last try returns or raises")

    return tried


def met_another(error: DatabaseError) -> bool:
    """Whether this is the database's way to say that somebody else was writing."""
    cause = error.__cause__
    waited = isinstance(cause, sqlite3.OperationalError) and cause.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
    return waited or _state(error) in _MET_ANOTHER - {"23505"} | {"55P03"}


def busy() -> Busy:
    return Busy(say("somebody else was writing at the same moment; nothing was written."), remedy=say("Try again."))


def _state(error: DatabaseError) -> str:
    return str(getattr(error.__cause__, "sqlstate", ""))
