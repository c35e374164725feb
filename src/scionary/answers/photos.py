"""Photos of a plant, dome, tree, bag or lot: taken in small and bare, shown with date and note."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from scionary.answers.things import Thing, checked_key, things
from scionary.book.models import Nursery, Photo
from scionary.book.photos import SHOWN, PhotoWritten, Picture, StandingPhoto, check_shown, keep_photo, standing_photos
from scionary.errors import UnknownSubject
from scionary.files.photos import smaller, too_heavy
from scionary.language import say

SMALL_SIDE = 320  # of a photo in a list, in points


@dataclass(frozen=True)
class ShownPhoto:
    """A photo as a page shows it."""

    event: UUID
    photo: UUID
    at: datetime
    note: str
    who: str = ""


def photos_of(key: str) -> list[ShownPhoto]:
    """The photos of a thing that stand, the last taken first."""
    noun, _, ident = key.partition(":")
    return [_shown(each) for each in standing_photos([f"{noun}:{UUID(ident)}"])]


def photo_called(event: UUID) -> tuple[ShownPhoto, str]:
    """A photo by the record that tells of it, and the key of what it shows."""
    found = next(iter(standing_photos(event=event)), None)
    if found is None:
        raise _gone()
    return _shown(found), found.keys[0]


def shown_thing(of: str, nursery: Nursery) -> Thing:
    """What a photo is to be of, from the key in an address; refused where the book holds no such thing."""
    key = checked_key(of) if of.split(":")[0] in SHOWN else ""
    check_shown(key)
    return things([key], nursery.zone)[key]


def take_photo(
    read: Callable[[], bytes], size: int, name: str, key: str, *, note: str, happened_at: datetime, now: datetime, who: str, event_id: UUID
) -> PhotoWritten:
    """Make a picture small and bare, and keep it; one that is too heavy is refused before it is read."""
    if refusal := too_heavy(size, name):
        raise refusal
    kept = smaller(read(), name)
    picture = Picture(kept.data, kept.width, kept.height)
    return keep_photo(picture, key, note=note, happened_at=happened_at, now=now, who=who, event_id=event_id)


def picture_data(ident: UUID, *, small: bool) -> bytes:
    """The bytes of a photo that some record shows; one whose records are all undone is not shown."""
    photo = Photo.objects.select_related("file").filter(pk=ident).first()
    if photo is None or not standing_photos([photo.key]):
        raise _gone()
    data = bytes(photo.file.data)
    return smaller(data, str(photo), longest=SMALL_SIDE, quality=75).data if small else data


def _gone() -> UnknownSubject:
    return UnknownSubject(
        say("the book shows no such photo."), where="photo", remedy=say("It may have been undone: look at the page that it was on.")
    )


def _shown(each: StandingPhoto) -> ShownPhoto:
    record = each.record
    return ShownPhoto(record.id, each.photo, record.happened_at, str(record.payload.get("note", "")), record.who)
