"""The whole book in one archive of open formats, and back."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.conf import settings
from django.db import connection
from django.db.models import Max

from scionary.book.archive import written
from scionary.book.backup import SKIPPED_NUMBERS, Counts, backup, holds_records, restore
from scionary.book.commands import Written, save_noun, undo
from scionary.book.leases import LAST_NUMBER
from scionary.book.models import (
    NOUNS,
    AcceptedPlan,
    CodeLease,
    Cultivar,
    Dome,
    Event,
    KeptAside,
    Nursery,
    OtherName,
    Photo,
    Plant,
    PrintedSheet,
    RawFile,
    Sensor,
    Trial,
    Wish,
)
from scionary.book.projection import columns
from scionary.book.readings import keep_file, load_readings, store_readings
from scionary.book.record import Answer, NewEvent, record_events
from scionary.book.rows import as_plain
from scionary.errors import BadFile, BookNotEmpty, Refused


def state() -> dict[str, Any]:
    """All that a backup must bring back, compared value by value."""
    nouns = {noun: [as_plain(row) for row in model.objects.order_by("pk")] for noun, model in NOUNS.items()}
    events = [as_plain(e) | {"subjects": sorted(e.subjects.values_list("key", flat=True))} for e in Event.objects.order_by("pk")]
    aside = [as_plain(row, without=["id"]) for row in KeptAside.objects.order_by("event_id", "content_sha256")]
    readings = {sensor.name: load_readings(sensor).tobytes() for sensor in Sensor.objects.all()}
    files = {file.sha256: (file.name, file.kind, file.received_at, bytes(file.data)) for file in RawFile.objects.all()}
    return {"columns": columns(), "nouns": nouns, "events": events, "aside": aside, "readings": readings, "files": files}


@pytest.fixture
def full(
    graft: Callable[..., Written],
    dome: Dome,
    write: Callable[..., Answer],
    cultivar: Cultivar,
    trial: Callable[..., Trial],
    now: datetime,
) -> dict[str, Any]:
    """A book with something of everything in it."""
    plants = graft(3, dome=dome.pk, note='in frost; "dry", with Ångström’s pencil', scion_mm=5.1, stock_mm=7.3).plants
    write("scored", plants[0], days=31, sign="firm", answer="yes", who="Ina")
    undo(write("lost", plants[1], days=31, cause="mould").id, now=now)
    event = NewEvent("moved", now, (plants[2].key,), {"place": 9}, device="phone")
    record_events([event], now=now)
    record_events([NewEvent("moved", now, (plants[2].key,), {"place": 8}, event.id, device="phone")], now=now)
    write("vented", dome, days=31, open_pct=33)
    save_noun(Wish, {"cultivar": cultivar, "wanted": 12, "season": 2026, "worth": "24.50", "by_when": now.date()}, now=now)
    save_noun(AcceptedPlan, {"season": 2026, "accepted_at": now, "lines": [{"cultivar": str(cultivar.pk), "grafts": 20}]}, now=now)
    save_noun(OtherName, {"name": "Tarn Blush", "cultivar": cultivar}, now=now)
    save_noun(PrintedSheet, {"kind": "dome_card", "code": "K7", "printed_at": now, "layout": {"places": [1]}, "dome": dome}, now=now)
    trial(left_out=[{"dome": str(dome.pk), "filling": 1, "place": 4, "why": "the knife slipped"}])
    sensor = save_noun(Sensor, {"name": "logger 1", "dome": dome}, now=now)
    minutes = np.arange(3_000.0)
    store_readings(
        sensor, np.column_stack([now.timestamp() + 60 * minutes, 20 + np.sin(minutes), np.where(minutes % 7, 92 + 1 / 3, np.nan)])
    )
    file, _ = keep_file(b"\x00\xfftime;temp", "dome 1.csv", "logger", now=now)
    save_noun(Photo, {"taken_at": now, "file": file, "width": 4, "height": 3}, now=now)
    return state()


def test_no_kind_of_noun_is_left_out(archive: Path) -> None:
    with zipfile.ZipFile(archive) as opened:
        held = {name.split("/")[1] for name in opened.namelist() if name.startswith("nouns/")}
    assert held == {f"{noun}.jsonl" for noun in NOUNS}


@pytest.fixture
def archive(full: dict[str, Any], tmp_path: Path, now: datetime) -> Path:
    path = tmp_path / "book.zip"
    backup(path, now=now)
    return path


def rewritten(path: Path, change: Callable[[dict[str, bytes]], None], *, honest: bool = False) -> Path:
    """The archive with its members changed; `honest` makes the manifest agree again."""
    with zipfile.ZipFile(path) as old:
        members = {name: old.read(name) for name in old.namelist()}
    change(members)
    if honest:
        manifest = json.loads(members["manifest.json"])
        inside = {name: data for name, data in members.items() if name != "manifest.json"}
        manifest["members"] = {name: {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)} for name, data in inside.items()}
        members["manifest.json"] = json.dumps(manifest).encode()
    other = path.with_name("changed.zip")
    with zipfile.ZipFile(other, "w") as new:
        for name, data in members.items():
            new.writestr(name, data)
    return other


def test_a_backup_restored_is_the_same_book(full: dict[str, Any], archive: Path, now: datetime) -> None:
    restored = restore(archive, replace=True, now=now)
    assert state() == full
    assert restored.counts == Counts(nouns=14, events=Event.objects.count(), readings=3_000, files=1)


def test_a_backup_is_of_open_formats_with_a_hash_for_each_part(full: dict[str, Any], archive: Path, now: datetime) -> None:
    with zipfile.ZipFile(archive) as file:
        manifest = json.loads(file.read("manifest.json"))
        parts = {name: file.read(name) for name in file.namelist() if name != "manifest.json"}
    assert (manifest["format"], manifest["version"], manifest["made_at"]) == ("scionary book", 1, now.isoformat())
    assert {name: hashlib.sha256(data).hexdigest() for name, data in parts.items()} == {
        n: m["sha256"] for n, m in manifest["members"].items()
    }
    events = [json.loads(line) for line in parts["events.jsonl"].splitlines()]
    assert len(events) == manifest["members"]["events.jsonl"]["rows"] == Event.objects.count()
    (readings,) = (list(csv.DictReader(io.StringIO(data.decode()))) for name, data in parts.items() if name.startswith("readings/"))
    assert float(readings[1]["time_s"]) == now.timestamp() + 60
    assert readings[0]["relative_humidity_pct"] == ""


def test_accounts_are_not_part_of_a_backup(archive: Path) -> None:
    with zipfile.ZipFile(archive) as file:
        assert not [name for name in file.namelist() if "auth" in name or "user" in name or "session" in name]


def test_a_backup_goes_into_a_book_that_was_just_made(
    nursery: Nursery, request: pytest.FixtureRequest, tmp_path: Path, now: datetime
) -> None:
    backup(tmp_path / "just made.zip", now=now)
    full, archive = request.getfixturevalue("full"), request.getfixturevalue("archive")
    restore(tmp_path / "just made.zip", replace=True, now=now)
    assert not holds_records()
    assert restore(archive, now=now).safety is None
    assert state() == full


def test_a_book_that_holds_records_is_not_overwritten_unasked(full: dict[str, Any], archive: Path, now: datetime) -> None:
    with pytest.raises(BookNotEmpty, match="the book holds records already"):
        restore(archive, now=now)
    assert state() == full


@pytest.mark.parametrize("change", ["a cultivar", "a setting"])
def test_anything_written_makes_a_book_hold_records(nursery: Nursery, now: datetime, change: str) -> None:
    assert not holds_records()
    if change == "a cultivar":
        save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    else:
        save_noun(Nursery, {"name": "Tarn Bridge Nursery"}, now=now, pk=nursery.pk)
    assert holds_records()


def test_replacing_keeps_what_was_there_beside_the_book(
    full: dict[str, Any], archive: Path, write: Callable[..., Answer], now: datetime
) -> None:
    write("lost", Plant.objects.all()[0], days=60)
    newer = state()
    restored = restore(archive, replace=True, now=now + timedelta(days=61))
    assert restored.safety is not None
    assert restored.safety.parent == settings.DATA_FOLDER
    assert state() == full
    restore(restored.safety, replace=True, now=now + timedelta(days=62))
    assert state() == newer


def test_no_code_number_is_issued_again_after_a_restore(
    full: dict[str, Any], archive: Path, graft: Callable[..., Written], now: datetime
) -> None:
    later = graft(250).plants
    restore(archive, replace=True, now=now)
    numbers = {plant.code_number for plant in graft(2).plants}
    assert min(number or 0 for number in numbers) > max(plant.code_number or 0 for plant in later)
    assert max(Plant.objects.exclude(code_number__in=numbers).aggregate(last=Max("code_number")).values()) == 2


def test_numbers_that_a_lost_book_issued_after_its_backup_are_not_issued_again(
    full: dict[str, Any], archive: Path, graft: Callable[..., Written], now: datetime
) -> None:
    """The disk is lost with all that was grafted since the backup; the plants, and their labels, are not."""
    labelled = {plant.code_number for plant in graft(450).plants}
    CodeLease.objects.all().delete()
    restore(archive, replace=True, now=now)
    fresh = {plant.code_number for plant in graft(450).plants}
    assert labelled.isdisjoint(fresh)
    assert min(number or 0 for number in fresh) >= SKIPPED_NUMBERS


def test_near_the_last_number_a_restore_leaves_some(
    full: dict[str, Any], archive: Path, graft: Callable[..., Written], now: datetime
) -> None:
    lease = CodeLease.objects.order_by("-first")[0]
    end = LAST_NUMBER - 999
    CodeLease.objects.create(device=lease.device, first=end - 1, count=1, used=1, leased_at=now)
    restore(archive, replace=True, now=now)
    assert graft(100).plants[0].code_number == end + 500


def test_a_backup_that_fails_leaves_the_older_one_and_nothing_else(archive: Path, now: datetime) -> None:
    before = archive.read_bytes()
    with pytest.raises(ZeroDivisionError), written(archive, now) as writer:
        writer.add("events.jsonl", (bytes([1 // number]) for number in (1, 0)))
    assert archive.read_bytes() == before
    assert [path.name for path in archive.parent.iterdir()] == ["book.zip"]


def test_a_backup_takes_the_place_of_an_older_one(archive: Path, now: datetime) -> None:
    RawFile.objects.update(name="dome 1, again.csv")
    newer = state()
    backup(archive, now=now)
    restore(archive, replace=True, now=now)
    assert state() == newer


@pytest.mark.parametrize("name", ["no such folder/book.zip", "."])
def test_a_place_that_cannot_be_written_is_refused(nursery: Nursery, tmp_path: Path, now: datetime, name: str) -> None:
    with pytest.raises(Refused, match="Name a file in a folder that exists"):
        backup(tmp_path / name, now=now)
    assert list(tmp_path.iterdir()) == []


def truncate(members: dict[str, bytes]) -> None:
    members["events.jsonl"] = members["events.jsonl"][:-50]


def drop(members: dict[str, bytes]) -> None:
    del members["devices.jsonl"]


def smuggle(members: dict[str, bytes]) -> None:
    members["../../book.sqlite3"] = b"SQLite format 3\x00"


def foreign(members: dict[str, bytes]) -> None:
    members["manifest.json"] = b'{"format": "a shopping list"}'


def newer(members: dict[str, bytes]) -> None:
    members["manifest.json"] = json.dumps(json.loads(members["manifest.json"]) | {"version": 2}).encode()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (truncate, "changed.zip, events.jsonl: its content is not what was written"),
        (drop, "its members are not those of its manifest"),
        (smuggle, "its members are not those of its manifest"),
        (foreign, "this is no backup of a book"),
        (newer, "a newer version of the program wrote it"),
    ],
)
def test_a_damaged_or_foreign_archive_is_refused_and_nothing_changes(
    full: dict[str, Any], archive: Path, now: datetime, change: Callable[[dict[str, bytes]], None], message: str
) -> None:
    with pytest.raises(BadFile, match=message):
        restore(rewritten(archive, change), replace=True, now=now)
    assert state() == full


def alter_event(members: dict[str, bytes]) -> None:
    members["events.jsonl"] = members["events.jsonl"].replace(b'"cause": "mould"', b'"cause": "frost"')


def alter_column(members: dict[str, bytes]) -> None:
    members["nouns/dome.jsonl"] = members["nouns/dome.jsonl"].replace(b'"length_mm"', b'"reach_mm"')


def alter_reading(members: dict[str, bytes]) -> None:
    name = next(name for name in members if name.startswith("readings/"))
    members[name] = members[name].replace(b",", b";")


def alter_file(members: dict[str, bytes]) -> None:
    name = next(name for name in members if name.startswith("files/"))
    members[name] = b"something else"


def forget_cultivars(members: dict[str, bytes]) -> None:
    members["nouns/cultivar.jsonl"] = b""


def no_json(members: dict[str, bytes]) -> None:
    members["leases.jsonl"] = b"[1, 2]\n"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (alter_event, r"events.jsonl, line \d+: this line is none of a book"),
        (alter_column, "nouns/dome.jsonl, line 1: this line is none of a book"),
        (alter_reading, r"readings/.*, line 1: this line is none of a book"),
        (alter_file, "files/.*: this file is not what its name says"),
        (forget_cultivars, "its rows do not fit together"),
        (no_json, "leases.jsonl, line 1"),
        (smuggle, "../../book.sqlite3: it holds something that is no part of a book"),
    ],
)
@pytest.mark.django_db(transaction=True)
def test_a_forged_archive_whose_hashes_agree_is_refused_whole(
    full: dict[str, Any], archive: Path, now: datetime, change: Callable[[dict[str, bytes]], None], message: str
) -> None:
    with pytest.raises(BadFile, match=message):
        restore(rewritten(archive, change, honest=True), replace=True, now=now)
    assert state() == full


def test_every_byte_that_is_lost_is_noticed(full: dict[str, Any], archive: Path, now: datetime) -> None:
    whole = archive.read_bytes()
    for length in range(0, len(whole), len(whole) // 12):
        archive.write_bytes(whole[:length])
        with pytest.raises(BadFile):
            restore(archive, replace=True, now=now)


def test_every_byte_that_is_changed_in_a_member_is_noticed(full: dict[str, Any], archive: Path, now: datetime) -> None:
    whole = archive.read_bytes()
    with zipfile.ZipFile(archive) as file:
        info = file.getinfo("events.jsonl")
    begin = info.header_offset + 30 + len(info.filename) + 20
    noticed = 0
    for place in range(begin, begin + info.compress_size, info.compress_size // 12):
        changed = whole[:place] + bytes([whole[place] ^ 0xFF]) + whole[place + 1 :]
        if unpacked(changed, "events.jsonl") == unpacked(whole, "events.jsonl"):
            continue  # another copy of the same words was pointed at, or the stream's last bits, which carry nothing
        noticed += 1
        archive.write_bytes(changed)
        with pytest.raises(BadFile):
            restore(archive, replace=True, now=now)
    assert noticed >= 10


def unpacked(content: bytes, name: str) -> bytes | None:
    """What a member says, by the standard library alone; None where it cannot be read."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as file:
            return file.read(name)
    except (zipfile.BadZipFile, zlib.error, EOFError):
        return None


