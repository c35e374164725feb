"""Writing into the book: each function is one transaction; pages, terminal, imports and the demo all call these."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.forms.models import model_to_dict

from scionary.book import practice
from scionary.book.called import known_as, tidied
from scionary.book.ids import uuid7
from scionary.book.kinds import plain
from scionary.book.leases import check_ahead, take_numbers
from scionary.book.locks import gate, lock, lock_numbers
from scionary.book.models import Cultivar, Event, EventSubject, Method, Noun, Nursery, Plant, PotKind
from scionary.book.patience import patiently
from scionary.book.phones import spend
from scionary.book.projection import with_corrections
from scionary.book.record import Answer, NewEvent, record_events
from scionary.book.settle import void
from scionary.errors import Refused, UnknownSubject
from scionary.language import say
from scionary.limits import LIMITS

N = TypeVar("N", bound=Noun)


@patiently
def start_book(*, now: datetime, **nursery: Any) -> Nursery:
    """Make the first rows of a new book: the nursery, pot kinds and methods; an existing book is left alone."""
    found = Nursery.objects.order_by("id").first()
    if found is not None:
        return found
    with transaction.atomic():
        gate(alone=False)
        lock(["book:start"])
        found = Nursery.objects.order_by("id").first()  # another program may have been quicker
        if found is not None:
            return found
        for values in practice.POT_KINDS:
            save_noun(PotKind, values, now=now)
        for values in practice.METHODS:
            save_noun(Method, values, now=now)
        return save_noun(Nursery, nursery, now=now)


@patiently
def save_noun(model: type[N], values: Mapping[str, Any], *, now: datetime, pk: UUID | None = None, who: str = "") -> N:
    """Add a row, or change one, and write what it was before and after.

    Raises `Refused` naming the first field that cannot be as given; nothing is written then.
    """
    with transaction.atomic():
        gate(alone=False)
        row = _row_to_save(model, pk)
        before = _plain(row) if pk else None
        for name, value in values.items():
            if isinstance(value, float) and not math.isfinite(value):
                raise Refused(
                    say("{value} is no number.", value=value),
                    where=f"{model.noun}, {name}",
                    remedy=say("Give a finite number, or leave it empty."),
                )
            setattr(row, name, plain(value) if isinstance(value, str) else value)
        try:
            row.full_clean()
        except ValidationError as error:
            raise _refusal(model, error) from error
        lock([row.key])
        row.save(force_insert=pk is None)
        after = _plain(row)
        if before != after:
            payload = {"noun": model.noun, "before": before, "after": after}
            record_events([NewEvent("edited", now, (row.key,), payload, who=who)], now=now)
        return row


def _row_to_save(model: type[N], pk: UUID | None) -> N:
    if pk is None:
        return model()
    row = model._default_manager.select_for_update().filter(pk=pk).first()
    if row is None:
        raise UnknownSubject(
            say("the book holds no {noun} with this id.", noun=model.noun), where=model.noun, remedy=say("Choose one that is listed.")
        )
    return row


def _refusal(model: type[Noun], error: ValidationError) -> Refused:
    field, messages = next(iter(error.message_dict.items()))
    place = model.noun if field == "__all__" else f"{model.noun}, {field.replace('_', ' ')}"
    return Refused(messages[0], where=place, remedy=say("Change it and save again."))


def _plain(row: Noun) -> dict[str, Any]:
    """A row's values as JSON can hold them."""
    values = model_to_dict(row)
    return {
        name: value if isinstance(value, int | float | str | bool | list | dict | None) else str(value) for name, value in values.items()
    }


def cultivar_called(spoken: str, *, now: datetime, who: str = "") -> Cultivar:
    """The cultivar that has this name, its own or another one; a new one when the book holds none."""
    known = known_as(tidied(spoken)) or known_as(spoken)
    return Cultivar.objects.get(pk=known.cultivar) if known else save_noun(Cultivar, {"spoken": tidied(spoken)}, now=now, who=who)


