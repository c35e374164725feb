"""What a phone wrote without a signal comes into the book: each record once, checked like every other.

A bench day and a bag of scions are made with the ids that the phone gave them, in one transaction with the record that tells of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import DataError, IntegrityError, transaction
from django.forms.models import model_to_dict

from scionary.book.bags import make_bag
from scionary.book.kinds import Reference, read_moment, text
from scionary.book.locks import gate, lock
from scionary.book.models import NOUNS, BenchDay, Device, Event, EventSubject, MotherTree, Noun, Nursery, Plant, ScionBag
from scionary.book.patience import patiently
from scionary.book.phones import leased_to_a_phone, spend
from scionary.book.record import Answer, NewEvent, record_events
from scionary.book.two_rounds import contradicts, hand, outcome_words
from scionary.errors import Busy, Refused, UnknownSubject
from scionary.language import say
from scionary.names import code_of, grouped

_TOGETHER = frozenset({"observed", "scored", "watered", "vented", "treated", "lost"})  # what a round writes: it tells of its plants alone
_Flags = Mapping[UUID, list[str]]
_BENCH_ROWS = {"cultivar": "cultivar", "method": "method", "lot": "lot", "tree": "tree", "bag": "bag", "dome": "dome", "pot": "pot_kind"}
_LONGEST_OFFSET_S = 1e10  # 300 years: a clock cannot be further off than the years that a book holds
_FIRST_DAY, _LAST_DAY = date(1900, 1, 1), date(2900, 12, 31)
_HIGHEST_NUMBER = 2**31 - 1


@dataclass(frozen=True)
class Sent:
    """The event as it will be written, and what is flagged about it already."""

    event: NewEvent
    flags: tuple[str, ...] = ()


@patiently
def take_run(given: Sequence[Any], device: Device, *, now: datetime) -> list[Answer]:
    """Take the first of some records in one transaction: what a round wrote, as far as each is about other plants and domes.

    Their answers are those of `take_record`, record by record. There are none, and nothing is written, when the first is
    another kind of record or one of them cannot be written. Raises `Busy` when somebody else was writing.
    """
    run = _run(given, device)
    if len(run) < 2:
        return []
    try:
        with transaction.atomic():
            gate(alone=False)
            first = Event.objects.in_bulk([event.id for event in run])
            run = [replace(event, who=first[event.id].who, device=first[event.id].device) if event.id in first else event for event in run]
            before = _flags_on_plants(*run)
            answers = record_events(run, now=now, apart=True)
            after = _flags_on_plants(*run)
            return [_told_of_its_plants(answer, event, before, after) for answer, event in zip(answers, run, strict=True)]
    except Busy:
        raise
    except (Refused, DataError, IntegrityError):
        return []


def _run(given: Sequence[Any], device: Device) -> list[NewEvent]:
    """The first records that a round wrote, as far as each is about other plants and domes."""
    run: list[NewEvent] = []
    about: set[Any] = set()
    for each in given:
        try:
            event = _event(each, device)
        except Refused:
            break
        named = {event.id, *event.subjects, *_plants(event)}
        if event.kind not in _TOGETHER or named & about:
            break
        about |= named
        run.append(event)
    return run


@patiently
def take_record(given: Any, device: Device, *, nursery: Nursery, now: datetime) -> Answer:
    """Take one record of a phone; raises `Refused` with what is wrong with it, and nothing of it is written then."""
    event = _event(given, device)
    with transaction.atomic():
        gate(alone=event.kind == "corrected")
        first = Event.objects.filter(pk=event.id).first()
        if first is not None:  # a saved file may be sent by another phone than the one that wrote it
            event = replace(event, who=first.who, device=first.device)
        if event.kind == "bench_set":
            return _set_bench(event, known=first is not None, now=now)
        sent = _with_issued_code(event, first)
        if first is None and event.kind == "scions_cut":
            _make_bag(sent.event, nursery, now=now)
        return _recorded(sent, now=now)


def _recorded(sent: Sent, *, now: datetime) -> Answer:
    before = _flags_on_plants(sent.event)
    answer = record_events([sent.event], now=now)[0]
    number = sent.event.payload.get("code_number")
    if answer.status == "recorded" and number is not None:
        spend(number)
    if sent.event.kind != "corrected":
        answer = _told_of_its_plants(answer, sent.event, before, _flags_on_plants(sent.event))
    return replace(answer, flags=(*answer.flags, *sent.flags)) if answer.status != "repeated" else answer


def _flags_on_plants(*events: NewEvent) -> dict[UUID, list[str]]:
    """What is flagged on each plant that they are about; one that is not there is left out."""
    asked = set().union(*map(_plants, events))
    return dict(Plant.objects.filter(pk__in=asked).order_by().values_list("pk", "flags"))


def _plants(event: NewEvent) -> set[UUID]:
    """Their ids; a subject that is none is refused where the event is checked."""
    found = set()
    for key in event.subjects:
        with suppress(ValueError):
            found |= {UUID(key[6:])} if key.startswith("plant:") else set()
    return found


def _told_of_its_plants(answer: Answer, event: NewEvent, before: _Flags, after: _Flags) -> Answer:
    """The answer with what it newly flags on its plants; it waits for those that are not there, and says why they are not."""
    if answer.status not in ("recorded", "repeated"):
        return answer
    plants = _plants(event)
    fresh = [say(flag) for plant in plants & set(after) for flag in after[plant] if flag not in before.get(plant, [])]
    missing = plants - set(after) if event.kind != "grafted" else set()
    status = "waiting" if missing and answer.status == "recorded" else answer.status
    told = [*fresh, *_why_missing(missing), *_contradicted(event)]
    return replace(answer, status=status, flags=(*answer.flags, *dict.fromkeys(told)))


def _contradicted(event: NewEvent) -> list[str]:
    """Another phone, or somebody else, who says differently of the plant on the same walk."""
    other = contradicts({f"plant:{plant}" for plant in _plants(event)}, event.id, event.kind, event.payload)
    if other is None:
        return []
    return [say("{hand} wrote {outcome} on the same walk: the later of the two holds", hand=hand(other), outcome=outcome_words(other))]


def _why_missing(plants: set[UUID]) -> list[str]:
    keys = {f"plant:{plant}" for plant in plants}
    grafts = EventSubject.objects.filter(subject_id__in=keys, event__kind="grafted")
    undone = set(grafts.values_list("subject_id", flat=True)) if keys else set()
    told = [say("the graft was undone in the book: this is kept there, and counts when the graft is brought back")] if undone else []
    return told + ([say("the graft has not arrived in the book: this is kept there, and counts when it has")] if keys - undone else [])


def _event(given: Any, device: Device) -> NewEvent:
    """The event that was sent, with its outer parts checked; the payload is checked where all are."""
    if not isinstance(given, Mapping):
        raise Refused(
            say("it is no record."), where="events", remedy=say("Send an object with id, kind, happened_at, subjects and payload.")
        )
    kind, payload, subjects = given.get("kind"), given.get("payload") or {}, given.get("subjects") or []
    if not isinstance(kind, str) or kind == "edited":
        raise Refused(
            say("{kind!r} is nothing that a phone can write.", kind=str(kind)[:40]), where="kind", remedy=say("Name the kind of record.")
        )
    if not isinstance(payload, Mapping):
        raise Refused(say("the payload holds no fields."), where=kind, remedy=say("Send an object of fields and their values."))
    if not isinstance(subjects, list) or not all(isinstance(key, str) for key in subjects):
        raise Refused(say("it does not list what it is about."), where=kind, remedy=say("List subjects such as plant:0190…."))
    return NewEvent(
        kind=kind,
        happened_at=read_moment(given.get("happened_at")),
        subjects=tuple(subjects),
        payload=dict(payload),
        id=_uuid(given.get("id"), kind, say("no id")),
        who=device.user.get_username()[:60] if device.user else "",
        device=device.name,
        clock_offset_s=_offset(given.get("clock_offset_s")),
    )


def _uuid(value: Any, where: str, wrong: str) -> UUID:
    try:
        return UUID(value if isinstance(value, str) else "")
    except ValueError:
        raise Refused(
            say("{value!r} is {wrong}.", value=str(value)[:40], wrong=wrong),
            where=where,
            remedy=say("Give a UUID, made where the record is written."),
        ) from None


def _offset(value: Any) -> float:
    """How far the phone's clock was off, in seconds; it is told beside the record and decides nothing."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LONGEST_OFFSET_S or not math.isfinite(value):
        return 0.0
    return float(value)


