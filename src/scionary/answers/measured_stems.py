"""Stems measured in the yard: the stocks of a lot and the sticks of a bag, each by its number in the row."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from scionary.answers.bench import stocks_left
from scionary.answers.events_in_bulk import standing_events
from scionary.answers.held import held
from scionary.answers.join_typed import doubt_words, instead_of, reading_at
from scionary.answers.join_words import size
from scionary.answers.tree_looks import plain_key
from scionary.book import queries
from scionary.book.commands import write_event, write_many
from scionary.book.models import Event, Nursery, RootstockLot, ScionBag
from scionary.book.patience import patiently
from scionary.book.record import Answer
from scionary.errors import Refused
from scionary.language import say
from scionary.union import gauge_reading, gauge_slots, read_thickness

Row = RootstockLot | ScionBag
HIGHEST_NUMBER = 10_000


@dataclass(frozen=True)
class MeasuredStem:
    """One stem as it stands: its thickness is None where nobody measured it; `used` where it is there no more."""

    number: int
    thickness_mm: float | None = None
    used: bool = False
    event: str = ""


@dataclass(frozen=True)
class MeasuredRow:
    """A lot or a bag with its measured stems, in the order of their numbers."""

    row: Row
    stems: Sequence[MeasuredStem]

    @property
    def is_lot(self) -> bool:
        return isinstance(self.row, RootstockLot)

    @property
    def there(self) -> list[MeasuredStem]:
        """Those that can still be grafted."""
        return [stem for stem in self.stems if not stem.used and stem.thickness_mm is not None]

    @property
    def next_number(self) -> int:
        """The number after the last one that was measured."""
        return max((stem.number for stem in self.stems), default=0) + 1

    @property
    def usual_mm(self) -> float | None:
        """The usual thickness that is written down for a lot."""
        return self.row.diameter_mm if isinstance(self.row, RootstockLot) else None

    @property
    def unmeasured(self) -> int:
        """How many stand there unmeasured, where nobody measured any: those that are left of the lot, or the sticks of the bag."""
        if self.stems:
            return 0
        left = stocks_left(self.row) if isinstance(self.row, RootstockLot) else self.row.sticks
        return max(left or 0, 0)

    def to_dict(self) -> dict[str, Any]:
        return {"name": str(self.row), "stems": [vars(stem) for stem in self.stems], "usual_mm": self.usual_mm}


def measured_row(row: Row) -> MeasuredRow:
    """What was measured of a lot or a bag."""
    return MeasuredRow(row, _all_stems(row.noun).get(plain_key(row.key), []))


def rows_to_match() -> tuple[list[MeasuredRow], list[MeasuredRow]]:
    """Lots and bags of which something can be matched: measured, or counted with a usual thickness."""
    lots = [measured_row(lot) for lot in RootstockLot.objects.filter(retired=False).select_related("pot_kind")]
    bags = [measured_row(bag) for bag in ScionBag.objects.filter(retired=False).select_related("cultivar")]
    return [each for each in lots if each.there or (each.unmeasured and each.usual_mm)], [each for each in bags if each.there]


def _all_stems(noun: str) -> Mapping[str, list[MeasuredStem]]:
    return held(f"measured_{noun}", queries.stamp(), lambda: _folded(noun))


def _folded(noun: str) -> dict[str, list[MeasuredStem]]:
    """Each stem from all that is recorded of it: the last thickness, and whether it was used after that or before."""
    found: dict[str, dict[int, MeasuredStem]] = defaultdict(dict)
    for event in sorted(standing_events(("measured",), noun), key=lambda event: (event.at, event.event)):
        number = int(event.payload["number"])
        for key in event.subjects:
            stem = found[key].get(number, MeasuredStem(number))
            thickness = event.payload.get("thickness_mm", stem.thickness_mm)
            used = event.payload["used"] == "yes" if "used" in event.payload else stem.used and "thickness_mm" not in event.payload
            found[key][number] = replace(stem, thickness_mm=thickness, used=used, event=event.event)
    return {key: [stems[number] for number in sorted(stems)] for key, stems in found.items()}


@dataclass(frozen=True)
class Typed:
    """A thickness as a thumb gave it; `question` where it looks like another unit, `guess` what was likely meant then."""

    thickness_mm: float
    question: str = ""
    guess: str = ""


def read_typed(text: str, unit: str) -> Typed:
    """A thickness that was typed, or asked about."""
    found = reading_at("thickness", lambda: read_thickness(text, unit))
    return Typed(found.thickness_mm, doubt_words(found) if found.doubt else "", instead_of(found))


def read_slot(text: str) -> Typed:
    """The narrowest slot of the gauge card that the stem goes into, told as the middle between it and the next one."""
    if text not in slots():
        remedy = say("Give one from {first} to {last}.", first=slots()[0], last=slots()[-1])
        raise Refused(say("the card has no such slot."), where="slot", remedy=remedy)
    goes = float(text)
    return Typed(gauge_reading(goes, goes - (gauge_slots()[1] - gauge_slots()[0]))[0])


def slots() -> list[str]:
    """The slots of the gauge card, as their buttons say them."""
    return [f"{slot:g}" for slot in gauge_slots()]


@patiently
def write_measured(row: Row, number: int, thickness_mm: float, *, now: datetime, event_id: UUID, who: str = "") -> Answer:
    """Write down how thick one stem is; measured again, the later holds."""
    if not 1 <= number <= HIGHEST_NUMBER:
        remedy = say("Give a whole number from 1 to {most}.", most=HIGHEST_NUMBER)
        raise Refused(say("{number} is no number of a stem.", number=number), where="number", remedy=remedy)
    payload = {"number": number, "thickness_mm": round(thickness_mm, 3)}
    return write_event("measured", row.key, payload, happened_at=now, now=now, who=who, event_id=event_id)


@patiently
def write_used(stems: Iterable[tuple[Row, int]], *, now: datetime, event_id: UUID, who: str = "") -> list[UUID]:
    """Write down that these stems are there no more, all or none; sent twice, it is written once."""
    if Event.objects.filter(pk=event_id).exists():
        return []
    events = [("measured", row.key, {"number": number, "used": "yes"}) for row, number in stems]
    return [answer.id for answer in write_many(events, happened_at=now, now=now, who=who, event_id=event_id)]


def row_called(noun: str, ident: UUID) -> MeasuredRow:
    """A lot or a bag by its id."""
    model: Any = {"lots": RootstockLot, "bags": ScionBag}[noun]
    found = model._default_manager.filter(pk=ident).first()
    if found is None:
        raise Refused(say("the book holds no such row of stems."), where=noun, remedy=say("Choose one that is listed."))
    return measured_row(found)


def words_of(found: MeasuredRow, nursery: Nursery) -> str:
    """12 measured, 5.5 to 8 mm."""
    there = [stem.thickness_mm for stem in found.there if stem.thickness_mm is not None]
    if not there:
        usual = size(found.usual_mm, nursery.length_unit) if found.usual_mm else say("not known")
        return say("{count} not measured; usual thickness {usual}", count=found.unmeasured, usual=usual)
    low, high = size(min(there), nursery.length_unit), size(max(there), nursery.length_unit)
    return say("{count} measured, {low} to {high}", count=len(there), low=low, high=high)