@dataclass(frozen=True)
class GraftSetup:
    """What is set once before a run of grafts; only the cultivar is needed."""

    cultivar: UUID
    happened_at: datetime
    method: UUID | None = None
    lot: UUID | None = None
    tree: UUID | None = None
    bag: UUID | None = None
    bench: UUID | None = None
    dome: UUID | None = None
    pot: UUID | None = None
    stands: str = ""
    scion_mm: float | None = None
    stock_mm: float | None = None
    cut_mm: float | None = None
    lean_mm: float | None = None
    grafter: str = ""
    precision: str = "day"
    label_medium: str = ""
    label_light: str = ""
    note: str = ""

    def payload(self) -> dict[str, Any]:
        nouns = ("cultivar", "method", "lot", "tree", "bag", "bench", "dome", "pot")
        values: dict[str, Any] = {name: str(getattr(self, name)) for name in nouns if getattr(self, name)}
        plain = ("stands", "scion_mm", "stock_mm", "cut_mm", "lean_mm", "grafter", "precision", "label_medium", "label_light", "note")
        return values | {name: getattr(self, name) for name in plain if getattr(self, name) not in (None, "")}


@dataclass(frozen=True)
class Written:
    """Plants that were written down, in order, with the events and what was flagged."""

    plants: list[Plant]
    events: list[UUID]
    flags: list[str]


@patiently
def write_grafts(
    setup: GraftSetup,
    count: int,
    *,
    now: datetime,
    who: str = "",
    device: str = "",
    places: Sequence[int] = (),
    event_id: UUID | None = None,
    numbers: Sequence[int] = (),
) -> Written:
    """Write down so many new grafts, each a new plant with its code number, running number and place in the dome.

    With `numbers`, one a graft, they take the codes of labels that were printed ahead, or that a phone had for a graft the book refused.
    With `event_id`, the id of the first graft's event, the same call again writes nothing and gives nothing back.
    """
    if not 1 <= count <= LIMITS["batch_grafts"]:
        raise Refused(
            say("{count} grafts at once.", count=count),
            where="count",
            remedy=say("Give a number from 1 to {batch_grafts}.", batch_grafts=LIMITS["batch_grafts"]),
        )
    with transaction.atomic():
        lock_numbers()  # one person at a time numbers plants and places
        if event_id is not None and Event.objects.filter(id=event_id).exists():
            return Written([], [], [])
        if numbers:
            check_ahead(numbers)
            for number in numbers:
                spend(number)
        else:
            numbers = take_numbers(device, count, now=now)
        first = (Plant.objects.filter(cultivar_id=setup.cultivar).aggregate(Max("running_number"))["running_number__max"] or 0) + 1
        standing = list(places) or free_places(setup.dome, count)
        events = []
        for i in range(count):
            payload = {**setup.payload(), "code_number": numbers[i], "running_number": first + i}
            if standing:
                payload["place"] = standing[i]
            ident = event_id if event_id is not None and i == 0 else uuid7()
            events.append(NewEvent("grafted", setup.happened_at, (f"plant:{uuid7()}",), payload, id=ident, who=who, device=device))
        answers = record_events(events, now=now)
        idents = [UUID(event.subjects[0][6:]) for event in events]
        found = Plant.objects.select_related("cultivar", "dome").in_bulk(idents)
        return Written([found[ident] for ident in idents], [event.id for event in events], _flags(answers))


def free_places(dome: UUID | None, count: int) -> list[int]:
    """The first free places of a dome, counted from 1; none without a dome."""
    if dome is None:
        return []
    taken = set(Plant.objects.filter(dome_id=dome).exclude(place=None).values_list("place", flat=True))
    free: list[int] = []
    place = 1
    while len(free) < count:
        if place not in taken:
            free.append(place)
        place += 1
    return free


