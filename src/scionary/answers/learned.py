"""Answers over the whole record, which in a large book are worked out beside the pages; a page shows them as they were worked out last."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar

from scionary.answers import kept as files
from scionary.answers.held import held
from scionary.answers.kept import kept, last_kept
from scionary.answers.take_model import is_large, may_wait
from scionary.book import queries

T = TypeVar("T")


def learned(what: str, version: int, compute: Callable[[], T]) -> T:
    """What `compute` gives; where a page cannot wait for that, what `learn` kept last, if anything."""
    last: tuple[T] | None = last_learned(what, version)
    return compute() if last is None else last[0]


def last_learned(what: str, version: int) -> tuple[T] | None:
    """What a page that cannot wait shows, in a tuple; None where it can wait, or nothing was learned yet."""
    if may_wait() or not is_large():
        return None
    last = last_kept(what, version, _subject())
    return None if last is None else (last[0],)


def at_hand(what: str, content: Hashable, compute: Callable[[], T]) -> T:
    """What `compute` gives; in a large book, where a page cannot wait, as it was found last while nothing was written or learned since."""
    if may_wait() or not is_large():
        return compute()
    return held(what, (content, queries.whole_stamp(), files.newest()), compute)


def learn(what: str, version: int, compute: Callable[[], object]) -> None:
    """Work it out as the book stands, and keep it for the pages."""
    stamp = repr(queries.stamp())
    kept(what, version, _subject(), stamp, compute, stamp=stamp)


def _subject() -> str:
    """Whose answer it is: books may stand in one folder."""
    return str(queries.nursery().pk)