def test_a_small_file_that_unpacks_to_too_much_is_refused(nursery: Nursery, tmp_path: Path, now: datetime) -> None:
    path = tmp_path / "bomb.zip"
    data = b"\n" * 50_000_000
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        member = {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
        file.writestr("events.jsonl", data)
        file.writestr("manifest.json", json.dumps({"format": "scionary book", "version": 1, "members": {"events.jsonl": member}}))
    with zipfile.ZipFile(path) as file:
        info = file.getinfo("events.jsonl")
    content = path.read_bytes().replace(info.file_size.to_bytes(4, "little"), (3_000_000_000).to_bytes(4, "little"))
    path.write_bytes(content)
    with pytest.raises(BadFile, match=r"it is too large\. SCIONARY_LIMIT_BACKUP_BYTES allows 2,000,000,000 bytes"):
        restore(path, now=now)


@pytest.mark.parametrize("content", [b"", b"Red Tarn, 8/10 took", b"PK\x05\x06" + b"\x00" * 18])
def test_any_other_file_is_refused(nursery: Nursery, tmp_path: Path, now: datetime, content: bytes) -> None:
    path = tmp_path / "other.zip"
    path.write_bytes(content)
    with pytest.raises(BadFile, match="this is no backup of a book"):
        restore(path, now=now)


def test_a_missing_file_is_named(nursery: Nursery, tmp_path: Path, now: datetime) -> None:
    with pytest.raises(BadFile, match=r"gone\.zip: there is no such file"):
        restore(tmp_path / "gone.zip", now=now)


@pytest.mark.django_db(transaction=True)
def test_a_backup_outside_a_transaction_is_of_one_moment(full: dict[str, Any], tmp_path: Path, now: datetime) -> None:
    assert not connection.in_atomic_block
    backup(tmp_path / "book.zip", now=now)
    restore(tmp_path / "book.zip", replace=True, now=now)
    assert state() == full


OTHER_BOOK = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from scionary.book.opening import open_book
now = datetime(2026, 2, 15, tzinfo=UTC)
open_book(now=now)
from scionary.book.backup import backup, restore
restore(Path(sys.argv[1]), now=now)
backup(Path(sys.argv[2]), now=now)
"""


def test_a_book_moves_to_a_file_and_back(full: dict[str, Any], archive: Path, tmp_path: Path, now: datetime) -> None:
    """On PostgreSQL this is the way from the crew's database to one file, and back."""
    surroundings = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    surroundings |= {"SCIONARY_BOOK": str(tmp_path / "moved" / "book.sqlite3"), "SCIONARY_LOGS": "off"}
    back = tmp_path / "back.zip"
    subprocess.run([sys.executable, "-c", OTHER_BOOK, str(archive), str(back)], env=surroundings, check=True, timeout=60)
    with zipfile.ZipFile(archive) as one, zipfile.ZipFile(back) as other:
        said = [json.loads(file.read("manifest.json"))["members"] for file in (one, other)]
    assert [{name: member for name, member in members.items() if name != "leases.jsonl"} for members in said] == [
        {name: member for name, member in said[0].items() if name != "leases.jsonl"}
    ] * 2
    restore(back, replace=True, now=now)
    assert state() == full
