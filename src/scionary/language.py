"""Every text that a person reads passes through here, so that it can be read in another language.

The English text is the message.  `say` looks it up and fills its braces, `several` chooses by number, `mark` only notes a text that stands
outside a function, where nobody reads yet: `say` it where it is shown.  Nothing here knows where translations are kept: whoever does sets
them once by `speak_through`; until then all is English.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any


def _as_written(text: str) -> str:
    return text


def _by_number(one: str, many: str, count: int) -> str:
    return one if count == 1 else many


_translate: Callable[[str], str] = _as_written
_translate_number: Callable[[str, str, int], str] = _by_number


def speak_through(translate: Callable[[str], str], translate_number: Callable[[str, str, int], str]) -> None:
    """Look texts up by these from now on: one by its English text, one by English singular, plural and number."""
    global _translate, _translate_number
    _translate, _translate_number = translate, translate_number


def say(text: str, /, **fields: Any) -> str:
    """The text in the reader's language, its `{braces}` filled; braces are filled only where fields are given."""
    found = _translate(text) if text else ""
    return found.format(**fields) if fields else found


def several(count: int, one: str, many: str, /, **fields: Any) -> str:
    """The text for this number in the reader's language; `{count}` and the other braces are filled."""
    return _translate_number(one, many, count).format(count=count, **fields)


def mark(text: str) -> str:
    """The text as it is, noted for translators."""
    return text
