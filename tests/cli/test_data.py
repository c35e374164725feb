"""scionary export, backup, restore, rebuild: the whole book out and in."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import numpy as np
import pytest

from scionary.book.models import Plant
from scionary.book.projection import columns

pytestmark = pytest.mark.django_db


@pytest.fixture
def three(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "3", "--dome", "Dome 1")


def test_a_backup_brings_the_book_back(scionary: Callable[..., Any], three: None, tmp_path: Path) -> None:
    before = columns()
    assert scionary("backup", str(tmp_path / "b.zip")).code == 0
    scionary("bench", "Ash Gill", "2")
    refused = scionary("restore", str(tmp_path / "b.zip"))
    assert (refused.code, "--replace" in refused.err or "replace" in refused.err) == (2, True)
    assert scionary("restore", str(tmp_path / "b.zip"), "--replace").code == 0
    assert columns() == before


def test_a_damaged_backup_is_refused_and_the_book_stays(scionary: Callable[..., Any], three: None, tmp_path: Path) -> None:
    scionary("backup", str(tmp_path / "b.zip"))
    damaged = bytearray((tmp_path / "b.zip").read_bytes())
    damaged[len(damaged) // 2] ^= 0xFF
    (tmp_path / "b.zip").write_bytes(damaged)
    before = columns()
    assert scionary("restore", str(tmp_path / "b.zip"), "--replace").code == 2
    assert columns() == before


def test_an_export_holds_tables_that_people_open(scionary: Callable[..., Any], three: None, tmp_path: Path) -> None:
    assert scionary("export", str(tmp_path / "e.zip")).code == 0
    with ZipFile(tmp_path / "e.zip") as archive:
        assert {"plants.csv", "plants.xlsx", "grafts.csv"} <= set(archive.namelist())
        assert "Red Tarn 3" in archive.read("plants.csv").decode("utf-8-sig")


def test_the_take_model_goes_into_a_notebooks_file(scionary: Callable[..., Any], three: None, tmp_path: Path) -> None:
    said = scionary("export", str(tmp_path / "m.npz"), "--what", "draws", "--stage", "firm").out
    assert "draws of the take model, grafts firm after the cover came off" in said
    with np.load(tmp_path / "m.npz", allow_pickle=False) as found:
        assert str(found["stage"]) == "firm"
    assert scionary("export", str(tmp_path / "m.json"), "--what", "summary").code == 0
    assert json.loads((tmp_path / "m.json").read_text(encoding="utf-8"))["stage"] == "firm"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("m.npz", "--what", "moon"), "One of: tables, draws, summary."),
        (("m.zip", "--stage", "firm"), "Leave --stage out"),
        (("m.zip", "--what", "draws"), "Let its name end in .npz."),
        (("m.json", "--what", "summary", "--stage", "rooted"), "stage is 'rooted'"),
        (("no/such/m.json", "--what", "summary"), "where there is room"),
        (("", "--what", "summary"), "Give a file's name."),
    ],
)
def test_a_model_that_cannot_be_exported_is_refused(
    scionary: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, given: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    answer = scionary("export", *given)
    assert (answer.code, said in answer.err) == (2, True), answer.err
    assert list(tmp_path.iterdir()) == []


def test_one_is_counted_as_one(scionary: Callable[..., Any], tmp_path: Path) -> None:
    scionary("bench", "Red Tarn", "1", "--dome", "Dome 1")
    said = scionary("export", str(tmp_path / "e.zip")).out
    assert "1 row of plants" in said
    assert "1 rows" not in said
    assert "1 plant, 1 graft" in scionary("rebuild").out
    assert not re.search(r"\b1 (events|nouns|readings|files)", scionary("backup", str(tmp_path / "b.zip")).out)


def test_rebuild_mends_a_column_that_somebody_changed_by_hand(scionary: Callable[..., Any], three: None) -> None:
    assert scionary("rebuild").out.endswith("Nothing differed.\n")
    Plant.objects.update(state="dead")
    spoiled = scionary("rebuild")
    assert (spoiled.code, "Something differed" in spoiled.out) == (1, True)
    assert set(Plant.objects.values_list("state", flat=True)) == {"waiting"}


@pytest.mark.parametrize("target", ["", ".", "x" * 300, "/dev/null", "no/such/folder/b.zip"])
def test_a_backup_goes_into_a_file_or_nowhere(
    scionary: Callable[..., Any], three: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, target: str
) -> None:
    monkeypatch.chdir(tmp_path)
    refused = scionary("backup", target)
    assert (refused.code, refused.err[:9]) == (2, "Refused. ")
    assert list(tmp_path.iterdir()) == []


def test_an_export_that_finds_no_room_leaves_nothing_half_written(scionary: Callable[..., Any], three: None, tmp_path: Path) -> None:
    (tmp_path / "e" / "plants.xlsx").mkdir(parents=True)  # the second table cannot take its place
    refused = scionary("export", str(tmp_path / "e"))
    assert (refused.code, refused.err[:9]) == (2, "Refused. ")
    assert not list((tmp_path / "e").glob("*.part"))
