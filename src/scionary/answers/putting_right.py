"""Writing and correcting so that no two plants come to share a spoken name or a place without a word.

What is about to be written is folded first, in memory. A plant whose name or place would then belong to another gets
the next free number or place, and a sentence says so.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.book.commands import correct_many, cultivar_called, write_many
from scionary.book.fold import fold_plant
from scionary.book.ids import uuid7
from scionary.book.locks import chunks, gate, lock
from scionary.book.models import Cultivar, Dome, Event, EventSubject, Plant
from scionary.book.patience import patiently
from scionary.book.projection import records_of
from scionary.book.record import Answer
from scionary.book.settle import Record, settle
from scionary.book.states import PlantState
from scionary.language import say

_NAMING = ("grafted", "regrafted", "relabelled", "name_confirmed")
_PLACING = ("grafted", "regrafted", "moved")
Changes = Mapping[str, Any]


@dataclass(frozen=True)
class PutRight:
    """What was written, and a sentence for each name or place that had to give way."""

    answers: list[Answer]
    words: list[str] = field(default_factory=list)

    @property
    def events(self) -> list[UUID]:
        return [answer.id for answer in self.answers]

    @property
    def flags(self) -> list[str]:
        return sorted({flag for answer in self.answers for flag in answer.flags})


@dataclass(frozen=True)
class _Trial:
    """A plant as it is, and as it would be with what is to be written."""

    before: Plant
    after: PlantState
    standing: list[Record]

    @property
    def renamed(self) -> bool:
        return (self.after.cultivar_id, self.after.running_number) != (self.before.cultivar_id, self.before.running_number)

    @property
    def replaced(self) -> bool:
        return (self.after.dome_id, self.after.place) != (self.before.dome_id, self.before.place)

    def last(self, kinds: Iterable[str], *names: str) -> UUID:
        """The record that says the last word on one of these fields."""
        speaking = [record for record in self.standing if record.kind in kinds and any(record.payload.get(name) for name in names)]
        return speaking[-1].id


@dataclass(frozen=True)
class Renaming:
    """A plant whose name would change: how it is called now, and how it would be; `number` is None where it has none."""

    plant: Plant
    cultivar: UUID | None
    number: int | None


class _Taken:
    """Names and places that other plants have; grows as they are given away."""

    def __init__(self, trials: Sequence[_Trial]) -> None:
        renamed, replaced = {t.before.pk for t in trials if t.renamed}, {t.before.pk for t in trials if t.replaced}
        named = Plant.objects.filter(cultivar__in={trial.after.cultivar_id for trial in trials})
        placed = Plant.objects.filter(dome__in={trial.after.dome_id for trial in trials})
        self.numbers: dict[UUID | None, set[int]] = defaultdict(set)
        self.places: dict[UUID | None, set[int]] = defaultdict(set)
        for pk, ident, number in named.exclude(running_number=None).values_list("pk", "cultivar_id", "running_number"):
            if pk not in renamed:
                self.numbers[ident].add(number or 0)
        for pk, ident, place in placed.exclude(place=None).values_list("pk", "dome_id", "place"):
            if pk not in replaced:
                self.places[ident].add(place or 0)

    def number(self, cultivar: UUID | None, wanted: int) -> int:
        """The number wanted, else the next one of this cultivar."""
        numbers = self.numbers[cultivar]
        found = wanted if wanted not in numbers else max(numbers) + 1
        numbers.add(found)
        return found

    def place(self, dome: UUID | None, wanted: int) -> int:
        """The place wanted, else the first free one of this dome."""
        places = self.places[dome]
        found = wanted if wanted not in places else next(place for place in range(1, len(places) + 2) if place not in places)
        places.add(found)
        return found


@patiently
def put_right(changes: Mapping[UUID, Changes], *, cultivar: str = "", now: datetime, who: str = "", device: str = "") -> PutRight:
    """Correct records of plants, each once, all or none; what would be there twice gives way.

    `cultivar` is the name of the right one for all of them, where it may be new to the book: it is added then.
    """
    with transaction.atomic():
        gate(alone=True)
        changes = {ident: {**values, **_named(cultivar, now, who)} for ident, values in changes.items()}
        lock(["codes:all"])  # one person at a time gives numbers and places away
        fixes, words = _fixes(_trials(_corrections(changes, now)))
        merged: dict[UUID, dict[str, Any]] = {ident: {**values, **fixes.pop(ident, {})} for ident, values in changes.items()}
        return PutRight(correct_many(list((merged | fixes).items()), now=now, who=who, device=device), words)


def would_be_renamed(changes: Mapping[UUID, Changes], *, now: datetime) -> list[Renaming]:
    """The plants whose names these corrections would change, with the numbers they would get; nothing is written."""
    trials = _trials(_corrections(changes, now))
    numbers = _numbers(trials, _Taken(trials))
    return [
        Renaming(trial.before, trial.after.cultivar_id, numbers.get(trial.before.pk, trial.after.running_number))
        for trial in trials
        if trial.renamed
    ]


@patiently
def write_right(
    kind: str,
    plants: Sequence[UUID],
    payload: Changes,
    *,
    happened_at: datetime,
    now: datetime,
    event_id: UUID,
    cultivar: str = "",
    who: str = "",
) -> PutRight:
    """Write the same event about each plant, all or none; a plant that comes to a name or place that is taken gives way.

    `event_id` becomes the first one's id; the same call again writes nothing. `cultivar` names one that may be new to the book.
    """
    with transaction.atomic():
        gate(alone=True)
        if Event.objects.filter(pk=event_id).exists():
            return PutRight([Answer(event_id, "repeated")])
        lock(["codes:all"])
        idents = [event_id, *(uuid7() for _ in plants[1:])]
        new = dict(zip(plants, idents, strict=True))
        plain = {name: value for name, value in payload.items() if value not in (None, "")} | _named(cultivar, now, who)
        fixes, words = _fixes(_trials({plant: [Record(ident, kind, happened_at, plain)] for plant, ident in new.items()}))
        events = [(kind, f"plant:{plant}", {**plain, **fixes.pop(ident, {})}) for plant, ident in new.items()]
        answers = write_many(events, happened_at=happened_at, now=now, who=who, event_id=event_id)
        return PutRight(answers + correct_many(list(fixes.items()), now=now, who=who), words)


def shared_with_others(plant: Plant) -> list[str]:
    """A sentence when another plant has the same spoken name or place, as can happen after an undo or between two devices."""
    others, told = Plant.objects.exclude(pk=plant.pk), []
    if plant.running_number and others.filter(cultivar=plant.cultivar_id, running_number=plant.running_number).exists():
        told.append(say("another plant is called {plant} too; relabel one of them with another number", plant=plant.spoken))
    if plant.dome and plant.place and others.filter(dome=plant.dome, place=plant.place).exists():
        told.append(
            say("another plant is written down at place {place} of {dome} too; move one of them", place=plant.place, dome=plant.dome)
        )
    return told


def _named(cultivar: str, now: datetime, who: str) -> dict[str, str]:
    """The cultivar of this name as an event holds it, added where the book lacks it; nothing without a name."""
    return {"cultivar": str(cultivar_called(cultivar, now=now, who=who).pk)} if cultivar else {}


def _corrections(changes: Mapping[UUID, Changes], now: datetime) -> dict[UUID, list[Record]]:
    """The corrections as they would be written, by the plants that they are about."""
    found: dict[UUID, list[Record]] = defaultdict(list)
    for chunk in chunks(changes):
        for ident, key in EventSubject.objects.filter(event_id__in=chunk, subject__key__startswith="plant:").values_list(
            "event_id", "subject_id"
        ):
            found[UUID(key[6:])].append(_as_correction(ident, changes[ident], now))
    return found


def _as_correction(target: UUID, changes: Changes, now: datetime) -> Record:
    return Record(uuid7(), "corrected", now, {"target": str(target), "replace": dict(changes)}, target)


def _trials(extra: Mapping[UUID, Sequence[Record]]) -> list[_Trial]:
    found = []
    for chunk in chunks(extra):
        records = records_of([f"plant:{ident}" for ident in chunk])
        for plant in Plant.objects.filter(pk__in=chunk).select_related("cultivar"):
            known = records[plant.key]
            new = [_knowing(record, known) for record in extra[plant.pk]]
            after, _ = fold_plant(plant.pk, [*known, *new])
            if after is not None:
                found.append(_Trial(plant, after, settle([*known, *new])))
    return sorted(found, key=lambda trial: (trial.before.running_number or 0, trial.before.pk))


def _numbers(trials: Sequence[_Trial], taken: _Taken) -> dict[UUID, int]:
    """The number that each plant with a new name gets: its own where that is free, so that few change; else the next."""
    wanted = [(t.before.pk, t.after.cultivar_id, t.after.running_number) for t in trials if t.renamed and t.after.running_number]
    free_first = sorted(wanted, key=lambda each: each[2] in taken.numbers[each[1]])
    return {pk: taken.number(cultivar, number) for pk, cultivar, number in free_first}


def _knowing(record: Record, known: Sequence[Record]) -> Record:
    """A correction that overrules those of the same event which the book knows."""
    if record.kind != "corrected":
        return record
    overruled = [str(other.id) for other in known if other.target == record.target]
    return Record(record.id, record.kind, record.happened_at, {**record.payload, "knew": overruled}, record.target)


def _fixes(trials: Sequence[_Trial]) -> tuple[dict[UUID, dict[str, Any]], list[str]]:
    """What to write besides, by event, and the words for it."""
    taken, words = _Taken(trials), []
    numbers = _numbers(trials, taken)
    fixes: dict[UUID, dict[str, Any]] = defaultdict(dict)
    for trial in trials:
        after = trial.after
        number = numbers.get(trial.before.pk)
        if number and number != after.running_number:
            fixes[trial.last(_NAMING, "running_number", "cultivar")]["running_number"] = number
            words.append(_name_words(trial, number))
        if trial.replaced and after.dome_id and after.place:
            place = taken.place(after.dome_id, after.place)
            if place != after.place:
                fixes[trial.last(_PLACING, "dome")]["place"] = place
                dome = Dome.objects.get(pk=after.dome_id)
                words.append(
                    say(
                        "Place {place} of {dome} is taken: {plant} stands at place {other}.",
                        place=after.place,
                        dome=dome,
                        plant=trial.before.spoken,
                        other=place,
                    )
                )
    return dict(fixes), words


def _name_words(trial: _Trial, number: int) -> str:
    name = Cultivar.objects.get(pk=trial.after.cultivar_id) if trial.after.cultivar_id else ""
    return say(
        "There is a {name} {running_number} already: {spoken} is now called {name} {number}.",
        name=name,
        running_number=trial.after.running_number,
        spoken=trial.before.spoken,
        number=number,
    )
