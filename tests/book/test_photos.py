"""Photos that are kept: once by their hash, undone by their record, in every backup and export."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from scionary.book.backup import backup, restore
from scionary.book.commands import correct, undo
from scionary.book.export import export
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, MotherTree, Photo, Plant, RawFile, RootstockLot
from scionary.book.photos import Picture, keep_photo, standing_photos
from scionary.errors import UnknownSubject

pytestmark = pytest.mark.django_db
RED, BLUE = Picture(b"a red picture", 4, 3), Picture(b"a blue picture", 4, 3)


def test_a_photo_of_anything_is_kept_with_its_note(plant: Plant, dome: Dome, tree: MotherTree, lot: RootstockLot, now: datetime) -> None:
    for thing in (plant, dome, tree, lot):
        keep_photo(RED, thing.key, note=f"of {thing}", happened_at=now, now=now)
        (found,) = standing_photos([thing.key])
        assert (found.record.payload["note"], found.keys) == (f"of {thing}", (thing.key,))
    assert (Photo.objects.count(), RawFile.objects.count(), Event.objects.filter(kind="photographed").count()) == (1, 1, 4)
    assert RawFile.objects.get().sha256 == hashlib.sha256(RED.data).hexdigest()


def test_the_same_photo_of_the_same_thing_is_written_once(plant: Plant, now: datetime) -> None:
    first = keep_photo(RED, plant.key, happened_at=now, now=now)
    again = keep_photo(RED, plant.key, note="again", happened_at=now, now=now)
    assert (first.known, again.known, again.event) == (False, True, first.event)
    ident = uuid7()
    for known in (False, True):
        assert keep_photo(BLUE, plant.key, happened_at=now, now=now, event_id=ident).known is known
    assert len(standing_photos([plant.key])) == 2


def test_a_photo_sent_again_with_a_new_note_keeps_both_notes(plant: Plant, now: datetime) -> None:
    keep_photo(RED, plant.key, happened_at=now, now=now)
    noted = [
        keep_photo(RED, plant.key, note=note, happened_at=now, now=now).noted for note in ("bud scales", "bud scales", "black wood", "")
    ]
    assert noted == [True, False, True, False]
    assert [each.record.payload["note"] for each in standing_photos([plant.key])] == ["bud scales\nblack wood"]


def test_undo_hides_it_and_brings_it_back(plant: Plant, now: datetime) -> None:
    done = keep_photo(RED, plant.key, happened_at=now, now=now)
    correction = undo(done.event, now=now)
    assert standing_photos([plant.key]) == standing_photos() == standing_photos(event=done.event) == []
    undo(correction.id, now=now)
    assert [each.record.id for each in standing_photos([plant.key])] == [done.event]


def test_a_corrected_note_stands_and_the_last_taken_comes_first(plant: Plant, now: datetime) -> None:
    late = keep_photo(RED, plant.key, note="bud", happened_at=now, now=now)
    keep_photo(BLUE, plant.key, happened_at=now - timedelta(days=1), now=now)
    correct(late.event, {"note": "bud scales"}, now=now)
    assert [each.record.payload.get("note") for each in standing_photos([plant.key])] == ["bud scales", None]


def test_a_photo_of_nothing_is_refused_and_nothing_is_kept(plant: Plant, now: datetime) -> None:
    for key in (f"plant:{uuid4()}", f"cultivar:{uuid4()}", "plant:none", "", "blade:x"):
        with pytest.raises(UnknownSubject, match="to take a photo of"):
            keep_photo(RED, key, happened_at=now, now=now)
    assert not RawFile.objects.exists()


def test_a_backup_brings_photos_back(plant: Plant, tmp_path: Path, now: datetime) -> None:
    keep_photo(RED, plant.key, note="bud", happened_at=now, now=now)
    backup(tmp_path / "book.zip", now=now)
    restore(tmp_path / "book.zip", now=now, replace=True)
    (found,) = standing_photos([plant.key])
    assert bytes(Photo.objects.select_related("file").get(pk=found.photo).file.data) == RED.data


def test_an_export_holds_each_picture_once_and_a_row_for_each_photo_that_stands(
    plant: Plant, dome: Dome, write: Callable[..., object], tmp_path: Path, now: datetime
) -> None:
    for thing in (plant, dome):
        keep_photo(RED, thing.key, note="mould", happened_at=now, now=now)
    undo(keep_photo(BLUE, plant.key, happened_at=now, now=now).event, now=now)
    assert export(tmp_path, now=now)["photos"] == 2
    rows = list(csv.DictReader(io.StringIO((tmp_path / "photos.csv").read_text(encoding="utf-8-sig"))))
    assert {row["about"] for row in rows} == {plant.key, dome.key}
    assert {row["note"] for row in rows} == {"mould"}
    pictures = list(tmp_path.glob("*.jpg"))
    assert [path.read_bytes() for path in pictures] == [RED.data]
    assert {row["file"] for row in rows} == {pictures[0].name}
