"""Grafts that were undone: they stand in no list of plants, so here they are found and can be brought back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from scionary.answers.held import held
from scionary.book import queries
from scionary.book.models import Cultivar, Event, Graft
from scionary.book.projection import with_corrections
from scionary.book.settle import void
from scionary.names import code_of


@dataclass(frozen=True)
class UndoneGraft:
    """A graft that was undone; `undone_by` are the undos to undo."""

    event: UUID
    spoken: str
    code: str
    grafted_at: datetime
    undone_at: datetime
    undone_by: tuple[UUID, ...]


def count_undone() -> int:
    """How many grafts do not stand; counted anew when something was written."""
    return held("count_undone", queries.stamp(), lambda: _without_graft().count())


def undone_grafts(most: int) -> list[UndoneGraft]:
    """So many undone grafts at most, the last made first; looked for anew when something was written."""
    return held(f"undone_grafts {most}", queries.stamp(), lambda: _undone_grafts(most))


def _undone_grafts(most: int) -> list[UndoneGraft]:
    events = list(_without_graft().order_by("-happened_at", "-id")[:most])
    cultivars = {event.payload["cultivar"] for event in events if event.payload.get("cultivar")}
    names = dict(Cultivar.objects.filter(pk__in=cultivars).values_list("pk", "spoken"))
    found = [_undone(event, names) for event in events]
    return [graft for graft in found if graft is not None]


def _without_graft() -> QuerySet[Event]:
    """Grafts that were written down and of which nothing is left in the columns."""
    return Event.objects.filter(kind__in=("grafted", "regrafted")).exclude(Exists(Graft.objects.filter(pk=OuterRef("pk"))))


def _undone(event: Event, names: dict[UUID, str]) -> UndoneGraft | None:
    records = with_corrections(event.pk)
    gone = void(records)
    undos = [record for record in records if record.target == event.pk and record.id not in gone and not record.payload.get("replace")]
    if event.pk not in gone or not undos:
        return None
    payload = event.payload
    cultivar = payload.get("cultivar")
    name = names.get(UUID(str(cultivar)), "") if cultivar else ""
    spoken = " ".join(str(word) for word in (name or "Unnamed", payload.get("running_number", "")) if word)
    code = code_of(payload["code_number"]) if payload.get("code_number") is not None else ""
    return UndoneGraft(event.pk, spoken, code, event.happened_at, max(undo.happened_at for undo in undos), tuple(undo.id for undo in undos))
