"""What one page asks of the book, looked up once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, TypeVar

T = TypeVar("T")
_page: ContextVar[dict[str, Any] | None] = ContextVar("page", default=None)


@contextmanager
def one_page() -> Iterator[None]:
    """While a page is read that writes nothing, what is asked `once` is looked up once: what is written meanwhile is for the next page."""
    token = _page.set({})
    try:
        yield
    finally:
        _page.reset(token)


def once(what: str, find: Callable[[], T]) -> T:
    """What `find` gives: within one page the same to all who ask for it by this name, outside of a page looked up each time."""
    known = _page.get()
    if known is None:
        return find()
    if what not in known:
        known[what] = find()
    found: T = known[what]
    return found
