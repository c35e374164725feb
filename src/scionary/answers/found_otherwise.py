"""Finding plants by another name of their cultivar, and by the number they had before two names were joined."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from django.db.models import QuerySet

from scionary.answers.called import called
from scionary.answers.joins import numbered_once
from scionary.book import queries
from scionary.book.models import Plant

_LONGEST_NUMBER = 6


class _Spoken(Protocol):
    @property
    def spoken(self) -> str: ...


def parted(asked: str) -> tuple[str, str]:
    """The name and the number behind it, as they were typed."""
    name = asked.rstrip("0123456789 ") or asked
    return name, asked[len(name) :].strip()


def by_other_name(asked: str) -> QuerySet[Plant] | None:
    """Plants of a cultivar that was called by another name; None where no other name of the book was typed.

    A number means what it meant under that name: Red Tran 7 of old may be Red Tarn 12 since the two were joined.
    """
    whole, (name, number) = called(asked), parted(asked)
    if whole.words and whole.known:
        return queries.plants().filter(cultivar=whole.known.cultivar)
    found = called(name)
    if not (found.words and found.known and number.isascii() and number.isdigit() and len(number) <= _LONGEST_NUMBER):
        return None
    once = numbered_once(found.typed, int(number))
    if once:
        return queries.plants().filter(pk__in=once)
    return queries.plants().filter(cultivar=found.known.cultivar, running_number=int(number))


def kept_words(asked: str, plants: Sequence[_Spoken]) -> str:
    """Written as Red Tran, kept as Red Tarn; empty where no other name was typed."""
    if any(plant.spoken.casefold() == asked.casefold() for plant in plants):
        return ""
    name, number = parted(asked)
    return called(asked).words or (called(name).words if number else "")
