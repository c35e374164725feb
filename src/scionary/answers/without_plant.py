"""Records of plants that the book does not hold, because the graft was undone before they came or has not arrived: kept, and found here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists, OuterRef, UUIDField, Value
from django.db.models.functions import Cast, Replace, Substr

from scionary.answers.held import held
from scionary.book import queries
from scionary.book.locks import chunks
from scionary.book.models import Cultivar, Event, EventSubject, Plant, Subject
from scionary.book.projection import records_of
from scionary.book.settle import Record, settle, void

_GRAFTING = ("grafted", "regrafted")


@dataclass(frozen=True)
class WithoutPlant:
    """A record that counts once its plant is there; `spoken` is what an undone graft was called, `undone_by` are the undos to undo."""

    event: Event
    spoken: str = ""
    undone_by: tuple[UUID, ...] = ()


def count_without_plant() -> int:
    """How many there are; counted anew when something was written."""
    return len(_found())


def without_plant(most: int) -> list[WithoutPlant]:
    """So many of them at most, those that came last first."""
    return _found()[:most]


def _found() -> list[WithoutPlant]:
    return held("without_plant", queries.stamp(), _look)


def _look() -> list[WithoutPlant]:
    """All of them; what was known before its graft was undone went with it, and is none of them."""
    records = records_of(_told_of(_missing()), beside=True)
    idents = {record.id for about in records.values() for record in about}
    events = {ident: event for chunk in chunks(idents) for ident, event in Event.objects.in_bulk(chunk).items()}
    found = [each for about in records.values() for each in _of_plant(about, events)]
    return sorted(found, key=lambda each: (each.event.recorded_at, each.event.pk), reverse=True)


def _missing() -> list[str]:
    """The plants that were told of and are not there."""
    bare = Replace(Substr(OuterRef("key"), 7), Value("-"), Value(""))
    there = Plant.objects.filter(pk=Cast(bare, UUIDField()))
    return list(Subject.objects.filter(key__startswith="plant:").exclude(Exists(there)).values_list("key", flat=True))


def _told_of(keys: Iterable[str]) -> list[str]:
    """Those of these plants of which more than a graft was told."""
    found: set[str] = set()
    for chunk in chunks(keys):
        links = EventSubject.objects.filter(subject_id__in=chunk).exclude(event__kind__in=(*_GRAFTING, "corrected", "edited"))
        found.update(links.values_list("subject_id", flat=True))
    return sorted(found)


def _of_plant(about: Sequence[Record], events: dict[UUID, Event]) -> list[WithoutPlant]:
    grafts = {record.id: record for record in about if record.kind in _GRAFTING}
    gone = void(about)
    undos = [record for record in about if record.target in grafts and record.id not in gone and not record.payload.get("replace")]
    spoken = _spoken(next(iter(grafts.values()))) if grafts else ""
    told = [record for record in settle(about) if record.kind not in _GRAFTING]
    return [WithoutPlant(events[record.id], spoken, tuple(undo.id for undo in undos)) for record in told if _late(record, undos, events)]


def _late(record: Record, undos: Sequence[Record], events: dict[UUID, Event]) -> bool:
    """Whether it was seen, or came in, after the graft was undone; without an undo the graft has not arrived."""
    came = events[record.id].recorded_at
    return not undos or any(record.happened_at > undo.happened_at or came > events[undo.id].recorded_at for undo in undos)


def _spoken(graft: Record) -> str:
    cultivar = Cultivar.objects.filter(pk=graft.payload["cultivar"]).first() if graft.payload.get("cultivar") else None
    return " ".join(str(word) for word in (cultivar.spoken if cultivar else "Unnamed", graft.payload.get("running_number", "")) if word)
