"""What stands in the book from a sheet, as the ticks that a person would have keyed: a page begins with them."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from scionary.answers.paper_rows import SheetRow, rows_of
from scionary.answers.paper_slots import BLADE, Written
from scionary.answers.paper_ticks import SIZES, BenchRow, Ticks, WholeDome
from scionary.book.models import Nursery, PrintedSheet
from scionary.book.settle import Record


def ticks_standing(sheet: PrintedSheet, written: Written, nursery: Nursery, *, today: date) -> Ticks:
    """The sheet as it was keyed so far, under the day that it was keyed with, or that it most likely was walked on."""
    rows, found = rows_of(sheet), written.standing
    day = _day(written, nursery) or _likely_day(sheet, nursery, today)
    if sheet.kind == PrintedSheet.Kind.BENCH:
        return Ticks(day, bench={row.number: _bench_row(row, written, sheet.layout.get("above", ())) for row in rows})
    lines = sheet.layout.get("dates", [])
    return Ticks(
        day,
        rows={row.number: [said for said, _ in row.boxes if f"r{row.number}:{said}" in found] for row in rows},
        causes={row.number: str(record.payload.get("cause", "")) for row in rows if (record := found.get(f"r{row.number}:lost"))},
        domes={at: _whole(at, written) for at in range(len(sheet.layout["domes"]))},
        dates={at: _date(found.get(f"t{at}:0"), nursery) for at in range(len(lines))},
    )


def _day(written: Written, nursery: Nursery) -> date | None:
    """The day under which it was keyed; None when nothing of it stands."""
    days = [record.happened_at.astimezone(nursery.zone).date() for slot, record in written.standing.items() if not slot.startswith("t")]
    return max(days, default=None)


def _likely_day(sheet: PrintedSheet, nursery: Nursery, today: date) -> date:
    """A round is walked on the day of printing, a bench sheet filled on its bench day; a card hangs for weeks."""
    printed = sheet.printed_at.astimezone(nursery.zone).date()
    if sheet.kind == PrintedSheet.Kind.BENCH and sheet.bench:
        return min(max(sheet.bench.day, printed), today)
    return printed if sheet.kind == PrintedSheet.Kind.ROUND else today


def _date(record: Record | None, nursery: Nursery) -> date | None:
    return record.happened_at.astimezone(nursery.zone).date() if record else None


def _whole(at: int, written: Written) -> WholeDome:
    held = {name: written.standing.get(f"d{at}:{name}") for name in ("seen", "stalks", "water", "vents", "treated")}
    vents, treated, seen = held["vents"], held["treated"], held["seen"]
    return WholeDome(
        water=held["water"] is not None,
        stalks=held["stalks"] is not None,
        vents=round(vents.payload["open_pct"]) if vents else None,
        treated=treated is not None,
        product=str(treated.payload.get("product", "")) if treated else "",
        note=str(seen.payload.get("note", "")) if seen else "",
    )


def _bench_row(row: SheetRow, written: Written, above_rows: Collection[int]) -> BenchRow:
    graft = written.standing.get(f"r{row.number}:graft")
    blade = next((how for how in BLADE if f"r{row.number}:{how}" in written.standing), "")
    if graft is None:
        return BenchRow(blade=blade)
    held = graft.payload
    above = row.number in above_rows
    return BenchRow(True, note=str(held.get("note", "")), blade=blade, above=above, **{name: held.get(name) for name in SIZES})
