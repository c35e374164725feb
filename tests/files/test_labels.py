"""Printed label sheets, read back from what the printer would show."""

from __future__ import annotations

import ctypes

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw

from scionary.errors import BadValue
from scionary.files.grids import GRIDS, SheetGrid
from scionary.files.labels import LabelText, label_sheet, label_warnings
from scionary.files.paper import page_size_mm
from scionary.files.symbols import read_symbols

POINTS_PER_MM = 72 / 25.4
CULTIVARS = ("Red Tarn", "Ash Gill", "Lanthorn", "Fell Lace", "Merrybeck")
LONG = "The Very Long Name of a Tree That Nobody at Tarn Bridge Can Say Aloud in One Breath"

HEBREW = "\u05d0\u05d3\u05de\u05d5\u05e0\u05d9\u05ea " * 10
EMOJI = "\U0001f341\u200d\U0001f33f " * 20
MARKUP = "<b>Ash</b> & <i>Gill</i> &amp; '); DROP"
TURNED = "Tarn \u202egnissorc\u202c \u2067Gill\u2069 \u200f"
TINY = SheetGrid("A4", 6, 22, 30.0, 12.0, 3.0, 3.0, 3.0, 1.0)
ALL_GRIDS = {**GRIDS, "tiny": TINY}


def label(number: int, name: str | None = None) -> LabelText:
    """A label with everything on it."""
    name = name or CULTIVARS[number % 5]
    runs = (("Acer palmatum", True), (f" ‘{name}’", False))
    return LabelText(f"{name} {number}", f"7K{number:03d}MX", runs, "12 Mar 2025", "side veneer", "lot S3")


def texts(pdf: bytes) -> list[str]:
    """Text of every page."""
    return [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]


