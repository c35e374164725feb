"""Which mother trees, bags and stock lots stand in quarantine, or have a name in doubt: from what is written of them."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from scionary.book.locks import chunks
from scionary.book.models import Event, EventSubject
from scionary.book.projection import with_corrections
from scionary.book.settle import Record, settle

QUARANTINE, DOUBT = ("quarantined", "released"), ("name_doubted", "name_doubt_ended")


def open_marks(keys: Iterable[str]) -> tuple[dict[str, Record], dict[str, Record]]:
    """Those of these subjects that stand in quarantine, and those whose name is in doubt, with the record that began it."""
    about = _events_about(list(keys))
    records = {record.id: record for ident in about for record in with_corrections(ident)}
    quarantined: dict[str, Record] = {}
    doubted: dict[str, Record] = {}
    for record in settle(records.values()):
        found = quarantined if record.kind in QUARANTINE else doubted
        for key in about.get(record.id, ()):
            found.pop(key, None)
            if record.kind in (QUARANTINE[0], DOUBT[0]):
                found[key] = record
    return quarantined, doubted


def _events_about(keys: list[str]) -> dict[UUID, list[str]]:
    """The subjects of each such event; by kind first, since a tree may be the subject of a hundred thousand grafts."""
    idents = Event.objects.filter(kind__in=(*QUARANTINE, *DOUBT)).values_list("id", flat=True)
    found: dict[UUID, list[str]] = {}
    for chunk in chunks(idents) if keys else ():
        for ident, key in EventSubject.objects.filter(event_id__in=chunk, subject_id__in=keys).values_list("event_id", "subject_id"):
            found.setdefault(ident, []).append(key)
    return found
