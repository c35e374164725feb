"""Tables for people and other programs: the book as CSV files and one spreadsheet a table."""

from __future__ import annotations

import secrets
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from operator import attrgetter, itemgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Model

from scionary.book import queries
from scionary.book.export_nouns import Columns, noun_tables
from scionary.book.export_weather import weather_tables
from scionary.book.locks import AT_ONCE, one_moment
from scionary.book.models import Cultivar, Event, Graft, Photo, Plant, RawFile, Sensor, SensorDay, Tally, Trial, Wish
from scionary.book.photos import StandingPhoto, standing_photos
from scionary.book.readings import load_readings
from scionary.errors import Refused
from scionary.files.exports import write_table_csv, write_table_xlsx
from scionary.language import say
from scionary.names import code_of, traits_words

if TYPE_CHECKING:
    from scionary.files.exports import Value

_SHEET_ROWS = 1_000_000  # a spreadsheet holds hardly more


def export(target: Path, *, now: datetime) -> dict[str, int]:
    """Write the book's tables as CSV and XLSX into a folder, or into one archive when the name ends in .zip.

    Times are those of the nursery's zone. Returns the number of rows of each table. Tables are for reading; what
    brings a book back is a backup.
    """
    counts: dict[str, int] = {}
    try:
        with one_moment():
            if target.suffix.lower() == ".zip":
                _write_archive(target, _files(counts), now)
            else:
                _write_folder(target, _files(counts))
    except OSError as error:
        reason = error.strerror or say("it cannot be written")
        raise Refused(f"{reason}.", where=str(target), remedy=say("Name a folder or a .zip file where there is room.")) from error
    return counts


def _write_folder(target: Path, files: Iterable[tuple[str, bytes]]) -> None:
    """Write all files beside their names first, so that a full disk leaves none of them half-written."""
    target.mkdir(parents=True, exist_ok=True)
    mark = f".{secrets.token_hex(4)}.part"
    names: list[str] = []
    try:
        for name, data in files:
            names.append(name)
            (target / f"{name}{mark}").write_bytes(data)
        for name in names:
            (target / f"{name}{mark}").replace(target / name)
    finally:
        for name in names:
            (target / f"{name}{mark}").unlink(missing_ok=True)


def _write_archive(target: Path, files: Iterable[tuple[str, bytes]], now: datetime) -> None:
    part = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        with zipfile.ZipFile(part, "x", zipfile.ZIP_DEFLATED) as archive:
            for name, data in files:
                archive.writestr(zipfile.ZipInfo(name, now.timetuple()[:6]), data, zipfile.ZIP_DEFLATED)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def _code(plant: Plant) -> str:
    return "" if plant.code_number is None else code_of(plant.code_number)