def boxes(pdf: bytes) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Every letter of the first page with its place: left, bottom, right, top."""
    page = pypdfium2.PdfDocument(pdf)[0].get_textpage()
    found = ((page.get_text_range(at, 1), page.get_charbox(at)) for at in range(page.count_chars()))
    return [(letter, box) for letter, box in found if letter.strip()]


@pytest.mark.parametrize("kind", ["qr", "datamatrix"])
@pytest.mark.parametrize("grid", sorted(ALL_GRIDS))
def test_every_code_on_the_rasterised_sheet_is_read(grid: str, kind: str) -> None:
    sheet = ALL_GRIDS[grid]
    labels = [label(number) for number in range(1, sheet.count + 1)]
    page = pypdfium2.PdfDocument(label_sheet(labels, sheet, symbol=kind))[0]
    symbols = read_symbols(page.render(scale=4).to_pil())
    assert sorted(symbol.text for symbol in symbols) == [one.code for one in labels]
    assert {symbol.format for symbol in symbols} == {{"qr": "QR Code", "datamatrix": "Data Matrix"}[kind]}


@pytest.mark.parametrize("grid", sorted(ALL_GRIDS))
@pytest.mark.parametrize("name", [LONG, "Ash Gill"])
def test_no_letter_touches_the_symbol_or_another_part(grid: str, name: str) -> None:
    sheet = ALL_GRIDS[grid]
    pdf = label_sheet([label(7, name)], sheet)
    symbol = next(item.get_bounds() for item in pypdfium2.PdfDocument(pdf)[0].get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]))
    assert symbol[2] > symbol[0]
    placed = boxes(pdf)
    assert max(right for _, (_, _, right, _) in placed) <= symbol[0]
    for number, (one, (left, foot, right, top)) in enumerate(placed):
        for other, (left_2, foot_2, right_2, top_2) in placed[number + 1 :]:
            across, down = min(right, right_2) - max(left, left_2), min(top, top_2) - max(foot, foot_2)
            assert min(across, down) <= 0.35, (one, other)  # points; hooks of letters may reach so far under their neighbours


def test_a_part_that_a_low_label_has_no_room_for_is_told() -> None:
    assert label_warnings([label(1, "Ash Gill")], TINY)[-1] == "label 1, Ash Gill 1: no room on this label for: date, method and stock lot"


def test_trade_designation_is_set_in_a_typeface_of_its_own() -> None:
    runs = (("Acer palmatum", True), (" 'Red Tarn'", False), (" TARN GLOW", False))
    page = pypdfium2.PdfDocument(label_sheet([LabelText("Red Tarn 1", "7K001MX", runs, trade="TARN GLOW")], SheetGrid()))[0].get_textpage()
    text = page.get_text_range()
    assert "Serif" in _font(page, text.index("TARN GLOW"))
    assert "Serif" not in _font(page, text.index("'Red"))


def test_name_number_code_and_what_was_done_are_on_the_label() -> None:
    text = texts(label_sheet([label(12, "Red Tarn")], SheetGrid()))[0]
    for words in ("Red Tarn 12", "Acer palmatum", "7K0 12MX", "12 Mar 2025", "side veneer", "lot S3"):
        assert words in text.replace("\N{NO-BREAK SPACE}", " ").replace("\r\n", " ")


def test_botanical_name_is_in_italics_and_the_cultivar_is_not() -> None:
    page = pypdfium2.PdfDocument(label_sheet([label(12, "Red Tarn")], SheetGrid()))[0].get_textpage()
    text = page.get_text_range()
    fonts = {word: page.get_charbox(text.index(word)) and _font(page, text.index(word)) for word in ("Acer", "‘Red")}
    assert "Oblique" in fonts["Acer"]
    assert "Oblique" not in fonts["‘Red"]


def _font(page: pypdfium2.PdfTextPage, at: int) -> str:
    buffer, flags = ctypes.create_string_buffer(200), ctypes.c_int()
    raw.FPDFText_GetFontInfo(page, at, buffer, 200, flags)
    return buffer.value.decode()


@pytest.mark.parametrize("grid", sorted(ALL_GRIDS))
@pytest.mark.parametrize("name", [LONG, "W" * 80, "Ash Gill", HEBREW, EMOJI, MARKUP, TURNED, "x" * 500])
def test_no_letter_leaves_its_label(grid: str, name: str) -> None:
    sheet = ALL_GRIDS[grid]
    left, top = (side * POINTS_PER_MM for side in sheet.corner_mm(0))
    page_top = page_size_mm(sheet.page)[1] * POINTS_PER_MM
    for letter, (x1, y1, x2, y2) in boxes(label_sheet([label(7, name)], sheet)):
        assert x1 >= left, letter
        assert x2 <= left + sheet.label_width_mm * POINTS_PER_MM, letter
        assert y2 <= page_top - top, letter
        assert y1 >= page_top - top - sheet.label_height_mm * POINTS_PER_MM, letter


def test_running_number_survives_when_a_long_name_is_cut() -> None:
    text = texts(label_sheet([label(107, LONG)], SheetGrid()))[0]
    assert "…\N{NO-BREAK SPACE}107" in text or "… 107" in text


def test_spoken_name_is_the_largest_thing_on_the_label() -> None:
    letters = boxes(label_sheet([label(3)], SheetGrid()))
    heights = [top - bottom for letter, (_, bottom, _, top) in letters if letter.isupper()]
    assert heights[0] == max(heights)


def test_used_places_are_skipped_and_a_second_sheet_begins() -> None:
    sheet = SheetGrid()
    pdf = label_sheet([label(number) for number in range(1, 6)], sheet, start_at=22)
    pages = texts(pdf)
    assert len(pages) == 2
    assert all(f" {number}\r\n" in pages[0] for number in (1, 2))
    (_, (left, _, _, top)) = boxes(pdf)[0]
    corner = sheet.corner_mm(22)
    assert left == pytest.approx(corner[0] * POINTS_PER_MM, abs=10)
    assert 297 * POINTS_PER_MM - top == pytest.approx(corner[1] * POINTS_PER_MM, abs=14)


def test_same_labels_give_the_same_file() -> None:
    assert label_sheet([label(1), label(2)], SheetGrid()) == label_sheet([label(1), label(2)], SheetGrid())


def test_letter_without_a_glyph_is_printed_as_question_mark_and_told() -> None:
    odd = LabelText("Red Tarn 樹 1", "7KQ2M9X")
    assert "Red Tarn ? 1" in texts(label_sheet([odd], SheetGrid()))[0]
    assert label_warnings([label(1), odd], SheetGrid()) == ["label 2, Red Tarn 樹 1: the print font has no 樹; printed as ?"]


def test_name_that_had_to_be_cut_is_told() -> None:
    assert "too long for this label, its end is cut off: name" in label_warnings([label(1, LONG)], SheetGrid())[0]
    assert label_warnings([label(1, LONG)], GRIDS["a4-strips"]) == []


def test_label_may_carry_its_spoken_name_only() -> None:
    text = texts(label_sheet([LabelText("Red Tarn 1")], SheetGrid()))[0]
    assert text.strip() == "Red Tarn 1"


def test_no_labels_and_a_place_off_the_sheet_are_refused() -> None:
    with pytest.raises(BadValue, match="labels is 0"):
        label_sheet([], SheetGrid())
    with pytest.raises(BadValue, match="start_at is 24; allowed: 0 to 23"):
        label_sheet([label(1)], SheetGrid(), start_at=24)
    with pytest.raises(BadValue, match="kind is 'maxi'; allowed: qr or datamatrix"):
        label_sheet([label(1)], SheetGrid(), symbol="maxi")


@pytest.mark.parametrize("grid", sorted(GRIDS))
def test_no_line_ends_in_a_dot_between_parts(grid: str) -> None:
    method = "Side veneer, dormant, winter"
    labels = [LabelText("Red Tarn 1", "7K001MX", (), "2026-06-14", method[:length], "stock 24-B") for length in range(4, len(method))]
    lines = [line.rstrip() for text in texts(label_sheet(labels[:24], GRIDS[grid])) for line in text.splitlines()]
    assert any("·" in line for line in lines)
    assert not [line for line in lines if line.endswith("·")]


def test_markup_is_printed_as_it_was_typed_and_marks_of_direction_are_told() -> None:
    marked, turned = LabelText(MARKUP, "7K001MX"), LabelText(TURNED, "7K002MX")
    text = " ".join(texts(label_sheet([marked], GRIDS["a4-strips"]))[0].split())
    assert MARKUP in text
    assert "\u202e" in label_warnings([turned], GRIDS["a4-24"])[0]
    assert "gnissorc" in texts(label_sheet([turned], GRIDS["a4-strips"]))[0]


@pytest.mark.parametrize("grid", ["a4-24", "a4-65", "strip-180x20", "single-60x30", "tiny"])
def test_no_ink_leaves_the_label_that_it_belongs_to(grid: str) -> None:
    """One label alone, with as much on it as can be typed: all else on the page stays white."""
    sheet = ALL_GRIDS[grid]
    runs = (("Acer palmatum var. " + "amoenum" * 20, True), (" 'Tarnred'", False), (" GLOWING" * 8, False))
    full = LabelText("x" * 500 + " 123", "7K001MX", runs, "2026-02-14 code pending", "m" * 80, "stock " + "l" * 60, "GLOWING" * 8)
    page = pypdfium2.PdfDocument(label_sheet([full], sheet))[0]
    scale = 3.0
    ink = np.asarray(page.render(scale=scale).to_pil().convert("L")) < 200
    left, top = (side * POINTS_PER_MM * scale for side in sheet.corner_mm(0))
    right, foot = left + sheet.label_width_mm * POINTS_PER_MM * scale, top + sheet.label_height_mm * POINTS_PER_MM * scale
    rows, columns = np.nonzero(ink)
    assert ink.any()
    assert rows.min() >= top
    assert rows.max() < foot
    assert columns.min() >= left
    assert columns.max() < right
