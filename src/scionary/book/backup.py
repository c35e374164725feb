"""Backup and restore: the whole book in one file of open formats.

Accounts and passwords, long work under way and remembered results are not part of it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
from django.conf import settings
from django.db import DataError, IntegrityError, connection, transaction
from django.db.models import F, Max, Model

from scionary.book.archive import ArchiveReader, ArchiveWriter, opened, written
from scionary.book.leases import LAST_NUMBER, THIS_MACHINE
from scionary.book.locks import AT_ONCE, gate, lock, one_moment
from scionary.book.models import (
    NOUNS,
    CodeLease,
    Device,
    DomeState,
    Event,
    EventSubject,
    Graft,
    KeptAside,
    KeptSchedule,
    Plant,
    RawFile,
    Sensor,
    SensorDay,
    Subject,
    WeatherMonth,
    WeatherStation,
)
from scionary.book.patience import patiently
from scionary.book.projection import rebuild
from scionary.book.readings import load_readings, store_readings
from scionary.book.record import NewEvent, content_hash, content_of
from scionary.book.rows import as_plain, from_plain
from scionary.book.weather import COLUMNS, SERIES, load_weather, store_weather
from scionary.errors import BadFile, BookNotEmpty
from scionary.language import say

# Each noun after those that it names.
_IN_ORDER = (
    "nursery", "pot", "cultivar", "other_name", "method", "lot", "tree", "bag", "dome", "bench", "wish", "plan", "tally", "sensor",
    "offer", "station", "trial", "photo", "printed",
)  # fmt: skip
_BEGINNING = ("nursery", "pot", "method")  # a book that was just made holds these
_OF_THIS_BOOK = ("user_id", "token_sha256")  # an account and a pairing are not carried into another book
_ROWS: dict[str, type[Model]] = {"devices": Device, "leases": CodeLease, "kept_aside": KeptAside}
SKIPPED_NUMBERS = 10_000  # more than are grafted between two backups; there are six million
_HEADER = "time_s,temperature_c,relative_humidity_pct"


@dataclass(frozen=True)
class Counts:
    """How much of what a backup holds."""

    nouns: int
    events: int
    readings: int
    files: int


@dataclass(frozen=True)
class Restored:
    """What was put back, and where the book that was there before is kept."""

    counts: Counts
    safety: Path | None


def backup(path: Path, *, now: datetime) -> Counts:
    """Write the whole book into one archive; a file of that name is replaced once the new one is whole."""
    with one_moment(), written(path, now) as archive:
        nouns = sum(archive.add_rows(f"nouns/{noun}.jsonl", _rows(NOUNS[noun])) for noun in _IN_ORDER)
        events = archive.add_rows("events.jsonl", _events())
        for name, model in _ROWS.items():
            archive.add_rows(f"{name}.jsonl", _rows(model, without=_OF_THIS_BOOK if model is Device else ("id",)))
        readings = sum(_add_readings(archive, sensor) for sensor in Sensor.objects.order_by("id"))
        readings += sum(_add_weather(archive, station) for station in WeatherStation.objects.order_by("id"))
        files = archive.add_rows(
            "files.jsonl", (as_plain(file, without=["data"]) for file in RawFile.objects.defer("data").order_by("sha256"))
        )
        for digest in RawFile.objects.order_by("sha256").values_list("sha256", flat=True):
            archive.add(f"files/{digest}", [bytes(RawFile.objects.get(pk=digest).data)])
    return Counts(nouns, events, readings, files)


def restore(path: Path, *, replace: bool = False, now: datetime) -> Restored:
    """Fill the book from a backup, all or nothing.

    Raises `BadFile` when the backup is damaged or foreign, `BookNotEmpty` when the book holds records and `replace`
    is False. With `replace`, what was there is first kept as a backup beside the book.
    """
    with opened(path) as archive:
        archive.check()
        try:
            return _put_back(archive, replace, now)
        except (IntegrityError, DataError) as error:
            raise BadFile(say("its rows do not fit together."), where=str(path), remedy=say("Take another backup.")) from error


@patiently
def _put_back(archive: ArchiveReader, replace: bool, now: datetime) -> Restored:
    with transaction.atomic():
        gate(alone=True)
        lock(["book:start", "codes:all"])
        full = holds_records()
        if full and not replace:
            raise BookNotEmpty(
                say("the book holds records already."),
                where="restore",
                remedy=say("Restore into a new book, or say that this one may be replaced (--replace)."),
            )
        safety = _safety_backup(now) if full else None
        issued = _issued()
        _clear()
        counts = _load(archive)
        _spend_leases(issued, now)
        connection.check_constraints()
        rebuild()
    return Restored(counts, safety)


def holds_records() -> bool:
    """Whether anything was written into the book since it was made."""
    if Event.objects.exclude(kind="edited").exists() or RawFile.objects.exists() or SensorDay.objects.exists():
        return True
    if any(NOUNS[noun]._default_manager.exists() for noun in _IN_ORDER if noun not in _BEGINNING):
        return True
    return any(payload.get("before") for payload in Event.objects.filter(kind="edited").values_list("payload", flat=True))


def _rows(model: type[Model], *, without: tuple[str, ...] = ()) -> Iterator[dict[str, Any]]:
    return (as_plain(row, without=without) for row in model._default_manager.order_by("pk").iterator(AT_ONCE))


def _events() -> Iterator[dict[str, Any]]:
    for event in Event.objects.order_by("happened_at", "id").prefetch_related("subjects").iterator(AT_ONCE):
        yield as_plain(event) | {"subjects": sorted(subject.key for subject in event.subjects.all())}


def _add_readings(archive: ArchiveWriter, sensor: Sensor) -> int:
    readings = load_readings(sensor)
    if len(readings):
        lines = (",".join("" if value != value else repr(value) for value in row) for row in readings.tolist())
        archive.add(f"readings/{sensor.pk}.csv", (f"{line}\n".encode() for line in (_HEADER, *lines)))
    return len(readings)


def _add_weather(archive: ArchiveWriter, station: WeatherStation) -> int:
    """Each series of a station as CSV; the header is that of `COLUMNS`."""
    count = 0
    for step, forecast in SERIES:
        rows = load_weather(station, step, forecast=forecast)
        if len(rows):
            lines = (",".join("" if value != value else repr(value) for value in row) for row in rows.tolist())
            name = f"weather/{station.pk}-{step}-{'forecast' if forecast else 'record'}.csv"
            archive.add(name, (f"{line}\n".encode() for line in (",".join(COLUMNS), *lines)))
            count += len(rows)
    return count


def _safety_backup(now: datetime) -> Path:
    folder = Path(settings.DATA_FOLDER)
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"before-restore-{now:%Y-%m-%dT%H%M%S}.zip"
    backup(path, now=now)
    return path


def _issued() -> int:
    """The first code number that no device has leased."""
    return CodeLease.objects.aggregate(end=Max(F("first") + F("count")))["end"] or 0


def _clear() -> None:
    folded, plain = (Graft, Plant, DomeState), (KeptAside, CodeLease, Device, SensorDay, WeatherMonth, KeptSchedule)
    nouns = (NOUNS[noun] for noun in reversed(_IN_ORDER))
    models: tuple[type[Model], ...] = (EventSubject, Event, Subject, *folded, *plain, *nouns, RawFile)  # a photo names its file
    for model in models:
        model._default_manager.all().delete()


def _load(archive: ArchiveReader) -> Counts:
    nouns = sum(_load_rows(archive, f"nouns/{noun}.jsonl", NOUNS[noun]) for noun in _IN_ORDER)
    for name, model in _ROWS.items():
        _load_rows(archive, f"{name}.jsonl", model)
    events = _load_events(archive)
    readings = sum(_load_readings(archive, name) for name in archive.names("readings"))
    readings += sum(_load_weather(archive, name) for name in archive.names("weather"))
    return Counts(nouns, events, readings, _load_files(archive))


def _load_rows(archive: ArchiveReader, name: str, model: type[Model]) -> int:
    rows = list(archive.lines(name, lambda line: from_plain(model, json.loads(line))))
    model._default_manager.bulk_create(rows, batch_size=AT_ONCE)
    return len(rows)


def _load_events(archive: ArchiveReader) -> int:
    count = 0
    known: set[str] = set()
    waiting: list[tuple[Event, list[str]]] = []
    for event in archive.lines("events.jsonl", _event):
        waiting.append(event)
        if len(waiting) == AT_ONCE:
            count += _insert(waiting, known)
            waiting = []
    return count + _insert(waiting, known)


def _insert(events: list[tuple[Event, list[str]]], known: set[str]) -> int:
    fresh = sorted({key for _, keys in events for key in keys} - known)
    Subject.objects.bulk_create([Subject(key=key) for key in fresh], ignore_conflicts=True)
    known.update(fresh)
    Event.objects.bulk_create([event for event, _ in events])
    EventSubject.objects.bulk_create([EventSubject(event_id=event.id, subject_id=key) for event, keys in events for key in keys])
    return len(events)


def _event(line: str) -> tuple[Event, list[str]]:
    """An event with its subjects; the hash of what happened must be that of its content."""
    values = json.loads(line)
    keys = values.pop("subjects")
    event = from_plain(Event, values)
    new = NewEvent(event.kind, event.happened_at, tuple(keys), event.payload, event.id, event.who, event.device)
    if event.kind != "edited" and content_hash(content_of(new)) != event.content_sha256:
        raise ValueError(say("the content is not what its hash says"))
    return event, keys


def _load_readings(archive: ArchiveReader, name: str) -> int:
    rows = list(archive.lines(name, _reading, header=_HEADER))
    sensor = Sensor.objects.filter(pk=name.removeprefix("readings/").removesuffix(".csv")).first()
    if sensor is None:
        raise BadFile(
            say("it holds readings of a sensor that it does not hold."), where=f"{archive.path}, {name}", remedy=say("Take another backup.")
        )
    return store_readings(sensor, np.array(rows))


def _load_weather(archive: ArchiveReader, name: str) -> int:
    ident, step, kind = name.removeprefix("weather/").removesuffix(".csv").rsplit("-", 2)
    rows = list(archive.lines(name, _numbers, header=",".join(COLUMNS)))
    station = WeatherStation.objects.filter(pk=ident).first()
    if station is None:
        raise BadFile(
            say("it holds weather of a station that it does not hold."), where=f"{archive.path}, {name}", remedy=say("Take another backup.")
        )
    return store_weather(station, np.array(rows), step, forecast=kind == "forecast")


def _numbers(line: str) -> list[float]:
    row = [float(value) if value else np.nan for value in line.strip().split(",")]
    if len(row) != len(COLUMNS):
        raise ValueError(say("it has {count} numbers", count=len(row)))
    return row


def _reading(line: str) -> list[float]:
    time_s, temperature_c, humidity_pct = (float(value) if value else np.nan for value in line.strip().split(","))
    return [time_s, temperature_c, humidity_pct]


def _load_files(archive: ArchiveReader) -> int:
    count = 0
    for file in archive.lines("files.jsonl", lambda line: from_plain(RawFile, json.loads(line))):
        name = f"files/{file.sha256}"
        file.data = b"".join(archive.pieces(name)) if name in archive.members else b""
        if hashlib.sha256(file.data).hexdigest() != file.sha256:
            raise BadFile(say("this file is not what its name says."), where=f"{archive.path}, {name}", remedy=say("Take another backup."))
        file.save(force_insert=True)
        count += 1
    return count


def _spend_leases(issued: int, now: datetime) -> None:
    """Numbers may have been issued since the backup was made, here or in a book that is lost: none of them is issued again."""
    CodeLease.objects.update(used=F("count"))
    end = _issued()
    skipped = max(issued - end, 0)
    skipped += min(SKIPPED_NUMBERS, max(LAST_NUMBER + 1 - end - skipped, 0) // 2)
    device, _ = Device.objects.get_or_create(name=THIS_MACHINE, defaults={"added_at": now})
    CodeLease.objects.create(device=device, first=end, count=skipped, used=skipped, leased_at=now)