PLANTS: Columns = {
    "code": _code,
    "name": attrgetter("spoken"),
    "cultivar": attrgetter("cultivar"),
    "number": attrgetter("running_number"),
    "state": Plant.get_state_display,
    "since": attrgetter("state_since"),
    "dome": attrgetter("dome"),
    "place": attrgetter("place"),
    "stands": attrgetter("stands"),
    "pot": attrgetter("pot_kind"),
    "name is": attrgetter("name_words"),
    "name in doubt": lambda plant: plant.name_doubt if plant.name_doubted_at else "",
    "in quarantine": lambda plant: plant.quarantine_reason if plant.quarantined_at else "",
    "last seen": attrgetter("seen_at"),
    "last sign": attrgetter("last_sign"),
    "label": attrgetter("label_medium"),
    "label written": attrgetter("label_written_at"),
    "label hangs in": attrgetter("label_light"),
    "headed back": attrgetter("headed_back_at"),
    "untied": attrgetter("untied_at"),
    "suckers rubbed": attrgetter("suckers_rubbed_at"),
    "staked": attrgetter("staked_at"),
    "potted on": attrgetter("potted_on_at"),
    "under cover": attrgetter("under_cover"),
    "left by": attrgetter("left_how"),
    "price": attrgetter("price_got"),
    "disputed": attrgetter("disputed"),
    "flags": attrgetter("flags"),
    "id": attrgetter("pk"),
}
CULTIVARS: Columns = {
    "name": attrgetter("spoken"),
    "botanical name": attrgetter("botanical"),
    "trade designation": attrgetter("trade_designation"),
    "protected": attrgetter("protected"),
    "protected until": attrgetter("protected_until"),
    "register": attrgetter("protection_register"),
    "looks": lambda cultivar: traits_words(cultivar.traits),
    "price": attrgetter("price"),
    "later survival": attrgetter("later_survival"),
    "no longer grown": attrgetter("retired"),
    "note": attrgetter("note"),
    "id": attrgetter("pk"),
}
GRAFTS: Columns = {
    "id": attrgetter("pk"),
    "plant": attrgetter("plant.spoken"),
    "code": lambda graft: _code(graft.plant),
    "cultivar": attrgetter("cultivar"),
    "grafted": attrgetter("grafted_at"),
    "date known to the": attrgetter("precision"),
    "method": attrgetter("method"),
    "lot": attrgetter("lot"),
    "tree": attrgetter("tree"),
    "bag": attrgetter("bag"),
    "dome": attrgetter("dome"),
    "grafter": attrgetter("grafter"),
    "scion mm": attrgetter("scion_mm"),
    "stock mm": attrgetter("stock_mm"),
    "cut mm": attrgetter("cut_mm"),
    "lean mm": attrgetter("lean_mm"),
    "stalk drops": attrgetter("stalk_drops"),
    "bud moving": attrgetter("bud_moving"),
    "firm": attrgetter("firm"),
    "firm seen": attrgetter("firm_at"),
    "growing": attrgetter("growing"),
    "growing seen": attrgetter("growing_at"),
    "in leaf": attrgetter("in_leaf"),
    "in leaf seen": attrgetter("in_leaf_at"),
    "lost": attrgetter("lost_at"),
    "lost sign": attrgetter("lost_sign"),
    "lost cause": attrgetter("lost_cause"),
    "grafted again": attrgetter("replaced"),
    "disputed": attrgetter("disputed"),
}
TALLIES: Columns = {
    "cultivar": attrgetter("cultivar"),
    "season": attrgetter("season"),
    "grafted on": attrgetter("grafted_on"),
    "method": attrgetter("method"),
    "lot": attrgetter("lot"),
    "grafts": attrgetter("grafts"),
    "takes": attrgetter("takes"),
    "stage": Tally.get_stage_display,
    "source": attrgetter("source"),
    "note": attrgetter("note"),
    "id": attrgetter("pk"),
}
WISHES: Columns = {
    "cultivar": attrgetter("cultivar"),
    "wanted": attrgetter("wanted"),
    "season": attrgetter("season"),
    "by when": attrgetter("by_when"),
    "method": attrgetter("method"),
    "pot": attrgetter("pot_kind"),
    "sure to be enough": attrgetter("assurance"),
    "worth": attrgetter("worth"),
    "note": attrgetter("note"),
    "id": attrgetter("pk"),
}
TRIALS: Columns = {
    name: itemgetter(name) for name in ("trial", "question", "stage", "begins on", "dome", "filling", "place", "arm", "left out", "id")
}
PHOTOS: Columns = {name: itemgetter(name) for name in ("file", "about", "taken", "note", "who", "width", "height", "event")}
READINGS: Columns = {
    "time": lambda row: datetime.fromtimestamp(row[0], UTC),
    "temperature c": lambda row: row[1],
    "relative humidity pct": lambda row: row[2],
}


def _event_columns(undone: set[UUID]) -> Columns:
    return {
        "id": attrgetter("pk"),
        "happened": attrgetter("happened_at"),
        "kind": attrgetter("kind"),
        "about": lambda event: sorted(subject.key for subject in event.subjects.all()),
        "who": attrgetter("who"),
        "device": attrgetter("device"),
        "stands": lambda event: event.pk not in undone,
        "details": lambda event: [f"{name}: {value}" for name, value in event.payload.items() if name not in ("target", "knew")],
        "corrects": attrgetter("target"),
        "recorded": attrgetter("recorded_at"),
    }


