"""Keying a sheet back: what is ticked and not in the book is written, what is no longer ticked is undone, in one transaction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Max

from scionary.answers.bench import bench_called
from scionary.answers.bench_day import bench_flags, setup_of
from scionary.answers.paper_rows import SheetRow, Since, rows_of, since_printed
from scionary.answers.paper_slots import Entry, Written, slot_id, written_of
from scionary.answers.paper_ticks import Ticks, Wanted, wanted
from scionary.book.commands import correct_many, free_places, save_noun
from scionary.book.leases import check_ahead
from scionary.book.locks import chunks, gate, lock_numbers
from scionary.book.models import BenchDay, Nursery, Plant, PrintedSheet
from scionary.book.patience import patiently
from scionary.book.record import NewEvent, record_events
from scionary.book.settle import Record
from scionary.errors import Refused
from scionary.language import say, several


@dataclass(frozen=True)
class Changes:
    """What keying would do: ticks that are new, that are brought back, that say something else now, and that are gone."""

    new: Mapping[str, Entry]
    back: Mapping[str, tuple[UUID, ...]]
    other: Mapping[str, tuple[UUID, dict[str, Any]]]
    gone: Mapping[str, UUID]

    def __bool__(self) -> bool:
        return bool(self.new or self.back or self.other or self.gone)

    @property
    def words(self) -> str:
        """3 new, 1 changed, 2 undone."""
        new, other, gone = len(self.new) + len(self.back), len(self.other), len(self.gone)
        told = (
            say("{count} new", count=new) if new else "",
            say("{count} changed", count=other) if other else "",
            say("{count} undone", count=gone) if gone else "",
        )
        return ", ".join(words for words in told if words) or say("nothing")


@dataclass(frozen=True)
class KeyedIn:
    """What became of it: the changes, what was flagged, and how much of the paper is ticked."""

    changes: Changes
    flags: tuple[str, ...]
    ticked: int
    rows: int

    @property
    def words(self) -> str:
        return say(
            "{rows} ticked, {others} not looked at",
            rows=several(self.ticked, "{count} row", "{count} rows"),
            others=self.rows - self.ticked,
        )


def changes_of(sheet: PrintedSheet, ticks: Ticks, *, nursery: Nursery, now: datetime) -> Changes:
    """What keying these ticks would change; nothing is written."""
    rows, written = rows_of(sheet), written_of(sheet)
    return _compared(sheet, wanted(sheet, rows, ticks, _since(sheet, rows, written), written, nursery, now), written, nursery)


@patiently
def key_sheet(sheet: PrintedSheet, ticks: Ticks, *, nursery: Nursery, now: datetime, who: str = "") -> KeyedIn:
    """Write what is ticked, all or nothing; the same again writes nothing."""
    today = now.astimezone(nursery.zone).date()
    printed = sheet.printed_at.astimezone(nursery.zone).date()
    days = [ticks.day, *(day for day in ticks.dates.values() if day)]
    if not printed <= min(days) or max(days) > today:
        remedy = say("Give a day from {printed}, when it was printed, to today.", printed=printed.isoformat())
        raise Refused(
            say("{day} cannot be.", day=(min(days) if min(days) < printed else max(days)).isoformat()), where="day", remedy=remedy
        )
    with transaction.atomic():
        gate(alone=True)
        lock_numbers()
        rows, before = rows_of(sheet), written_of(sheet)
        since, flagged = _since(sheet, rows, before), _flags_of(sheet, rows)
        asked = wanted(sheet, rows, ticks, since, before, nursery, now)
        changes = _compared(sheet, asked, before, nursery)
        correct_many([(undoing, None) for each in changes.back.values() for undoing in each], now=now, who=who)
        correct_many([(ident, None) for ident in changes.gone.values()], now=now, who=who)
        other = changes.other if not changes.back else _compared(sheet, asked, written_of(sheet), nursery).other
        correct_many(list(other.values()), now=now, who=who)
        told = _write(sheet, changes.new, nursery, now, who)
        kept = {**({"keyed_at": now} if changes else {}), **_as_above(sheet, ticks)}
        if kept:
            save_noun(PrintedSheet, kept, now=now, pk=sheet.pk, who=who)
        after, told = written_of(sheet), [*told, *_new_flags(sheet, [row for row in rows if row.number not in since], flagged)]
    return KeyedIn(changes, (*_row_flags(rows, since, ticks), *told), *ticked_of(rows, after))


@patiently
def undo_sheet(sheet: PrintedSheet, *, now: datetime, who: str = "") -> int:
    """Undo all that the sheet wrote and that still stands; gives how many records."""
    with transaction.atomic():
        gate(alone=True)
        standing = written_of(sheet).standing
        correct_many([(record.id, None) for record in standing.values()], now=now, who=who)
        if sheet.keyed_at:
            save_noun(PrintedSheet, {"keyed_at": None}, now=now, pk=sheet.pk, who=who)
        return len(standing)


def ticked_of(rows: list[SheetRow], written: Written) -> tuple[int, int]:
    """(rows of which something stands in the book from this sheet, all rows)."""
    numbers = {int(slot[1:].split(":")[0]) for slot in written.standing if slot.startswith("r")}
    return len(numbers), len(rows)


def _as_above(sheet: PrintedSheet, ticks: Ticks) -> dict[str, Any]:
    """The layout with the rows that say "as above", so that they follow when the row before them is put right."""
    above = [number for number, row in ticks.bench.items() if row.above]
    return {"layout": {**sheet.layout, "above": above}} if above != sheet.layout.get("above", []) else {}


def _since(sheet: PrintedSheet, rows: list[SheetRow], written: Written) -> dict[int, Since]:
    own = [record.id for record in written.standing.values()] + [slot_id(sheet, slot) for slot in written.undoings]
    return since_printed(sheet, rows, frozenset(own))


def _compared(sheet: PrintedSheet, asked: Wanted, written: Written, nursery: Nursery) -> Changes:
    """Ticks against records, one by one."""
    standing, undoings = written.standing, written.undoings
    new = {slot: entry for slot, entry in asked.entries.items() if slot not in standing and slot not in undoings}
    back = {slot: undoings[slot] for slot in asked.entries if slot in undoings}
    gone = {slot: standing[slot].id for slot in sorted(asked.told) if slot in standing and slot not in asked.entries}
    found = {slot: _otherwise(entry, standing[slot], nursery) for slot, entry in asked.entries.items() if slot in standing}
    return Changes(new, back, {slot: (standing[slot].id, other) for slot, other in found.items() if other}, gone)


def _otherwise(entry: Entry, record: Record, nursery: Nursery) -> dict[str, Any]:
    """Fields of a record that say something else than the tick does now; its moment only when the day is another one."""
    names = entry.compared if entry.compared is not None else tuple({**entry.payload, **record.payload})
    other = {name: entry.payload.get(name) for name in names if entry.payload.get(name) != record.payload.get(name)}
    if entry.at.astimezone(nursery.zone).date() != record.happened_at.astimezone(nursery.zone).date():
        other["happened_at"] = entry.at.isoformat()
    return other


def _write(sheet: PrintedSheet, new: Mapping[str, Entry], nursery: Nursery, now: datetime, who: str) -> list[str]:
    """Write the entries under the ids that follow from the sheet; gives what was flagged."""
    entries = _as_grafts(sheet, new, nursery, now) if sheet.kind == PrintedSheet.Kind.BENCH else new
    events = [
        NewEvent(entry.kind, entry.at, (entry.subject,), dict(entry.payload), id=slot_id(sheet, slot), who=who)
        for slot, entry in entries.items()
    ]
    answers = record_events(events, now=now)
    full = bench_flags(_as_printed(sheet)) if any(entry.kind == "grafted" for entry in entries.values()) else []
    return [*sorted({flag for answer in answers for flag in answer.flags}), *full]


def _as_grafts(sheet: PrintedSheet, new: Mapping[str, Entry], nursery: Nursery, now: datetime) -> dict[str, Entry]:
    """The grafts of a bench sheet as full records: the bench's setting, the reserved code, the next number and place."""
    made = [slot for slot, entry in new.items() if entry.kind == "grafted"]
    if not made or sheet.bench_id is None:
        return dict(new)
    bench = _as_printed(sheet)
    if bench.cultivar_id is None:
        raise Refused(say("no cultivar is set for this bench day."), where="cultivar", remedy=say("Change the bench and name it."))
    codes = {row.number: row.code or 0 for row in rows_of(sheet)}
    numbers = [codes[int(slot[1:].split(":")[0])] for slot in made]
    check_ahead(numbers)
    setup = setup_of(bench, nursery, stock_mm=None, scion_mm=None, now=now).payload()
    first = (Plant.objects.filter(cultivar_id=bench.cultivar_id).aggregate(n=Max("running_number"))["n"] or 0) + 1
    places = free_places(bench.dome_id, len(made))
    full = dict(new)
    for at, (slot, number) in enumerate(zip(made, numbers, strict=True)):
        place = {"place": places[at]} if places else {}
        payload = {**setup, **new[slot].payload, "code_number": number, "running_number": first + at, **place}
        full[slot] = replace(new[slot], subject=f"plant:{slot_id(sheet, slot, 'plant')}", payload=payload)
    return full


