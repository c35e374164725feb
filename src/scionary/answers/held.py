"""What many answers read from the book, held in this process as it is until something is written; never facts.

Unlike `remembered`, what is held is handed out itself, not a copy: large things are not packed and unpacked on every page. Whoever gets it
only reads.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from django.db import connection

from scionary.answers.remembered import language

T = TypeVar("T")
_held: dict[str, tuple[Hashable, Any]] = {}


def held(what: str, content: Hashable, compute: Callable[[], T]) -> T:
    """What `compute` gives, kept until the same is asked of other content; only the last is kept."""
    key = (str(connection.settings_dict["NAME"]), language(), content)
    last = _held.get(what)
    if last is not None and last[0] == key:
        found: T = last[1]
        return found
    made = compute()
    _held[what] = (key, made)
    return made


def holds(what: str) -> bool:
    """Whether anything is held under this name, of whatever content."""
    return what in _held
