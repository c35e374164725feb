"""What a kept sheet has written: each tick that it can hold has one record, whose id follows from the sheet and the tick alone."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from scionary.answers.paper_rows import SheetRow, rows_of
from scionary.book.locks import chunks
from scionary.book.models import Event, PrintedSheet
from scionary.book.projection import record_of
from scionary.book.settle import Record, settle, void

BLADE = ("changed", "disinfected")
ON_DOME = ("seen", "stalks", "water", "vents", "treated")
_ORDER = (*BLADE, "graft", *ON_DOME, "drops", "stays", "bud", "in-leaf", "wilting", "mould", "unchanged", "firm", "unsure", "lost")


@dataclass(frozen=True)
class Entry:
    """What one tick becomes; of a record that stands only the fields in `compared` are put right, all when it is None."""

    kind: str
    subject: str
    at: datetime
    payload: Mapping[str, Any] = field(default_factory=dict)
    compared: tuple[str, ...] | None = None


@dataclass(frozen=True)
class Written:
    """The records of a sheet: those that stand, by tick, as corrections left them; the undoings of those that do not; all."""

    standing: Mapping[str, Record]
    undoings: Mapping[str, tuple[UUID, ...]]
    told: Mapping[str, Record] = field(default_factory=dict)  # undone ones too, as they were written


def slot_id(sheet: PrintedSheet, slot: str, what: str = "") -> UUID:
    """The id of a tick's record: a UUID of version 7 with the moment of printing, the tick's order and a digest of sheet and tick."""
    digest = hashlib.sha256(f"{sheet.pk}:{slot}:{what}".encode()).digest()
    word = slot.split(":")[1]
    order = _ORDER.index(word) if word in _ORDER else 0
    value = int(sheet.printed_at.timestamp() * 1000) << 80 | 7 << 76 | order << 64 | 0b10 << 62
    return UUID(int=value | int.from_bytes(digest[:8]) >> 2)


def slots_of(sheet: PrintedSheet) -> list[str]:
    """Every tick that the sheet can hold."""
    rows = rows_of(sheet)
    if sheet.kind == PrintedSheet.Kind.BENCH:
        return [f"r{row.number}:{said}" for row in rows for said in (*BLADE, "graft")]
    dates = [f"t{at}:{step}" for at, line in enumerate(sheet.layout.get("dates", [])) for step in range(len(line["done"]))]
    domes = [f"d{at}:{said}" for at in range(len(sheet.layout["domes"])) for said in ON_DOME]
    return [slot for row in rows for slot in row_slots(row)] + domes + dates


def row_slots(row: SheetRow) -> list[str]:
    return [f"r{row.number}:{said}" for said, _ in row.boxes]


def written_of(sheet: PrintedSheet) -> Written:
    """What the sheet has written so far."""
    slots = {slot_id(sheet, slot): slot for slot in slots_of(sheet)}
    records = _records(slots)
    standing = {slots[record.id]: record for record in settle(records) if record.id in slots}
    gone = void(records)
    undoings: dict[str, tuple[UUID, ...]] = {}
    for record in records:
        slot = slots.get(record.target) if record.target else None
        if slot is not None and slot not in standing and record.id not in gone and not record.payload.get("replace"):
            undoings[slot] = (*undoings.get(slot, ()), record.id)
    told = {slots[record.id]: record for record in records if record.id in slots}
    return Written(standing, undoings, {**told, **standing})


def _records(idents: Iterable[UUID]) -> list[Record]:
    """These events as far as the book holds them, with the corrections that name them, directly or through another correction."""
    events: dict[UUID, Event] = {}
    for chunk in chunks(idents):
        events |= {event.id: event for event in Event.objects.filter(id__in=chunk)}
    newest = set(events)
    while newest:
        found = {event.id: event for chunk in chunks(newest) for event in Event.objects.filter(target__in=chunk)}
        newest = set(found) - set(events)
        events |= found
    return [record_of(event, events) for event in events.values()]
