"""The blade at the bench: when it was changed or disinfected, and where that cuts the day's grafts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, time
from uuid import UUID

from scionary.book.commands import noon, write_event
from scionary.book.models import BenchDay, Event, Nursery, Plant
from scionary.book.projection import with_corrections
from scionary.book.record import Answer
from scionary.book.settle import Record, settle
from scionary.language import Words, mark

BLADE_WORDS = Words({"changed": mark("Blade changed"), "disinfected": mark("Blade disinfected")})
_NOON = time(12)


@dataclass(frozen=True)
class Cleaning:
    """The blade was changed or disinfected; `clock` is empty where only the day is known."""

    event: UUID
    at: datetime
    how: str
    clock: str

    @property
    def words(self) -> str:
        return f"{BLADE_WORDS[self.how]}{f', {self.clock}' if self.clock else ''}"


@dataclass(frozen=True)
class DayLines:
    """What a bench day's list shows, latest first: (plant, None) or (None, cleaning); `aside` are cleanings without a place in it."""

    lines: list[tuple[Plant | None, Cleaning | None]] = field(default_factory=list)
    aside: list[Cleaning] = field(default_factory=list)


def clean_blade(bench: BenchDay, how: str, *, nursery: Nursery, now: datetime, event_id: UUID, who: str = "") -> Answer:
    """Write down that the blade was changed or disinfected: now, or on the day of an earlier bench day, its time not known."""
    today = now.astimezone(nursery.zone).date()
    at = now if bench.day == today else noon(bench.day, nursery)
    return write_event(
        "blade_cleaned", bench.key, {"how": how, "grafter": bench.grafter}, happened_at=at, now=now, who=who, event_id=event_id
    )


def cleanings_of_day(bench: BenchDay, nursery: Nursery) -> list[Cleaning]:
    """The cleanings that stand of this grafter's day, latest first: one hand has one blade, whatever the bench was set for."""
    benches = {other.key: other.grafter for other in BenchDay.objects.filter(day=bench.day)}
    found = Event.objects.filter(kind="blade_cleaned", subjects__key__in=benches).values_list("id", "subjects__key")
    owners = {ident: key for ident, key in found if key in benches}
    records = {record.id: record for ident in owners for record in with_corrections(ident)}
    standing = [record for record in settle(records.values()) if record.id in owners]
    mine = [record for record in standing if (record.payload.get("grafter") or benches[owners[record.id]]) == bench.grafter]
    return [_cleaning(record, nursery) for record in sorted(mine, key=lambda record: record.order, reverse=True)]


def day_lines(bench: BenchDay, made: Sequence[Plant], nursery: Nursery, *, most: int) -> DayLines:
    """The latest plants of a bench day with the cleanings between them.

    Where a graft is known to the day only, the order is not known and no cleaning has a place.
    """
    cleanings = cleanings_of_day(bench, nursery)
    moments = [_grafted_at(plant, bench) for plant in made[:most]]
    if not all(_clock(at, nursery) for at in moments if at):
        return DayLines([(plant, None) for plant in made[:most]], cleanings)
    placed = [cleaning for cleaning in cleanings if cleaning.clock]
    result = DayLines(aside=[cleaning for cleaning in cleanings if not cleaning.clock])
    for plant, at in zip(made[:most], moments, strict=True):
        while placed and at and placed[0].at > at:
            result.lines.append((None, placed.pop(0)))
        result.lines.append((plant, None))
    result.lines.extend((None, cleaning) for cleaning in placed if len(made) <= most)
    return result


def _grafted_at(plant: Plant, bench: BenchDay) -> datetime | None:
    return next((graft.grafted_at for graft in plant.grafts.all() if graft.bench_id == bench.pk), None)


def _cleaning(record: Record, nursery: Nursery) -> Cleaning:
    return Cleaning(record.id, record.happened_at, record.payload["how"], _clock(record.happened_at, nursery))


def _clock(moment: datetime, nursery: Nursery) -> str:
    """The time of day; empty at noon sharp, which stands for a time that is not known."""
    local = moment.astimezone(nursery.zone)
    return "" if local.time() == _NOON else f"{local:%H:%M}"
