"""scionary labels: sheets with symbols that an independent reader reads, and dome cards."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
import zxingcpp

pytestmark = pytest.mark.django_db


def symbols(path: Path) -> set[str]:
    page = pypdfium2.PdfDocument(path)[0]
    return {found.text for found in zxingcpp.read_barcodes(page.render(scale=3).to_pil())}


def test_labels_of_a_dome_carry_the_codes_of_its_plants(scionary: Callable[..., Any], tmp_path: Path) -> None:
    made = scionary("bench", "Red Tarn", "3", "--dome", "Dome 1", "--json").json["plants"]
    scionary("bench", "Ash Gill", "2", "--dome", "Dome 2")
    assert scionary("labels", "--dome", "dome 1", "--out", str(tmp_path / "l.pdf")).code == 0
    assert symbols(tmp_path / "l.pdf") == {p["code"] for p in made}


def test_one_plant_is_labelled_by_its_spoken_name(scionary: Callable[..., Any], tmp_path: Path) -> None:
    made = scionary("bench", "Red Tarn", "2", "--json").json["plants"]
    scionary("labels", "red tarn 2", "--out", str(tmp_path / "l.pdf"))
    assert symbols(tmp_path / "l.pdf") == {made[1]["code"]}


def test_with_nothing_named_all_grafts_of_the_latest_day_are_labelled(scionary: Callable[..., Any], tmp_path: Path) -> None:
    scionary("bench", "Fell Lace", "--on", "2026-02-01")
    made = [scionary("bench", *typed, "--on", "2026-02-14", "--json").json["plants"] for typed in (("Red Tarn", "2"), ("Ash Gill",))]
    assert scionary("labels", "--out", str(tmp_path / "l.pdf")).code == 0
    assert symbols(tmp_path / "l.pdf") == {plant["code"] for plants in made for plant in plants}
    scionary("labels", "--out", str(tmp_path / "l.pdf"), "--on", "2026-02-01")
    assert len(symbols(tmp_path / "l.pdf")) == 1


def test_labels_ahead_are_named_by_hand_and_their_codes_taken_at_the_bench(scionary: Callable[..., Any], tmp_path: Path) -> None:
    refused = scionary("labels", "--ahead", "3", "--out", str(tmp_path / "nowhere" / "l.pdf"))
    assert refused.code == 2
    assert scionary("labels", "--ahead", "3", "--out", str(tmp_path / "l.pdf")).code == 0
    codes = sorted(symbols(tmp_path / "l.pdf"))
    made = scionary("bench", "Red Tarn", "--codes", f"{codes[2]}, {codes[0]}", "--json").json["plants"]
    assert [plant["code"] for plant in made] == [codes[2], codes[0]]
    assert scionary("labels", "Red Tarn 1", "--ahead", "3", "--out", str(tmp_path / "m.pdf")).code == 2
    assert scionary("bench", "Red Tarn", "3", "--codes", codes[1]).code == 2


def test_a_list_to_write_by_hand_names_plants_and_codes(scionary: Callable[..., Any], tmp_path: Path) -> None:
    made = scionary("bench", "Red Tarn", "2", "--json").json["plants"]
    assert scionary("labels", "--list", "--out", str(tmp_path / "l.pdf")).code == 0
    text = pypdfium2.PdfDocument(tmp_path / "l.pdf")[0].get_textpage().get_text_range()
    assert all(f"{plant['code'][:3]} {plant['code'][3:]}" in text for plant in made)


def test_a_measured_sheet_in_inches_carries_data_matrix_twice(scionary: Callable[..., Any], tmp_path: Path) -> None:
    made = scionary("bench", "Red Tarn", "--json").json["plants"]
    typed = ["--label", "2 1/2x1 1/4in", "--across", "3", "--down", "6", "--paper", "letter", "--symbol", "datamatrix", "--copies", "2"]
    assert scionary("labels", "--out", str(tmp_path / "l.pdf"), *typed).code == 0
    page = pypdfium2.PdfDocument(tmp_path / "l.pdf")[0]
    found = zxingcpp.read_barcodes(page.render(scale=3).to_pil())
    assert page.get_size() == (612.0, 792.0)
    assert [(one.text, one.format) for one in found] == [(made[0]["code"], zxingcpp.BarcodeFormat.DataMatrix)] * 2


def test_grids_are_named_in_words(scionary: Callable[..., Any]) -> None:
    said = " ".join(scionary("labels", "--help").out.split())
    assert "a4-24 (A4, 24 labels)" in said.replace("│ ", "").replace(" │", "")


def test_a_dome_card_names_its_plants(scionary: Callable[..., Any], tmp_path: Path) -> None:
    scionary("bench", "Red Tarn", "3", "--dome", "Dome 1")
    assert scionary("labels", "--card", "--dome", "Dome 1", "--out", str(tmp_path / "c.pdf")).code == 0
    text = pypdfium2.PdfDocument(tmp_path / "c.pdf")[0].get_textpage().get_text_range()
    assert "Dome 1" in text
    assert "Red Tarn 3" in " ".join(text.split())


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--out", "{}/l.pdf"], "there is no plant to label"),
        (["--card", "--out", "{}/l.pdf"], "which dome's card?"),
        (["--dome", "Dome 9", "--out", "{}/l.pdf"], "no dome is called 'Dome 9'"),
        (["Nobody 1", "--out", "{}/l.pdf"], "No plant, place or dome"),
    ],
)
def test_what_cannot_be_printed_is_refused_and_leaves_no_file(
    scionary: Callable[..., Any], tmp_path: Path, typed: list[str], said: str
) -> None:
    answer = scionary("labels", *[part.format(tmp_path) for part in typed])
    assert (answer.code, said in answer.err) == (2, True)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--label", "63.5x33.9", "--across", "4"], "overhang its right edge by 44.0 mm"),
        (["--down", "3"], "how large is a label?"),
        (["--label", "63.5"], "'63.5' is not two lengths"),
        (["--label", "63.5x33.9", "--grid", "a4-24"], "both asked for"),
        (["--symbol", "stripes"], "no symbol is called 'stripes'"),
        (["--copies", "9"], "9 of each label"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused(scionary: Callable[..., Any], tmp_path: Path, typed: list[str], said: str) -> None:
    scionary("bench", "Red Tarn")
    answer = scionary("labels", "--out", str(tmp_path / "l.pdf"), *typed)
    assert (answer.code, said in " ".join(answer.err.split())) == (2, True), answer.err
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_cannot_be_written_is_refused(scionary: Callable[..., Any], tmp_path: Path) -> None:
    scionary("bench", "Red Tarn")
    answer = scionary("labels", "--out", str(tmp_path / "nowhere" / "l.pdf"))
    assert answer.code == 2
    assert "cannot be written" in answer.err


@pytest.mark.parametrize("target", ["", ".", "x" * 300, "/dev/null", "no/such/folder/labels.pdf"])
def test_labels_go_into_a_file_or_nowhere(
    scionary: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, target: str
) -> None:
    monkeypatch.chdir(tmp_path)
    scionary("bench", "Red Tarn")
    refused = scionary("labels", "--out", target)
    assert (refused.code, refused.err[:9]) == (2, "Refused. ")
    assert list(tmp_path.iterdir()) == []
