"""Tables for people: CSV and XLSX of what the book holds."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
from python_calamine import CalamineWorkbook

from scionary.book.commands import Written, save_noun, undo
from scionary.book.export import export
from scionary.book.models import Cultivar, Dome, Method, MotherTree, Nursery, OtherName, RootstockLot, ScionBag, Sensor, Tally, Trial, Wish
from scionary.book.readings import store_readings
from scionary.book.record import Answer
from scionary.errors import Refused
from scionary.names import code_of

Write = Callable[..., Answer]


@pytest.fixture
def book(graft: Callable[..., Written], dome: Dome, write: Write, cultivar: Cultivar, trial: Callable[..., Trial], now: datetime) -> None:
    plants = graft(2, dome=dome.pk, note="=1+1", scion_mm=5.1).plants
    write("scored", plants[0], days=150, sign="firm", answer="yes", who="Ina")
    undo(write("lost", plants[1], days=31, cause="mould").id, now=now)
    save_noun(Wish, {"cultivar": cultivar, "wanted": 12, "season": 2026, "worth": "24.50", "by_when": now.date()}, now=now)
    save_noun(Tally, {"cultivar": cultivar, "grafts": 10, "takes": 8, "stage": "in_leaf"}, now=now)
    trial(question="Which holds better?", left_out=[{"dome": str(dome.pk), "filling": 1, "place": 4, "why": "no wood left"}])
    sensor = save_noun(Sensor, {"name": "logger/1", "dome": dome}, now=now)
    store_readings(sensor, np.array([[now.timestamp(), 21.5, np.nan], [now.timestamp() + 60, 21.25, 93.0]]))


def rows(folder: Path, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO((folder / f"{name}.csv").read_text(encoding="utf-8-sig"))))


def test_a_folder_holds_every_table_twice(book: None, tmp_path: Path, now: datetime) -> None:
    counts = export(tmp_path / "tables", now=now)
    once = {"cultivars": 1, "tallies": 1, "wishes": 1, "domes": 1, "methods": Method.objects.count()}
    once |= {"trees": 0, "bags": 0, "lots": 0, "other-names": 0}
    assert counts == {"plants": 2, "grafts": 2, "events": 5, "trials": 4, "readings-1-logger-1": 2, **once}
    expected = sorted(f"{name}.{kind}" for name in counts for kind in ("csv", "xlsx"))
    assert sorted(path.name for path in (tmp_path / "tables").iterdir()) == expected


def test_plants_and_grafts_are_told_in_words_and_the_nurserys_time(book: None, tmp_path: Path, now: datetime) -> None:
    export(tmp_path, now=now)
    plant, graft = rows(tmp_path, "plants")[0], rows(tmp_path, "grafts")[0]
    assert (plant["code"], plant["name"], plant["state"], plant["dome"], plant["place"]) == (
        code_of(0),
        "Red Tarn 1",
        "alive",
        "Dome 1",
        "1",
    )
    assert plant["since"] == "2026-07-14T12:30:00+02:00"
    assert (graft["code"], graft["grafted"], graft["firm"], graft["scion mm"]) == (code_of(0), "2026-02-14T11:30:00+01:00", "yes", "5.1")


def test_events_are_as_written_and_say_whether_they_stand(book: None, tmp_path: Path, now: datetime) -> None:
    export(tmp_path, now=now)
    events = {(row["kind"], row["stands"], row["who"]) for row in rows(tmp_path, "events")}
    assert events == {("grafted", "yes", ""), ("corrected", "yes", ""), ("lost", "no", ""), ("scored", "yes", "Ina")}
    lost = next(row for row in rows(tmp_path, "events") if row["kind"] == "lost")
    assert lost["details"] == "cause: mould"


def test_wishes_tallies_and_readings_keep_their_numbers(book: None, tmp_path: Path, now: datetime) -> None:
    export(tmp_path, now=now)
    (wish,), (tally,) = rows(tmp_path, "wishes"), rows(tmp_path, "tallies")
    assert (wish["wanted"], wish["worth"], wish["by when"]) == ("12", "24.5", "2026-02-14")
    assert (tally["grafts"], tally["takes"], tally["stage"]) == ("10", "8", "in leaf the next spring")
    first, second = rows(tmp_path, "readings-1-logger-1")
    assert first == {"time": "2026-02-14T11:30:00+01:00", "temperature c": "21.5", "relative humidity pct": ""}
    assert second["relative humidity pct"] == "93.0"


def test_an_archive_holds_the_same_tables(book: None, tmp_path: Path, now: datetime) -> None:
    export(tmp_path / "tables", now=now)
    export(tmp_path / "tables.zip", now=now)
    with zipfile.ZipFile(tmp_path / "tables.zip") as archive:
        inside = {name: archive.read(name) for name in archive.namelist() if name.endswith(".csv")}
    assert inside == {path.name: path.read_bytes() for path in (tmp_path / "tables").glob("*.csv")}


def test_a_spreadsheet_holds_numbers_as_numbers(book: None, tmp_path: Path, now: datetime) -> None:
    export(tmp_path, now=now)
    header, first, *_ = CalamineWorkbook.from_path(tmp_path / "grafts.xlsx").get_sheet_by_index(0).to_python()
    assert first[header.index("scion mm")] == 5.1


def test_an_empty_book_gives_tables_with_headers_only(nursery: Nursery, tmp_path: Path, now: datetime) -> None:
    counts = export(tmp_path, now=now)
    assert {name for name, count in counts.items() if count} == {"methods"}
    assert (tmp_path / "plants.csv").read_text(encoding="utf-8-sig").startswith("code,name,cultivar")


def test_a_place_that_cannot_be_written_is_refused(nursery: Nursery, tmp_path: Path, now: datetime) -> None:
    (tmp_path / "taken").write_text("a file")
    for target in ("taken", "no such folder/tables.zip"):
        with pytest.raises(Refused, match=r"Name a folder or a \.zip file"):
            export(tmp_path / target, now=now)


def test_a_trial_is_told_place_by_place_with_what_was_left_out(book: None, tmp_path: Path, now: datetime) -> None:
    export(tmp_path, now=now)
    told = rows(tmp_path, "trials")
    assert [(row["dome"], row["place"], row["arm"], row["left out"]) for row in told] == [
        ("Dome 1", "1", "film", ""),
        ("Dome 1", "2", "rubber", ""),
        ("Dome 1", "3", "rubber", ""),
        ("Dome 1", "4", "film", "no wood left"),
    ]
    assert {(row["trial"], row["question"], row["stage"], row["begins on"]) for row in told} == {
        ("Film or rubber", "Which holds better?", "firm", "2026-02-14")
    }


def test_an_inferred_name_is_told_with_its_chance(graft: Callable[..., Written], write: Write, tmp_path: Path, now: datetime) -> None:
    plants = graft(2).plants
    write("name_inferred", plants[0], chance=0.9399)
    export(tmp_path, now=now)
    assert {row["name"]: row["name is"] for row in rows(tmp_path, "plants")} == {
        "Red Tarn 1": "inferred, 0.93",
        "Red Tarn 2": "as labelled",
    }


def test_cultivars_are_told_with_both_names_and_their_protection(book: None, cultivar: Cultivar, tmp_path: Path, now: datetime) -> None:
    values = {"botanical": "Acer palmatum 'Tarnred'", "trade_designation": "Red Tarn", "protected": True, "protected_until": now.date()}
    save_noun(Cultivar, values, now=now, pk=cultivar.pk)
    export(tmp_path, now=now)
    row = rows(tmp_path, "cultivars")[0]
    assert (row["botanical name"].lstrip("'"), row["trade designation"]) == ("Acer palmatum 'Tarnred'", "Red Tarn")
    assert (row["protected"], row["protected until"]) == ("yes", "2026-02-14")


def test_trees_bags_and_lots_say_what_stands_about_them(
    graft: Callable[..., Written], write: Write, cultivar: Cultivar, tree: MotherTree, lot: RootstockLot, tmp_path: Path, now: datetime
) -> None:
    save_noun(MotherTree, {"raised_from": graft(1).plants[0]}, now=now, pk=tree.pk)
    bag = save_noun(ScionBag, {"name": "b1", "cultivar": cultivar, "tree": tree, "cut_on": now.date(), "code_number": 7}, now=now)
    write("name_doubted", tree.key, reason="redder than it was")
    write("quarantined", lot.key, reason="cankers")
    write("quarantined", bag.key, reason="spots")
    write("released", bag.key, days=1)
    export(tmp_path, now=now)
    (tree_row,), (bag_row,), (lot_row,) = (rows(tmp_path, name) for name in ("trees", "bags", "lots"))
    assert (tree_row["name"], tree_row["cultivar"], tree_row["grew from"]) == ("the old tree by the gate", "Red Tarn", "Red Tarn 1")
    assert (tree_row["name in doubt"], tree_row["in quarantine"]) == ("redder than it was", "")
    assert (bag_row["code"], bag_row["tree"], bag_row["cut on"]) == (code_of(7), "the old tree by the gate", now.date().isoformat())
    assert (bag_row["in quarantine"], lot_row["in quarantine"], lot_row["stocks"]) == ("", "cankers", "60")


def test_other_names_stand_beside_their_cultivar(cultivar: Cultivar, tmp_path: Path, now: datetime) -> None:
    save_noun(OtherName, {"name": "Red Tran", "cultivar": cultivar, "kind": "misspelling"}, now=now)
    export(tmp_path, now=now)
    (row,) = rows(tmp_path, "other-names")
    assert (row["name"], row["cultivar"], row["is"]) == ("Red Tran", "Red Tarn", "a misspelling")
