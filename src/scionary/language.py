"""Every text that a person reads passes through here, so that it can be read in another language.

The English text is the message.  `say` looks it up and fills its braces, `several` chooses by number, `mark` only notes a text that stands
outside a function, where nobody reads yet: `say` it where it is shown, or keep such texts in `Words`, which says them.  What is kept in the
book is written in English, whoever writes it (`in_english`): a record is the same in every language.  Nothing here knows where translations
are kept: whoever does sets them once by `speak_through`; until then all is English.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import reduce
from typing import Any, TypeVar

K = TypeVar("K")


def _as_written(text: str) -> str:
    return text


def _by_number(one: str, many: str, count: int) -> str:
    return one if count == 1 else many


_plainly: ContextVar[bool] = ContextVar("plainly", default=False)
_translate: Callable[[str], str] = _as_written
_translate_number: Callable[[str, str, int], str] = _by_number


def speak_through(translate: Callable[[str], str], translate_number: Callable[[str, str, int], str]) -> None:
    """Look texts up by these from now on: one by its English text, one by English singular, plural and number."""
    global _translate, _translate_number
    _translate, _translate_number = translate, translate_number


def say(text: str, /, **fields: Any) -> str:
    """The text in the reader's language, its `{braces}` filled; braces are filled only where fields are given.

    A translation whose braces are others than those of the English text is passed over.
    """
    found = _translate(text) if text and not _plainly.get() else text
    return _filled(found, text, fields) if fields else found


def _filled(found: str, text: str, fields: Mapping[str, Any]) -> str:
    try:
        return found.format(**fields)
    except (KeyError, IndexError, ValueError):
        return text.format(**fields)


def several(count: int, one: str, many: str, /, **fields: Any) -> str:
    """The text for this number in the reader's language; `{count}` and the other braces are filled."""
    translate = _by_number if _plainly.get() else _translate_number
    return _filled(translate(one, many, count), _by_number(one, many, count), {"count": count, **fields})


@contextmanager
def in_english() -> Iterator[None]:
    """Within this, texts come as they are written: for what is kept in the book, where every language must find the same."""
    token = _plainly.set(True)
    try:
        yield
    finally:
        _plainly.reset(token)


def speaks_english() -> bool:
    """Whether this stands within `in_english`."""
    return _plainly.get()


class Told(str):
    """A text as it is written in English that can be said again in a reader's language: for answers that are kept.

    Its fields may be such texts too, and each is said again with it.
    """

    message: str
    fields: Mapping[str, Any]

    def __new__(cls, message: str, /, **fields: Any) -> Told:
        """The text with its braces filled, as `say` fills them."""
        found = super().__new__(cls, message.format(**fields) if fields else message)
        found.message, found.fields = message, fields
        return found

    def __reduce__(self) -> tuple[Any, ...]:
        """Kept in files with its fields."""
        return _told_again, (self.message, dict(self.fields))


def _told_again(message: str, fields: Mapping[str, Any]) -> Told:
    return Told(message, **fields)


def said(text: str) -> str:
    """A text that was told, in the reader's language; any other as it is."""
    if not isinstance(text, Told):
        return text
    return say(text.message, **{name: said(value) if isinstance(value, str) else value for name, value in text.fields.items()})


def mark(text: str) -> str:
    """The text as it is, noted for translators."""
    return text


def forms(one: str, many: str) -> tuple[str, str]:
    """Singular and plural as they are, noted for translators: for `several`."""
    return one, many


class Words(Mapping[K, str]):
    """Marked texts by a key, each said when it is looked up."""

    def __init__(self, texts: Mapping[K, str]) -> None:
        self._texts = dict(texts)

    def __getitem__(self, key: K) -> str:
        return say(self._texts[key])

    def __iter__(self) -> Iterator[K]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)


def either(names: Iterable[str]) -> str:
    """Red Tarn or Ash Gill or Pale Intake; empty for none."""
    said = list(names)
    return reduce(lambda these, last: say("{these} or {last}", these=these, last=last), said) if said else ""


def both(names: Iterable[str]) -> str:
    """Red Tarn and Ash Gill and Pale Intake; empty for none."""
    said = list(names)
    return reduce(lambda these, last: say("{these} and {last}", these=these, last=last), said) if said else ""
