"""What was written about since this process last looked, so that what it holds of everything else still holds."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import Lock
from uuid import UUID

from django.db import connection

from scionary.book import queries
from scionary.book.locks import chunks
from scionary.book.models import EventSubject

_OF_LATE = 1_000  # links that are looked at again: of two written at once, the lower number may be there later
_TOO_MANY = 10_000


_CHANGES_NOTHING = frozenset({"bench", "dome", "wish", "trial", "plan", "sensor", "photo", "printed", "tally"})  # for a plant's chance


def only_plants(changed: frozenset[str]) -> set[UUID] | None:
    """The plants among these things; None where a thing is among them that chances of other plants rest on too, such as a method."""
    nouns = {key.split(":")[0] for key in changed} - _CHANGES_NOTHING
    return None if nouns - {"plant"} else {UUID(key[6:]) for key in changed if key.startswith("plant:")}


@dataclass
class Since:
    """Keys of the things that events have been about since it was asked last; one for each thing that holds answers.

    A graft is about its method and lot too, and changes nothing about these: other things than plants and domes count when they are edited.
    """

    newest: int = 0
    stamp: object = None
    book: str = ""
    late: frozenset[int] = frozenset()
    lock: Lock = field(default_factory=Lock)

    @contextmanager
    def looking(self) -> Iterator[frozenset[str] | None]:
        """While these things are looked at again, as `changed` gives them; a look that fails leaves them to the next."""
        before = self.newest, self.stamp, self.book, self.late
        changed = self.changed()
        try:
            yield changed
        except BaseException:
            with self.lock:
                self.newest, self.stamp, self.book, self.late = before
            raise

    def changed(self) -> frozenset[str] | None:
        """Keys of these things; None where anything may have changed: at first, or when very much was written.

        Not to be asked within a transaction that may be taken back after it wrote something.
        """
        with self.lock:
            stamp, book = queries.stamp(), str(connection.settings_dict["NAME"])
            if stamp == self.stamp and book == self.book:
                return frozenset()
            known = book == self.book and self.newest <= stamp[0] <= self.newest + _TOO_MANY
            rows = list(
                EventSubject.objects.filter(id__gt=(self.newest if known else stamp[0]) - _OF_LATE, id__lte=stamp[0]).values_list(
                    "id", "subject_id", "event__kind", "event__target"
                )
            )
            new = [(key, kind, target) for ident, key, kind, target in rows if ident not in self.late]
            self.newest, self.stamp, self.book = stamp[0], stamp, book
            self.late = frozenset(ident for ident, *_ in rows if ident > stamp[0] - _OF_LATE)
            if not known:
                return None
            about = [(key, kind) for key, kind, _ in new] + _corrected({target for _, _, target in new if target})
            return frozenset(key for key, kind in about if kind == "edited" or key.split(":")[0] in ("plant", "dome"))


def _corrected(targets: set[UUID]) -> list[tuple[str, str]]:
    """(key, kind) of what corrections have put right, also through one another; undoing a row's edit changes no row."""
    found: list[tuple[str, str]] = []
    seen: set[UUID] = set()
    while targets - seen:
        listed = targets - seen
        seen |= listed
        links = [
            row
            for chunk in chunks(listed)
            for row in EventSubject.objects.filter(event_id__in=chunk).values_list("subject_id", "event__kind", "event__target")
        ]
        found += [(key, kind) for key, kind, _ in links if kind != "edited"]
        targets = {target for _, _, target in links if target}
    return found