@patiently
def write_event(
    kind: str,
    subject: str,
    payload: Mapping[str, Any] | None = None,
    *,
    happened_at: datetime,
    now: datetime,
    who: str = "",
    device: str = "",
    event_id: UUID | None = None,
) -> Answer:
    """Write one event about a plant or dome that the book holds; a plant of nobody is refused.

    With `event_id`, the same call again writes nothing.
    """
    with transaction.atomic():
        if event_id is not None and Event.objects.filter(id=event_id).exists():
            return Answer(event_id, "repeated")
        event = (kind, subject, dict(payload or {}))
        return write_many([event], happened_at=happened_at, now=now, who=who, device=device, event_id=event_id)[0]


def write_many(
    events: Sequence[tuple[str, str | Sequence[str], dict[str, Any]]],
    *,
    happened_at: datetime,
    now: datetime,
    who: str = "",
    device: str = "",
    event_id: UUID | None = None,
) -> list[Answer]:
    """Write several events, all or none: (kind, subject key or keys, payload); `event_id` becomes the first one's id."""
    about = [(subject,) if isinstance(subject, str) else tuple(subject) for _, subject, _ in events]
    plants = {UUID(key[6:]) for keys in about for key in keys if key.startswith("plant:")}
    known = set(Plant.objects.filter(id__in=plants).values_list("id", flat=True))
    if plants - known:
        raise UnknownSubject(say("the book holds no such plant."), where="plant", remedy=say("Look it up under Plants."))
    new = [
        NewEvent(kind, happened_at, keys, payload, who=who, device=device) for (kind, _, payload), keys in zip(events, about, strict=True)
    ]
    if event_id is not None and new:
        new[0] = replace(new[0], id=event_id)
    return record_events(new, now=now)


def undo(event_id: UUID, *, now: datetime, who: str = "", device: str = "") -> Answer:
    """Undo an event: a correction that names it. Undo that correction to bring it back."""
    return correct(event_id, None, now=now, who=who, device=device)


def correct(event_id: UUID, replace: Mapping[str, Any] | None, *, now: datetime, who: str = "", device: str = "") -> Answer:
    """Correct fields of an event, or undo it when `replace` is None; this overrules the corrections that the book knows.

    Undoing what is undone already changes nothing and answers with the undo that stands.
    """
    return correct_many([(event_id, replace)], now=now, who=who, device=device)[0]


@patiently
def correct_many(
    changes: Sequence[tuple[UUID, Mapping[str, Any] | None]], *, now: datetime, who: str = "", device: str = ""
) -> list[Answer]:
    """Correct or undo several events as `correct` does one, all or none."""
    with transaction.atomic():
        gate(alone=True)  # what is read below must still hold when it is overruled
        made = [_correction(ident, values, now=now, who=who, device=device) for ident, values in changes]
        written = iter(record_events([each for each in made if isinstance(each, NewEvent)], now=now))
        return [next(written) if isinstance(each, NewEvent) else each for each in made]


def _correction(event_id: UUID, values: Mapping[str, Any] | None, *, now: datetime, who: str, device: str) -> NewEvent | Answer:
    """The correction to write; the answer where the event is undone already."""
    if not Event.objects.filter(id=event_id).exclude(kind="edited").exists():
        raise UnknownSubject(say("the book holds no such record."), where="event", remedy=say("Choose one from the plant's story."))
    records = with_corrections(event_id)
    gone = void(records)
    known = [record for record in records if record.target == event_id]
    if values is None and event_id in gone:
        standing = [record for record in known if record.id not in gone and not record.payload.get("replace")]
        return Answer(max(standing, key=lambda r: r.order).id, "repeated")
    subjects = tuple(EventSubject.objects.filter(event_id=event_id).values_list("subject_id", flat=True))
    payload: dict[str, Any] = {"target": str(event_id), "knew": [str(record.id) for record in known]}
    if values is not None:
        payload["replace"] = dict(values)
    return NewEvent("corrected", now, subjects, payload, who=who, device=device)


def noon(day: date, nursery: Nursery) -> datetime:
    """Noon of a day at the nursery: the moment of something that is known to the day only."""
    return datetime(day.year, day.month, day.day, 12, tzinfo=nursery.zone)


def _flags(answers: Sequence[Answer]) -> list[str]:
    return sorted({flag for answer in answers for flag in answer.flags})
