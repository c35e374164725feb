"""Writing events: one transaction, subjects locked in id order, states folded again from all events.

`record_events` is the one door through which anything that happened comes into the book.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.book.ids import uuid7
from scionary.book.kinds import KINDS, checked_payload, checked_replacement, read_moment, references
from scionary.book.models import NOUNS, Event, EventSubject, KeptAside, Subject
from scionary.book.projection import fold_again
from scionary.errors import Refused, UnknownSubject
from scionary.limits import LIMITS

# A device's clock may run a little fast; later than this and the date is flagged as lying in the future.
FUTURE_ALLOWANCE = timedelta(minutes=10)


@dataclass(frozen=True)
class NewEvent:
    """Something that happened, before it is written. Subjects are keys such as ``plant:<id>``."""

    kind: str
    happened_at: datetime
    subjects: tuple[str, ...] = ()
    payload: dict[str, Any] = field(default_factory=dict)
    id: UUID = field(default_factory=uuid7)
    who: str = ""
    device: str = ""
    clock_offset_s: float = 0.0


@dataclass(frozen=True)
class Answer:
    """What became of one event: recorded, repeated, kept aside, or waiting for what it names."""

    id: UUID
    status: str
    flags: tuple[str, ...] = ()


def record_events(events: Sequence[NewEvent], *, now: datetime) -> list[Answer]:
    """Write events, all or none, and fold their subjects again.

    Raises `Refused` when an event cannot be (unknown kind, bad field, a noun the book does not hold); nothing is
    written then. What really happened is never refused, only flagged in the answers.
    """
    checked = [_checked(event) for event in events]
    with transaction.atomic():
        _check_nouns(checked)
        lock(sorted(_affected(checked)))
        answers, fresh = _insert(checked, now)
        fold_again(_affected(fresh))
    return answers


def lock(keys: Sequence[str]) -> None:
    """Make sure that the subjects have a row, and lock these rows in the order of their keys."""
    Subject.objects.bulk_create([Subject(key=key) for key in keys], ignore_conflicts=True)
    list(Subject.objects.select_for_update().filter(key__in=keys).order_by("key").values_list("key", flat=True))


def _checked(event: NewEvent) -> NewEvent:
    moment = read_moment(event.happened_at)
    payload = checked_payload(event.kind, event.payload)
    if len(json.dumps(payload)) > LIMITS["payload_bytes"]:
        raise Refused("the record is too long.", where=event.kind, remedy="Shorten the note.")
    for key in event.subjects:
        _check_key(event.kind, key)
    subjects = {*event.subjects, *(key for _, key in references(event.kind, payload))}
    if not subjects:
        raise Refused("it is about nothing.", where=event.kind, remedy="Name the plant or dome that it concerns.")
    if event.kind != "corrected":
        about = KINDS[event.kind].about
        if about and not any(key.split(":")[0] in about for key in subjects):
            raise Refused(f"it must be about a {' or '.join(about)}.", where=event.kind, remedy="Name it.")
    return NewEvent(
        event.kind, moment, tuple(sorted(subjects)), payload, UUID(str(event.id)), event.who[:60], event.device[:60], float(event.clock_offset_s)
    )


def _check_key(kind: str, key: str) -> None:
    noun, _, ident = key.partition(":")
    try:
        UUID(ident)
    except ValueError:
        ident = ""
    if not ident or (noun not in NOUNS and noun != "plant"):
        raise Refused(f"{key[:60]!r} is no subject.", where=kind, remedy="A subject is a noun and its id, such as plant:0190….")


def _check_nouns(events: Iterable[NewEvent]) -> None:
    """Every noun that is named must be in the book; plants may arrive later than what is said of them."""
    named: dict[str, set[str]] = {}
    for event in events:
        for key in event.subjects:
            noun, _, ident = key.partition(":")
            if noun != "plant" and event.kind != "edited":
                named.setdefault(noun, set()).add(ident)
    for noun, idents in named.items():
        known = {str(pk) for pk in NOUNS[noun]._default_manager.filter(pk__in=idents).values_list("pk", flat=True)}
        missing = sorted(idents - known)
        if missing:
            raise UnknownSubject(f"the book holds no {noun} with the id {missing[0]}.", where=noun, remedy="Choose one that is listed.")


def content_of(event: NewEvent) -> dict[str, Any]:
    """What makes two events the same: everything but when it was recorded and the clock's offset."""
    return {
        "kind": event.kind,
        "happened_at": event.happened_at.timestamp(),
        "subjects": sorted(event.subjects),
        "payload": event.payload,
        "who": event.who,
        "device": event.device,
    }


