"""From what a person keys in off the paper to what is written: every tick one entry."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from statistics import median_low
from typing import Any

from scionary.answers.paper_rows import SheetRow, Since
from scionary.answers.paper_slots import BLADE, ON_DOME, Entry, Written, row_slots
from scionary.answers.rounds import SEEN
from scionary.book.commands import noon
from scionary.book.models import Nursery, PrintedSheet
from scionary.errors import Refused
from scionary.language import both, say

CUT_MM = {"cut": (1.0, 500.0), "lean": (0.0, 100.0)}  # what a graft takes
_BEFORE_IT = timedelta(milliseconds=500)  # a blade is cleaned before the graft of its row
SIZES = ("stock_mm", "scion_mm", "cut_mm", "lean_mm")
EITHER = (("firm", "unsure", "lost"), ("drops", "stays"), ("in-leaf", "lost"), BLADE)  # of each only one can be


@dataclass(frozen=True)
class WholeDome:
    """What is ticked for a whole dome."""

    water: bool = False
    stalks: bool = False
    rest: bool = False
    vents: int | None = None
    treated: bool = False
    product: str = ""
    note: str = ""


@dataclass(frozen=True)
class BenchRow:
    """A row of a bench sheet: whether the graft was made, how thick, how cut, and what was done to the blade before it."""

    made: bool = False
    stock_mm: float | None = None
    scion_mm: float | None = None
    note: str = ""
    blade: str = ""
    cut_mm: float | None = None
    lean_mm: float | None = None
    above: bool = False  # its sizes were said by the row before

    @property
    def sizes(self) -> dict[str, float | None]:
        """What is written of the union, under the names that a graft has for it."""
        return {name: getattr(self, name) for name in SIZES}


@dataclass(frozen=True)
class Ticks:
    """What was keyed; of rows, domes and dates that are not named here nothing is said, and nothing changes."""

    day: date
    rows: Mapping[int, Collection[str]] = field(default_factory=dict)
    causes: Mapping[int, str] = field(default_factory=dict)
    domes: Mapping[int, WholeDome] = field(default_factory=dict)
    dates: Mapping[int, date | None] = field(default_factory=dict)  # line of the card → the day on which it was done
    bench: Mapping[int, BenchRow] = field(default_factory=dict)


@dataclass(frozen=True)
class Wanted:
    """The entries by tick, and all ticks of which something is said."""

    entries: Mapping[str, Entry]
    told: frozenset[str]


class WrongRow(Refused):
    """A row cannot be as it is ticked; `row` is its number."""

    def __init__(self, row: int, message: str, *, where: str = "", remedy: str = "") -> None:
        super().__init__(message, where=where or say("row {number}", number=row), remedy=remedy)
        self.row = row


def _tick(box: str) -> str:
    return say("Tick {box} as well, or take the words away.", box=box)


def wanted(
    sheet: PrintedSheet, rows: list[SheetRow], ticks: Ticks, since: Mapping[int, Since], written: Written, nursery: Nursery, now: datetime
) -> Wanted:
    """What the ticks become; a row that cannot be as it is ticked is refused, naming it."""
    by_number = {row.number: row for row in rows}
    strange = next((number for number in (*ticks.rows, *ticks.bench, *ticks.causes) if number not in by_number), None)
    if strange is not None:
        remedy = say("It has rows 1 to {rows}; load it again.", rows=len(rows))
        raise WrongRow(strange, say("the sheet has no row {strange}.", strange=strange), remedy=remedy)
    at = moment(ticks.day, nursery, now)
    if sheet.kind == PrintedSheet.Kind.BENCH:
        first = _first_keyed(written, ticks.day, nursery) or (at - timedelta(seconds=len(rows)) if at == now else at)
        return _bench(sheet, by_number, ticks, since, first)
    ticked = {number: _checked(by_number[number], said) for number, said in ticks.rows.items()}
    for number, words in ticks.causes.items():
        if words and "lost" not in ticked.get(number, ()):
            alone = say("a cause, {words!r}, stands there without a loss.", words=words)
            raise WrongRow(number, alone, where=by_number[number].where, remedy=_tick(say("Lost")))
    entries: dict[str, Entry] = {}
    _domes(sheet, rows, ticks, ticked, since, at, entries)
    for number, said in ticked.items():
        row = by_number[number]
        for answer in said:
            kind, payload = SEEN[answer]
            cause = {"cause": ticks.causes[number]} if answer == "lost" and ticks.causes.get(number) else {}
            entries[f"r{number}:{answer}"] = Entry(kind, f"plant:{row.plant}", at, {**payload, **cause})
    told = {slot for number in ticked for slot in row_slots(by_number[number])}
    told |= {f"d{dome}:{said}" for dome in ticks.domes for said in ON_DOME}
    told |= _dates(sheet, ticks, nursery, now, entries)
    return Wanted(entries, frozenset(told))


def moment(day: date, nursery: Nursery, now: datetime) -> datetime:
    """When what stands on the paper happened: now when it was today, else noon of its day."""
    return now if day == now.astimezone(nursery.zone).date() else noon(day, nursery)


def _checked(row: SheetRow, said: Collection[str]) -> list[str]:
    """The row's answers in the order of the paper."""
    boxes = dict(row.boxes)
    strange = next((answer for answer in said if answer not in boxes), None)
    if strange is not None:
        told, remedy = (
            say("it has no box {strange!r} on this sheet.", strange=strange[:30]),
            say("Its boxes: {boxes}.", boxes=", ".join(boxes)),
        )
        raise WrongRow(row.number, told, where=row.where, remedy=remedy)
    for group in EITHER:
        ticked = [boxes[answer].lower() for answer in group if answer in said]
        if len(ticked) > 1:
            told = say("{both} are both ticked.", both=both(ticked))
            raise WrongRow(row.number, told, where=row.where, remedy=say("Which one is right? Take the other away."))
    return [answer for answer in boxes if answer in said]