def _files(counts: dict[str, int]) -> Iterator[tuple[str, bytes]]:
    """Every file by its name; events are as they were written, undone ones too, without the edits of nouns."""
    happened = Event.objects.exclude(kind="edited").order_by("happened_at", "id").prefetch_related("subjects")
    grafts = Graft.objects.select_related("plant__cultivar", "cultivar", "method", "lot", "tree", "bag", "dome").order_by(
        "grafted_at", "id"
    )
    undone = queries.undone(happened.iterator(AT_ONCE))
    yield from _table("plants", PLANTS, queries.plants(), counts)
    yield from _table("cultivars", CULTIVARS, Cultivar.objects.all(), counts)
    yield from _table("grafts", GRAFTS, grafts, counts)
    yield from _table("events", _event_columns(undone), happened.iterator(AT_ONCE), counts)
    yield from _table("tallies", TALLIES, Tally.objects.select_related("cultivar", "method", "lot"), counts)
    yield from _table("wishes", WISHES, Wish.objects.select_related("cultivar", "method", "pot_kind"), counts)
    yield from _table("trials", TRIALS, _trial_rows(), counts)
    for name, columns, rows in noun_tables():
        yield from _table(name, columns, rows, counts)
    for number, sensor in enumerate(Sensor.objects.filter(pk__in=SensorDay.objects.values("sensor")).order_by("name"), 1):
        name = "".join(c if c.isalnum() else "-" for c in sensor.name)[:40]
        yield from _table(f"readings-{number}-{name}", READINGS, load_readings(sensor).tolist(), counts)
    for name, columns, rows in weather_tables():
        yield from _table(name, columns, rows, counts)
    yield from _photos(counts)


def _photos(counts: dict[str, int]) -> Iterator[tuple[str, bytes]]:
    """A row a photo that stands, and each picture once, under the name that its rows give."""
    shown = standing_photos()
    kept = Photo.objects.in_bulk({each.photo for each in shown})
    rows = [_photo_row(each, kept[each.photo]) for each in shown]
    if rows:
        yield from _table("photos", PHOTOS, rows, counts)
    for name, photo in {_photo_name(photo): photo for photo in kept.values()}.items():
        yield name, bytes(RawFile.objects.get(pk=photo.file_id).data)


def _photo_row(each: StandingPhoto, photo: Photo) -> dict[str, Any]:
    record = each.record
    said = {"taken": record.happened_at, "note": record.payload.get("note", ""), "who": record.who, "event": record.id}
    return {"file": _photo_name(photo), "about": list(each.keys), "width": photo.width, "height": photo.height, **said}


def _photo_name(photo: Photo) -> str:
    return f"photo-{photo.file_id[:16]}.jpg"


def _trial_rows() -> Iterator[dict[str, Any]]:
    """A row a place of each trial, with the arm that the lot gave it."""
    for trial in Trial.objects.all():
        why = {(out["dome"], out["filling"], out["place"]): out["why"] for out in trial.left_out}
        about = {"trial": trial.name, "question": trial.question, "stage": trial.get_stage_display(), "begins on": trial.begins_on}
        for block in trial.layout:
            for place, arm in zip(block["places"], block["arms"], strict=True):
                out = why.get((block["dome"], block["filling"], place), "")
                where = {"dome": block["name"], "filling": block["filling"], "place": place}
                yield {**about, **where, "arm": trial.arms[arm], "left out": out, "id": trial.pk}


def _table(name: str, columns: Columns, things: Iterable[Any], counts: dict[str, int]) -> Iterator[tuple[str, bytes]]:
    """The table as CSV, and as XLSX when a sheet can hold it."""
    zone = queries.nursery().zone
    rows: list[Sequence[Value]] = [[_shown(column(thing), zone) for column in columns.values()] for thing in things]
    counts[name] = len(rows)
    yield f"{name}.csv", write_table_csv(list(columns), rows)
    if len(rows) <= _SHEET_ROWS:
        yield f"{name}.xlsx", write_table_xlsx(list(columns), rows, sheet=name)


def _shown(value: Any, zone: ZoneInfo) -> Value:
    """A value as a cell holds it."""
    if isinstance(value, datetime):
        return value.astimezone(zone).isoformat(timespec="seconds")
    if isinstance(value, list):
        return "; ".join(value)
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, UUID | Model):
        return str(value)
    plain: Value = value
    return plain
