"""Undoing what was written, once, however often it is asked for."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.db import transaction

from scionary.book.commands import undo
from scionary.book.locks import gate
from scionary.book.models import Event, EventSubject
from scionary.book.patience import patiently
from scionary.book.projection import records_of, with_corrections
from scionary.book.settle import void


@patiently
def undo_once(event_id: UUID, *, now: datetime, who: str = "", device: str = "") -> bool:
    """Undo an event, or an undoing, that still stands; False when that was done before."""
    with transaction.atomic():
        gate(alone=True)
        if event_id in undone_of(subjects_of(event_id)):
            return False
        undo(event_id, now=now, who=who, device=device)
        return True


@patiently
def undo_all(events: Iterable[UUID], *, now: datetime, who: str = "") -> None:
    """Undo several, all or none; what was undone before stays so."""
    with transaction.atomic():
        for ident in events:
            undo_once(ident, now=now, who=who)


def subjects_of(event_id: UUID) -> list[str]:
    """The plants and domes that an event is about."""
    keys = EventSubject.objects.filter(event_id=event_id).values_list("subject_id", flat=True)
    return [key for key in keys if key.split(":")[0] in ("plant", "dome")]


def undone_of(keys: Iterable[str]) -> set[UUID]:
    """Ids of all events about these subjects, corrections among them, that a standing correction undoes."""
    records = {record.id: record for listed in records_of(keys, beside=True).values() for record in listed}
    return void(records.values())


def undone_among(idents: Iterable[UUID]) -> set[UUID]:
    """Which of these events a standing correction undoes: for a few of all that a subject has."""
    asked = set(idents)
    return void(with_corrections(*asked)) & asked


def stands(event_id: UUID) -> bool:
    """Whether the book holds this event and it is not undone."""
    return Event.objects.filter(pk=event_id).exists() and event_id not in undone_of(subjects_of(event_id))
