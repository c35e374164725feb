"""Which cultivar is meant by a name that somebody typed: the one place that every page, file and command asks.

First the cultivar's own name, then another name that it goes by; a name that is only nearly one is offered, never taken unasked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scionary.answers.spelling import did_you_mean
from scionary.answers.words import listed
from scionary.book.called import Known, NamesOfBook, known_as, names_of_book, tidied
from scionary.book.models import Cultivar
from scionary.language import say


@dataclass(frozen=True)
class Called:
    """What was typed, the cultivar that has this name, and, where none has, the names that were perhaps meant."""

    typed: str
    known: Known | None
    near: tuple[str, ...] = ()

    @property
    def kept(self) -> str:
        """The name it is kept under; what was typed where the book does not know it."""
        return self.known.kept if self.known else self.typed

    @property
    def words(self) -> str:
        """Written as Red Tran, kept as Red Tarn; empty where it was called by its own name."""
        return kept_as_words(self.typed, self.known.kept) if self.known and self.known.by_other_name else ""

    @property
    def cultivar(self) -> Cultivar | None:
        return Cultivar.objects.get(pk=self.known.cultivar) if self.known else None


def called(typed: str) -> Called:
    """The cultivar that a person means by a name, or the names that are nearly it."""
    name = tidied(typed)
    known = known_as(name) or known_as(typed)  # as it was typed: one kept with its quotes in an older book
    return Called(name, known) if known else Called(name, None, near_names(name, names_of_book()))


def near_names(name: str, names: NamesOfBook) -> tuple[str, ...]:
    """Cultivars of which some name is nearly this one, by the name they are kept under."""
    kept = names.in_use
    return tuple(dict.fromkeys(kept[near] for near in did_you_mean(name, kept)))


def kept_as_words(written: str, kept: str) -> str:
    """What is said where a name was taken for another: never silently."""
    return say("Written as {written}, kept as {kept}", written=written, kept=kept)


def all_kept_as_words(written: Iterable[str], names: NamesOfBook) -> list[str]:
    """One sentence on all names that are other names of the book; none where each is a cultivar's own."""
    said = [kept_as_words(name, found.kept) for name in dict.fromkeys(written) if (found := names.known(name)) and found.by_other_name]
    return [say("{said}: another name of the same cultivar.", said=listed(said, most=6))] if said else []
