"""scionary paper: sheets printed, listed, keyed in and undone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from nursery_clock import today_at_nursery
from scionary.book.models import DomeState, Event, Plant, PrintedSheet

pytestmark = pytest.mark.django_db
Running = Callable[..., Any]


@pytest.fixture
def sheet(scionary: Running, tmp_path: Path) -> PrintedSheet:
    grafted = (today_at_nursery() - timedelta(days=31)).isoformat()
    scionary("bench", "Red Tarn", "3", "--dome", "Dome 1", "--on", grafted)
    scionary("paper", "print", "--round", "Dome 1", "--out", str(tmp_path / "round.pdf"))
    return PrintedSheet.objects.get()


def states() -> list[str]:
    return list(Plant.objects.order_by("running_number").values_list("state", flat=True))


def test_a_printed_round_is_listed_and_printed_again_the_same(scionary: Running, sheet: PrintedSheet, tmp_path: Path) -> None:
    assert scionary("paper", "print", "--again", sheet.code, "--out", str(tmp_path / "again.pdf")).code == 0
    assert (tmp_path / "again.pdf").read_bytes() == (tmp_path / "round.pdf").read_bytes()
    listed = scionary("paper", "list", "--json").json
    assert [(each["code"], each["kind"], each["of"], each["keyed_in"]) for each in listed] == [(sheet.code, "round sheet", "Dome 1", "")]
    assert f"{sheet.code[:3]} {sheet.code[3:]}" in scionary("paper", "list").out


def test_a_round_is_keyed_by_place_and_by_name_and_the_rest(scionary: Running, sheet: PrintedSheet) -> None:
    said = scionary("paper", "key", sheet.code, "1=firm", "red tarn 2=lost:dried out", "rest=unchanged", "--water", "--vent", "33")
    assert "3 rows ticked, 0 not looked at" in said.out
    assert states() == ["alive", "dead", "waiting"]
    assert (DomeState.objects.get().vent_pct, Plant.objects.get(state="dead").grafts.get().lost_cause) == (33, "dried out")


def test_the_same_again_writes_nothing_and_other_rows_stay(scionary: Running, sheet: PrintedSheet) -> None:
    scionary("paper", "key", sheet.code, "1=firm")
    count = Event.objects.count()
    assert "Written: nothing" in scionary("paper", "key", sheet.code, "1=firm").out
    assert Event.objects.count() == count
    scionary("paper", "key", sheet.code, "2=lost")
    assert states() == ["alive", "dead", "waiting"]
    assert scionary("paper", "key", sheet.code, "2=firm", "--look").out.startswith("In the book would be: 1 new, 1 undone")
    assert states() == ["alive", "dead", "waiting"]
    assert scionary("paper", "undo", sheet.code).out == "Undone: 2 records.\n"
    assert states() == ["waiting"] * 3


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["{}", "1=splendid"], "it has no box 'splendid'"),
        (["{}", "9=firm"], "the sheet has no row '9'"),
        (["{}", "firm"], "'firm' cannot be read"),
        (["{}", "1=firm+lost"], "firm and lost are both ticked"),
        (["{}", "1=firm", "--on", "2019-01-01"], "2019-01-01 cannot be"),
        (["P8WECYC", "1=firm"], "is no code of a sheet"),
        (["S22222", "1=firm"], "this book printed no sheet"),
    ],
)
def test_what_cannot_be_is_refused_whole(scionary: Running, sheet: PrintedSheet, typed: list[str], told: str) -> None:
    answer = scionary("paper", "key", *[text.format(sheet.code) for text in typed], *(["2=firm"] if "{}" in typed else []))
    assert answer.code == 2
    assert told in answer.err
    assert states() == ["waiting"] * 3


def test_a_bench_sheet_is_printed_with_its_labels_and_keyed_in(scionary: Running, tmp_path: Path) -> None:
    scionary("bench", "Red Tarn", "1", "--dome", "Dome 1")
    scionary("paper", "print", "--bench", "5", "--out", str(tmp_path / "bench.pdf"))
    sheet = PrintedSheet.objects.get()
    scionary("paper", "print", "--labels", sheet.code, "--out", str(tmp_path / "labels.pdf"))
    assert len(pypdfium2.PdfDocument(tmp_path / "labels.pdf")) == 1
    assert scionary("paper", "key", sheet.code, "1=7x6.5", "2=made+disinfected", "--json").json["ticked"] == 2
    made = Plant.objects.order_by("running_number")
    assert [plant.code_number for plant in made][1:] == sheet.layout["numbers"][:2]
    assert made[1].grafts.get().stock_mm == 7.0
    assert "nothing that a bench sheet has" in scionary("paper", "key", sheet.code, "3=thick").err
    assert scionary("paper", "key", sheet.code, "1=7x6.5+cut 20+Lean 1.2").code == 0
    first = Plant.objects.get(pk=made[1].pk).grafts.get()
    assert (first.stock_mm, first.cut_mm, first.lean_mm) == (7.0, 20.0, 1.2)
    assert "row 2: cut 0.5 is out of range. Give 1.0 mm to 500 mm" in scionary("paper", "key", sheet.code, "2=cut 0.5").err
    assert "'crooked' is nothing that" in scionary("paper", "key", sheet.code, "2=lean crooked").err


@pytest.mark.parametrize("wish", [[], ["--card", "Dome 1", "--bench", "3"], ["--card", "Dome 9"], ["--bench", "0"], ["--round", "Dome 1"]])
def test_a_sheet_that_cannot_be_printed_writes_no_file(scionary: Running, tmp_path: Path, wish: list[str]) -> None:
    assert scionary("paper", "print", *wish, "--out", str(tmp_path / "x.pdf")).code == 2
    assert not (tmp_path / "x.pdf").exists()
    assert not PrintedSheet.objects.exists()