def _with_issued_code(event: NewEvent, first: Event | None) -> Sent:
    """A code that this book gave to no phone is nobody's: the plant is written down without it, what its label says goes into the note."""
    number = event.payload.get("code_number")
    if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number <= _HIGHEST_NUMBER or event.kind == "corrected":
        return Sent(event)
    left_out = "code_number" not in first.payload if first is not None else not leased_to_a_phone(number)
    if not left_out:
        return Sent(event)
    code = grouped(code_of(number)) if number < 6_000_000 else str(number)
    note = event.payload.get("note")
    told = f"Its label says {code}, a code that this book gave to no phone."  # kept in the record
    payload = {name: value for name, value in event.payload.items() if name != "code_number"}
    payload["note"] = f"{note[:1900]}\n{told}" if isinstance(note, str) and note.strip() else told
    return Sent(
        replace(event, payload=payload), (say("{code} was given to no phone by this book: it is written down without a code", code=code),)
    )


def _set_bench(event: NewEvent, *, known: bool, now: datetime) -> Answer:
    """The bench day that a phone set, told by an `edited` record under the phone's own id."""
    row = BenchDay(**_bench_values(event))
    if [*event.subjects] not in ([], [row.key]):
        raise Refused(say("it is about another bench day than it sets."), where="bench_set", remedy=say("Name {key}.", key=row.key))
    told = replace(event, kind="edited", subjects=(row.key,), payload={"noun": row.noun, "before": None, "after": _plain(row)})
    if not known:
        lock([row.key])
        first = Event.objects.filter(pk=event.id).first()  # the same parcel may have come in twice at once
        if first is not None:
            told = replace(told, who=first.who, device=first.device)
        elif BenchDay.objects.filter(pk=row.pk).exists():
            raise Refused(say("the book holds a bench day with this id."), where="bench_set", remedy=say("Set the bench again."))
        else:
            row.save(force_insert=True)
    return record_events([told], now=now)[0]


