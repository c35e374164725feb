"""One tree of errors.

    ScionaryError                 anything that this program says "no" to
    ├── BadValue (ValueError)     an argument out of its range: name, value, what is allowed
    ├── Refused                   a record, form, command or file that cannot be taken: where and remedy
    │   ├── UnknownSubject        it names a plant, dome, lot ... that the book does not hold
    │   ├── BadFile               a file that cannot be read: file, line, column
    │   ├── BookNotEmpty          restoring or loading would overwrite a book
    │   └── Busy                  somebody else was writing; the same again may well be taken
    └── Stopped                   a long piece of work was stopped by the person

Every message says what was wrong, where, and what to do.
"""

from __future__ import annotations

from scionary.language import mark, say


class ScionaryError(Exception):
    """Anything that this program says "no" to, with a sentence a person can act on."""


class BadValue(ScionaryError, ValueError):
    """An argument lies outside what a function accepts.

    Parameters
    ----------
    name : str
        The argument's name as the caller knows it.
    value : object
        What was given.
    allowed : str
        The allowed range or kind, in words.
    index : int, tuple of int or None
        Where it stands, when the argument was a list or array; counted from 0.
    """

    def __init__(self, name: str, value: object, allowed: str, *, index: int | tuple[int, ...] | None = None) -> None:
        self.name, self.value, self.allowed, self.index = name, value, allowed, index
        if index is None:
            super().__init__(say("{name} is {value}; allowed: {allowed}", name=name, value=_shown(value), allowed=allowed))
        else:
            told = mark("{name} is {value} at index {index}; allowed: {allowed}")
            super().__init__(say(told, name=name, value=_shown(value), index=index, allowed=allowed))


class Refused(ScionaryError):
    """A record, form, command or file cannot be taken as it is; nothing was written.

    Parameters
    ----------
    message : str
        What is wrong.
    where : str
        The place: a field, or file, line and column.
    remedy : str
        What the person can do.
    """

    def __init__(self, message: str, *, where: str = "", remedy: str = "") -> None:
        self.message, self.where, self.remedy = message, where, remedy
        place = f"{say(where)}: " if where else ""
        todo = f" {remedy}" if remedy else ""
        super().__init__(f"{place}{message}{todo}")


class UnknownSubject(Refused):
    """It names something that the book does not hold (a code of nobody)."""


class BadFile(Refused):
    """A file cannot be read; `where` names file, line and column."""


class BookNotEmpty(Refused):
    """Restoring or loading here would overwrite a book that holds records."""


class Busy(Refused):
    """Somebody else was writing at the same moment; nothing is wrong with what was given."""


class Stopped(ScionaryError):
    """A long piece of work was stopped by the person; nothing half-done was kept."""


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 120 else f"{text[:117]}..."
