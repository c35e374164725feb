"""Writing events: one transaction, subjects locked in id order, states folded again from all events.

`record_events` is the one door through which anything that happened comes into the book.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.book import queries
from scionary.book.doubles import doubles, may_double
from scionary.book.ids import uuid7
from scionary.book.kinds import KINDS, checked_payload, checked_replacement, read_moment, references, text
from scionary.book.leafless import FLAG, leafless, told_by_stalk
from scionary.book.locks import chunks, gate, lock
from scionary.book.models import NOUNS, Event, EventSubject, KeptAside
from scionary.book.patience import patiently
from scionary.book.projection import fold_again
from scionary.errors import Refused, UnknownSubject
from scionary.language import either, say
from scionary.limits import LIMITS

# A device's clock may run a little fast; later than this and the date is flagged as lying in the future.
FUTURE_ALLOWANCE = timedelta(minutes=10)
_EDIT_TIMES = 50  # an edit holds a whole row before and after: it may be so many times longer than other payloads


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


def record_events(events: Sequence[NewEvent], *, now: datetime, apart: bool = False) -> list[Answer]:
    """Write events, all or none, and fold their subjects again; `apart` records each at a moment of its own, as if it came alone.

    Raises `Refused` when an event cannot be (unknown kind, bad field, a noun the book does not hold); nothing is
    written then. What really happened is never refused, only flagged in the answers.
    """
    moments = [now + timedelta(microseconds=place if apart else 0) for place in range(len(events))]
    return _write([_checked(event) for event in events], moments)


@patiently
def _write(events: Sequence[NewEvent], moments: Sequence[datetime]) -> list[Answer]:
    with transaction.atomic():
        gate(alone=any(event.kind == "corrected" for event in events))
        _check_nouns(events)
        lock(sorted(_affected(events)))
        answers, fresh = _insert(events, moments)
        fold_again(_affected(fresh))
        return _flagged(answers, fresh)


def _flagged(answers: Sequence[Answer], fresh: Sequence[NewEvent]) -> list[Answer]:
    """The answers with what is said of codes and names that two plants now share, and of signs that their grafts cannot show."""
    about = {event.id: _affected([event]) for event in fresh if may_double(event.kind, event.payload)}
    plants = {key: UUID(key[6:]) for keys in about.values() for key in keys if key.startswith("plant:")}
    told = doubles(set(plants.values())) if plants else {}
    more = {ident: [flag for key in sorted(keys) if key in plants for flag in told.get(plants[key], [])] for ident, keys in about.items()}
    more |= {ident: [*more.get(ident, []), FLAG] for ident in _leafless_stalks(fresh)}
    if not any(more.values()):
        return list(answers)
    return [replace(answer, flags=(*answer.flags, *more.get(answer.id, ()))) for answer in answers]


def _leafless_stalks(fresh: Sequence[NewEvent]) -> list[UUID]:
    """Events that score a stalk on grafts made without leaves."""
    scored = [event for event in fresh if told_by_stalk(event.kind, event.payload)]
    about = {event.id: {UUID(key[6:]) for key in event.subjects if key.startswith("plant:")} for event in scored}
    bare = leafless(sorted(set().union(*about.values()), key=str)) if about else set()
    return [ident for ident, plants in about.items() if plants & bare]


def _checked(event: NewEvent) -> NewEvent:
    moment = read_moment(event.happened_at)
    payload = checked_payload(event.kind, event.payload)
    _check_size(event.kind, payload)
    subjects = {*(_checked_key(event.kind, key) for key in event.subjects), *(key for _, key in references(event.kind, payload))}
    if not subjects:
        raise Refused(say("it is about nothing."), where=event.kind, remedy=say("Name the plant or dome that it concerns."))
    if event.kind != "corrected":
        about = KINDS[event.kind].about
        if about and not any(key.split(":")[0] in about for key in subjects):
            raise Refused(say("it must be about a {about}.", about=either(about)), where=event.kind, remedy=say("Name it."))
    if event.kind in ("grafted", "regrafted") and sum(key.startswith("plant:") for key in subjects) > 1:
        raise Refused(say("it is about several plants."), where=event.kind, remedy=say("Write one for each plant."))
    offset = float(event.clock_offset_s)
    return NewEvent(
        kind=event.kind,
        happened_at=moment,
        subjects=tuple(sorted(subjects)),
        payload=payload,
        id=_checked_id(event),
        who=text(1000)(event.who)[:60],
        device=text(1000)(event.device)[:60],
        clock_offset_s=offset if math.isfinite(offset) else 0.0,
    )


def _check_size(kind: str, payload: dict[str, Any]) -> None:
    try:
        length = len(json.dumps(payload, allow_nan=False))
    except ValueError:
        raise Refused(say("it holds a number that is none."), where=kind, remedy=say("Give finite numbers.")) from None
    if length > LIMITS["payload_bytes"] * (_EDIT_TIMES if kind == "edited" else 1):
        raise Refused(say("the record is too long."), where=kind, remedy=say("Shorten the note."))


def _checked_id(event: NewEvent) -> UUID:
    try:
        return UUID(str(event.id))
    except ValueError:
        raise Refused(
            say("{value!r} is no id.", value=str(event.id)[:40]),
            where=event.kind,
            remedy=say("Give a UUID, made where the record is written."),
        ) from None


def _checked_key(kind: str, key: str) -> str:
    """The key in its one spelling."""
    noun, _, ident = key.partition(":")
    try:
        spelled = str(UUID(ident))
    except ValueError:
        spelled = ""
    if not spelled or (noun not in NOUNS and noun != "plant"):
        raise Refused(
            say("{key!r} is no subject.", key=key[:60]), where=kind, remedy=say("A subject is a noun and its id, such as plant:0190….")
        )
    return f"{noun}:{spelled}"


def _check_nouns(events: Iterable[NewEvent]) -> None:
    """Every noun that is named must be in the book; plants may arrive later than what is said of them."""
    named: dict[str, set[str]] = {}
    for event in events:
        for key in event.subjects:
            noun, _, ident = key.partition(":")
            if noun != "plant" and event.kind != "edited":
                named.setdefault(noun, set()).add(ident)
    for noun, idents in named.items():
        rows = NOUNS[noun]._default_manager
        known = {str(pk) for chunk in chunks(idents) for pk in rows.filter(pk__in=chunk).values_list("pk", flat=True)}
        missing = sorted(idents - known)
        if missing:
            raise UnknownSubject(
                say("the book holds no {noun} with the id {missing}.", noun=noun, missing=missing[0]),
                where=noun,
                remedy=say("Choose one that is listed."),
            )


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


def _insert(events: Sequence[NewEvent], moments: Sequence[datetime]) -> tuple[list[Answer], list[NewEvent]]:
    known = _stored("content_sha256", {event.id for event in events})
    targets = {UUID(event.payload["target"]) for event in events if event.kind == "corrected"}
    present = _stored("kind", targets)
    present |= {event.id: event.kind for event in events if event.id in targets}
    answers: list[Answer] = []
    fresh: list[NewEvent] = []
    rows: list[Event] = []
    for event, now in zip(events, moments, strict=True):
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


def _stored(column: str, idents: Iterable[UUID]) -> dict[UUID, str]:
    """One column of the events that the book holds already, by their ids."""
    return {ident: value for chunk in chunks(idents) for ident, value in Event.objects.filter(id__in=chunk).values_list("id", column)}


def _repeated(event: NewEvent, content: dict[str, Any], digest: str, known: str, now: datetime) -> Answer:
    if digest == known:
        return Answer(event.id, "repeated")
    KeptAside.objects.get_or_create(event_id=event.id, content_sha256=digest, defaults={"content": content, "received_at": now})
    return Answer(event.id, "kept aside", (say("another record came before under the same id; both are kept"),))


def _answer(event: NewEvent, present: dict[UUID, str], now: datetime) -> Answer:
    flags = []
    if event.happened_at > now + FUTURE_ALLOWANCE:
        day = event.happened_at.astimezone(queries.nursery().zone).date()
        flags.append(say("the date {date} lies in the future", date=day.isoformat()))
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
        keys |= {key for c in chunks(targets) for key in EventSubject.objects.filter(event_id__in=c).values_list("subject_id", flat=True)}
        targets = {t for c in chunks(targets) for t in Event.objects.filter(id__in=c).values_list("target", flat=True) if t}
    return keys