def _bench_values(event: NewEvent) -> dict[str, Any]:
    payload = event.payload
    unknown = set(map(str, payload)) - {*_BENCH_ROWS, "bench", "day", "grafter"}
    if unknown:
        raise Refused(
            say("no field is called {name!r}.", name=min(unknown)[:40]),
            where="bench_set",
            remedy=say("Fields: bench, day, grafter, {bench_rows}.", bench_rows=", ".join(_BENCH_ROWS)),
        )
    values: dict[str, Any] = {"id": _uuid(payload.get("bench"), "bench_set", say("no id of a bench day"))}
    values["day"] = _day(payload.get("day"))
    values["grafter"] = _read("grafter", text(60), payload.get("grafter") or "")
    for name, column in _BENCH_ROWS.items():
        if payload.get(name):
            values[column] = _row(name, payload[name])
    if "cultivar" not in values:
        raise Refused(say("'cultivar' is missing."), where="bench_set", remedy=say("Name the cultivar that is grafted."))
    return values


def _day(value: Any) -> date:
    try:
        found = date.fromisoformat(str(value))
    except ValueError:
        found = date.min
    if not _FIRST_DAY <= found <= _LAST_DAY:
        raise Refused(say("{value!r} is no day.", value=str(value)[:40]), where="bench_set", remedy=say("Give it as 2026-02-14."))
    return found


def _read(name: str, check: Callable[[Any], Any], value: Any) -> Any:
    try:
        return check(value)
    except ValueError as error:
        raise Refused(
            say("{name} is {value!r}.", name=name, value=str(value)[:80]), where="bench_set", remedy=say("Give {error}.", error=error)
        ) from None


def _row(name: str, value: Any) -> Noun:
    ident = _read(name, Reference(name), value)
    found = NOUNS[name]._default_manager.filter(pk=ident).first()
    if found is None:
        raise UnknownSubject(
            say("the book holds no {name} with the id {ident}.", name=name, ident=ident),
            where=name,
            remedy=say("Choose one that is listed."),
        )
    return found


def _plain(row: BenchDay) -> dict[str, Any]:
    """A bench day's values as JSON can hold them."""
    values = model_to_dict(row).items()
    return {name: value if isinstance(value, int | float | str | bool | None) else str(value) for name, value in values}


def _make_bag(event: NewEvent, nursery: Nursery, *, now: datetime) -> None:
    """The bag that the sticks went into, when the book does not hold it yet."""
    subjects = {noun: ident for noun, _, ident in (key.partition(":") for key in event.subjects)}
    if "bag" not in subjects or "tree" not in subjects:
        return
    bag, tree = _uuid(subjects["bag"], "bag", say("no id of a bag")), _uuid(subjects["tree"], "tree", say("no id of a tree"))
    found = MotherTree.objects.select_related("cultivar").filter(pk=tree).first()
    lock([f"bag:{bag}"])
    if found is not None and not ScionBag.objects.filter(pk=bag).exists():
        make_bag(bag, found, event, nursery, now=now)