def content_hash(content: dict[str, Any]) -> str:
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def _insert(events: Sequence[NewEvent], now: datetime) -> tuple[list[Answer], list[NewEvent]]:
    known = dict(Event.objects.filter(id__in=[event.id for event in events]).values_list("id", "content_sha256"))
    targets = {UUID(event.payload["target"]) for event in events if event.kind == "corrected"}
    present = dict(Event.objects.filter(id__in=targets).values_list("id", "kind"))
    present |= {event.id: event.kind for event in events if event.id in targets}
    answers: list[Answer] = []
    fresh: list[NewEvent] = []
    rows: list[Event] = []
    for event in events:
        content = content_of(event)
        digest = content_hash(content)
        if event.id in known:
            answers.append(_repeated(event, content, digest, known[event.id], now))
            continue
        known[event.id] = digest
        answer = _answer(event, present, now)
        answers.append(answer)
        fresh.append(event)
        rows.append(_row(event, digest, now))
    Event.objects.bulk_create(rows)
    EventSubject.objects.bulk_create([EventSubject(event_id=event.id, subject_id=key) for event in fresh for key in event.subjects])
    return answers, fresh


def _repeated(event: NewEvent, content: dict[str, Any], digest: str, known: str, now: datetime) -> Answer:
    if digest == known:
        return Answer(event.id, "repeated")
    KeptAside.objects.get_or_create(event_id=event.id, content_sha256=digest, defaults={"content": content, "received_at": now})
    return Answer(event.id, "kept aside", ("another record came before under the same id; both are kept",))


def _answer(event: NewEvent, present: dict[UUID, str], now: datetime) -> Answer:
    flags = []
    if event.happened_at > now + FUTURE_ALLOWANCE:
        flags.append(f"the date {event.happened_at.date().isoformat()} lies in the future")
    status = "recorded"
    if event.kind == "corrected":
        kind = present.get(UUID(event.payload["target"]))
        if kind is None:
            status = "waiting"
        elif kind not in ("corrected", "edited") and event.payload.get("replace"):
            checked_replacement(kind, event.payload["replace"])
    return Answer(event.id, status, tuple(flags))


def _row(event: NewEvent, digest: str, now: datetime) -> Event:
    target = UUID(event.payload["target"]) if event.kind == "corrected" else None
    return Event(
        id=event.id,
        kind=event.kind,
        happened_at=event.happened_at,
        who=event.who,
        device=event.device,
        payload=event.payload,
        target=target,
        content_sha256=digest,
        recorded_at=now,
        clock_offset_s=event.clock_offset_s,
    )


def _affected(events: Sequence[NewEvent]) -> set[str]:
    """Subjects whose state may change: those named, and for corrections those of what they correct."""
    keys = {key for event in events for key in event.subjects}
    targets = {UUID(event.payload["target"]) for event in events if event.kind == "corrected"}
    seen: set[UUID] = set()
    while targets - seen:
        seen |= targets
        keys |= set(EventSubject.objects.filter(event_id__in=targets).values_list("subject_id", flat=True))
        targets = {target for target in Event.objects.filter(id__in=targets).values_list("target", flat=True) if target}
    return keys