def _domes(
    sheet: PrintedSheet,
    rows: list[SheetRow],
    ticks: Ticks,
    ticked: dict[int, list[str]],
    since: Mapping[int, Since],
    at: datetime,
    entries: dict[str, Entry],
) -> None:
    """What is ticked for whole domes; a dome counts as looked at with its last plant, or with a note."""
    for index, whole in ticks.domes.items():
        if not 0 <= index < len(sheet.layout["domes"]):
            raise Refused(say("the sheet has no dome {number}.", number=index + 1), where="dome", remedy=say("Load the sheet again."))
        key, here = f"dome:{sheet.layout['domes'][index]}", [row for row in rows if row.dome == index]
        if whole.rest:
            left = [row for row in here if not ticked.get(row.number) and "unchanged" in dict(row.boxes)]
            ticked.update({row.number: ["unchanged"] for row in left if row.number not in since})  # what stands elsewhere was not seen here
        done: dict[str, tuple[str, dict[str, Any]]] = {
            "seen": ("observed", {"note": whole.note} if whole.note else {}),
            "stalks": ("observed", {"seen": "stalks_picked_out"}),
            "water": ("watered", {}),
            "vents": ("vented", {"open_pct": float(whole.vents or 0)}),
            "treated": ("treated", {"product": whole.product} if whole.product else {}),
        }
        all_seen = all(ticked.get(row.number) or row.number in since for row in here) and any(ticked.get(row.number) for row in here)
        said = {"seen": bool(whole.note) or all_seen, "stalks": whole.stalks, "water": whole.water, "vents": whole.vents is not None}
        said["treated"] = whole.treated or bool(whole.product)
        entries.update({f"d{index}:{name}": Entry(done[name][0], key, at, done[name][1]) for name in ON_DOME if said[name]})


def _dates(sheet: PrintedSheet, ticks: Ticks, nursery: Nursery, now: datetime, entries: dict[str, Entry]) -> set[str]:
    """The dates of a card that are ticked, each on the day on which it was done."""
    lines = sheet.layout.get("dates", [])
    told = set()
    for at, day in ticks.dates.items():
        if not 0 <= at < len(lines):
            raise Refused(say("the card has no date {number}.", number=at + 1), where="dates", remedy=say("Load the card again."))
        for step, (kind, payload) in enumerate(lines[at]["done"]):
            told.add(f"t{at}:{step}")
            if day is not None:
                entries[f"t{at}:{step}"] = Entry(kind, f"dome:{sheet.layout['domes'][0]}", moment(day, nursery, now), payload)
    return told


def _first_keyed(written: Written, day: date, nursery: Nursery) -> datetime | None:
    """The moment from which the rows were counted when the sheet was first keyed under this day; None where it was not."""
    counted = []
    for slot, record in written.told.items():
        row, _, said = slot[1:].partition(":")
        if record.happened_at.astimezone(nursery.zone).date() == day:
            counted.append(record.happened_at - timedelta(seconds=int(row)) + (_BEFORE_IT if said in BLADE else timedelta()))
    return median_low(counted) if counted else None  # the one that most of them share, though one was put right by hand


def _bench(sheet: PrintedSheet, rows: Mapping[int, SheetRow], ticks: Ticks, since: Mapping[int, Since], first: datetime) -> Wanted:
    """Grafts and cleanings a second apart, so that the order of the paper is kept; a row whose code is taken is left out."""
    entries: dict[str, Entry] = {}
    bench = f"bench:{sheet.bench_id}"
    for number, row in ticks.bench.items():
        if row.blade not in ("", *BLADE):
            told = say("{blade!r} is nothing that is done to a blade.", blade=row.blade[:30])
            raise WrongRow(number, told, remedy=say("changed or disinfected."))
        if not row.made and (row.note or any(size is not None for size in row.sizes.values())):
            raise WrongRow(number, say("a size or a note stands there without a graft."), remedy=_tick(say("Made")))
        when = first + timedelta(seconds=number)
        if row.blade:
            payload = {"how": row.blade, "grafter": sheet.bench.grafter if sheet.bench else ""}
            entries[f"r{number}:{row.blade}"] = Entry("blade_cleaned", bench, when - _BEFORE_IT, payload, ("how",))
        if row.made and not (number in since and since[number].shut):
            given: dict[str, Any] = {**row.sizes, "note": row.note}
            known = {name: value for name, value in given.items() if value not in (None, "")}
            entries[f"r{number}:graft"] = Entry("grafted", "", when, known, tuple(given))
    return Wanted(entries, frozenset(f"r{number}:{said}" for number in ticks.bench for said in (*BLADE, "graft")))
