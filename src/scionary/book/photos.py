"""Photos that are kept: a small picture by its hash, and the record that says what it shows."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from scionary.book.commands import correct, save_noun, write_many
from scionary.book.kinds import KINDS
from scionary.book.locks import chunks, gate, lock
from scionary.book.models import NOUNS, Event, EventSubject, Photo, Plant, RawFile
from scionary.book.patience import patiently
from scionary.book.projection import record_of
from scionary.book.settle import Record, settle
from scionary.errors import UnknownSubject
from scionary.language import say

KIND = "photo"  # of the raw file
SHOWN = KINDS["photographed"].about
_LONGEST_NOTE = 2000


@dataclass(frozen=True)
class Picture:
    """A picture as it is kept, made small and bare before."""

    data: bytes
    width: int
    height: int


@dataclass(frozen=True)
class PhotoWritten:
    """The photo and its record; `known` says that the very photo of this thing was kept before, `noted` that its note says more now."""

    photo: Photo
    event: UUID
    known: bool = False
    noted: bool = False
    flags: tuple[str, ...] = ()


@dataclass(frozen=True)
class StandingPhoto:
    """A record that a photo was taken, as it stands after all corrections, with the keys of what it shows."""

    record: Record
    keys: tuple[str, ...]

    @property
    def photo(self) -> UUID:
        return UUID(str(self.record.payload["photo"]))


@patiently
def keep_photo(
    picture: Picture, key: str, *, note: str = "", happened_at: datetime, now: datetime, who: str = "", event_id: UUID | None = None
) -> PhotoWritten:
    """Keep a photo of a plant, dome, tree, bag or lot with a note, all or nothing; the same picture is kept once, whatever it shows.

    Sent again with another note, what is said of it is added to its record.
    """
    key = check_shown(key)
    with transaction.atomic():
        gate(alone=bool(note.strip()))  # a note that is added corrects a record
        lock(["photos:all"])  # two who send the same picture at once wait for each other
        if event_id is not None and (first := Event.objects.filter(pk=event_id, kind="photographed").first()):
            return PhotoWritten(Photo.objects.get(pk=first.payload["photo"]), event_id, known=True)
        photo = _kept(picture, happened_at, now, who)
        there = next((each for each in standing_photos([key]) if each.photo == photo.pk), None)
        if there is not None:
            return PhotoWritten(photo, there.record.id, known=True, noted=_noted(there.record, note, now=now, who=who))
        payload = {"photo": str(photo.pk), **({"note": note} if note.strip() else {})}
        answer = write_many([("photographed", key, payload)], happened_at=happened_at, now=now, who=who, event_id=event_id)[0]
        return PhotoWritten(photo, answer.id, flags=answer.flags)


def _noted(record: Record, note: str, *, now: datetime, who: str) -> bool:
    """Add a note to that of a photo which is kept already; whether it says anything new."""
    before, more = str(record.payload.get("note", "")).strip(), note.strip()
    if not more or more in before:
        return False
    both = f"{before}\n{more}" if before else more
    correct(record.id, {"note": both if len(both) <= _LONGEST_NOTE else more}, now=now, who=who)
    return True


def check_shown(key: str) -> str:
    """The key as subjects are spelled; what no photo can be of, and what the book does not hold, is refused."""
    noun, _, ident = key.partition(":")
    try:
        pk = UUID(ident) if noun in SHOWN else None
    except ValueError:
        pk = None
    rows = Plant._default_manager if noun == "plant" else NOUNS[noun]._default_manager if noun in SHOWN else None
    if pk is None or rows is None or not rows.filter(pk=pk).exists():
        remedy = say("Begin at the page of a {shown} or {shown2}.", shown=", ".join(SHOWN[:-1]), shown2=SHOWN[-1])
        raise UnknownSubject(say("the book holds nothing of this kind to take a photo of."), where="photo", remedy=remedy)
    return f"{noun}:{pk}"


def _kept(picture: Picture, taken_at: datetime, now: datetime, who: str) -> Photo:
    digest = hashlib.sha256(picture.data).hexdigest()
    values = {"name": "photo.jpg", "kind": KIND, "received_at": now, "data": picture.data}
    file, _ = RawFile.objects.get_or_create(sha256=digest, defaults=values)
    found = Photo.objects.filter(file=file).first()
    size = {"width": picture.width, "height": picture.height}
    return found or save_noun(Photo, {"taken_at": taken_at, "file": file, **size}, now=now, who=who)


def standing_photos(keys: Iterable[str] | None = None, *, event: UUID | None = None) -> list[StandingPhoto]:
    """Photos of these things that stand, the last taken first; of everything when no keys are given; or of one record alone."""
    links = EventSubject.objects.filter(event__kind="photographed")
    if keys is not None:
        links = links.filter(subject_id__in=list(keys))
    if event is not None:
        links = links.filter(event_id=event)
    events = _with_corrections(set(links.values_list("event_id", flat=True)))
    about: dict[UUID, list[str]] = {}
    for chunk in chunks(ident for ident, event in events.items() if event.kind == "photographed"):
        for ident, key in EventSubject.objects.filter(event_id__in=chunk).values_list("event_id", "subject_id"):
            about.setdefault(ident, []).append(key)
    standing = settle(record_of(event, events) for event in events.values())
    shown = [StandingPhoto(record, tuple(key for key in about[record.id] if key.split(":")[0] in SHOWN)) for record in standing]
    return sorted(shown, key=lambda each: each.record.order, reverse=True)


def _with_corrections(idents: set[UUID]) -> dict[UUID, Event]:
    events = {event.pk: event for chunk in chunks(idents) for event in Event.objects.filter(pk__in=chunk)}
    newest = set(events)
    while newest:
        found = {event.pk: event for chunk in chunks(newest) for event in Event.objects.filter(target__in=chunk, kind="corrected")}
        newest = set(found) - set(events)
        events |= found
    return events