def _as_printed(sheet: PrintedSheet) -> BenchDay:
    """The bench day set as it was when its sheet was printed; it is not saved."""
    assert sheet.bench_id is not None
    bench, setting = bench_called(sheet.bench_id), sheet.layout.get("setting")
    if setting is None:
        return bench
    for field in ("cultivar", "method", "lot", "tree", "bag", "dome", "pot_kind"):
        setattr(bench, f"{field}_id", UUID(setting[field]) if field in setting else None)
    bench.grafter = setting.get("grafter", "")
    return bench


def _flags_of(sheet: PrintedSheet, rows: list[SheetRow]) -> dict[int, list[str]]:
    """By row, what is flagged on its plant, or on the one that its graft made."""
    plants = {row.plant or slot_id(sheet, f"r{row.number}:graft", "plant"): row.number for row in rows}
    found = [pair for chunk in chunks(plants) for pair in Plant.objects.filter(pk__in=chunk).values_list("pk", "flags")]
    return {plants[ident]: flags for ident, flags in found if flags}


def _new_flags(sheet: PrintedSheet, rows: list[SheetRow], before: Mapping[int, list[str]]) -> list[str]:
    """What keying has flagged on plants, such as a date before the graft."""
    now = _flags_of(sheet, rows)
    fresh = ((row, flag) for row in rows for flag in now.get(row.number, ()) if flag not in before.get(row.number, ()))
    return [say("{row}: {words}", row=row.where, words=say(flag)) for row, flag in fresh]


def _row_flags(rows: list[SheetRow], since: Mapping[int, Since], ticks: Ticks) -> list[str]:
    """What to say of ticked rows whose plants are not as they were when it was printed."""
    ticked = {number for number, said in ticks.rows.items() if said} | {number for number, row in ticks.bench.items() if row.made}
    return [
        say("{row}: {words}", row=row.where, words=since[row.number].words) for row in rows if row.number in since and row.number in ticked
    ]
