"""What goes wrong outside this program, as a refusal that a person can act on: the disk, the database, odd bytes."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from scionary.errors import Refused, ScionaryError

_LONGEST = 200


def check_arguments(arguments: Sequence[str]) -> None:
    """Refuse bytes that are no text: they reach Python as lone surrogates, which no record and no terminal can hold."""
    for argument in arguments:
        if any(0xD800 <= ord(letter) <= 0xDFFF for letter in argument):
            shown = argument.encode(errors="backslashreplace").decode()
            raise Refused("it is not written in UTF-8.", where=shown, remedy="Type it again, or give the file another name.")


@contextmanager
def refusing_failures() -> Iterator[None]:
    """A failure of the disk or of the database becomes a refusal."""
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        place = str(error.filename or "")
        raise Refused(f"it cannot be used ({error.strerror or error}).", where=place, remedy="Check the place and try again.") from error
    except _database_errors() as error:
        from django.conf import settings

        where = "DATABASE_URL" if settings.DATABASES["default"]["ENGINE"].endswith("postgresql") else str(settings.BOOK_PATH)
        said = str(error).strip().splitlines() or [type(error).__name__]
        remedy = "Nothing is half-written. Check that it is a whole book, that it can be written, and that there is room on the disk."
        raise Refused(f"the book cannot be used ({said[0]}).", where=where, remedy=remedy) from error


def sentence_of(refusal: ScionaryError) -> str:
    """What a refusal says, in one line of bearable length that no terminal takes for a command."""
    words = [word if len(word) <= _LONGEST else f"{word[:_LONGEST]}…" for word in str(refusal).split()]
    return "".join(letter if letter.isprintable() else "�" for letter in " ".join(words))


def _database_errors() -> tuple[type[Exception], ...]:
    """Asked for only after something went wrong, so that starting stays quick."""
    if "django.db.utils" not in sys.modules:
        return ()
    from django.core.exceptions import ImproperlyConfigured
    from django.db.utils import DatabaseError

    return (DatabaseError, ImproperlyConfigured)
