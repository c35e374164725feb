"""What was written about since this process last looked, so that what it holds of everything else still holds."""

from __future__ import annotations

from dataclasses import dataclass, field
from threading import Lock
from uuid import UUID

from django.db import connection

from scionary.book import queries
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
    """Keys of the things that events have been about since it was asked last; one for each thing that holds answers."""

    newest: int = 0
    stamp: object = None
    book: str = ""
    late: frozenset[int] = frozenset()
    lock: Lock = field(default_factory=Lock)

    def changed(self) -> frozenset[str] | None:
        """Keys of these things; None where anything may have changed: at first, after a correction, or when very much was written."""
        with self.lock:
            stamp, book = queries.stamp(), str(connection.settings_dict["NAME"])
            if stamp == self.stamp and book == self.book:
                return frozenset()
            known = book == self.book and self.newest <= stamp[0] <= self.newest + _TOO_MANY
            rows = list(
                EventSubject.objects.filter(id__gt=(self.newest if known else stamp[0]) - _OF_LATE, id__lte=stamp[0]).values_list(
                    "id", "subject_id", "event__kind"
                )
            )
            new = [(key, kind) for ident, key, kind in rows if ident not in self.late]
            self.newest, self.stamp, self.book = stamp[0], stamp, book
            self.late = frozenset(ident for ident, _, _ in rows if ident > stamp[0] - _OF_LATE)
            if not known or any(kind == "corrected" for _, kind in new):
                return None
            return frozenset(key for key, _ in new)
