"""A tray on paper: measured in the print itself."""

from __future__ import annotations

import io

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw

from scionary.errors import BadValue
from scionary.files.tray_sheet import DrawnPot, TraySheetText, tray_full_size, tray_map
from scionary.files.tray_tiles import OVERLAP_MM, sheets_needed

POTS = [DrawnPot(1, 60, 140, 100), DrawnPot(2, 330, 140, 100, round=True), DrawnPot(3, 480, 140, 100, cross=True)]
SHEET = TraySheetText("3 pots stand.", 540, 280, POTS, ["They stand in a row."], printed="12 Mar 2026")
MM = 72 / 25.4


def pages(pdf: bytes) -> list[pypdfium2.PdfPage]:
    return list(pypdfium2.PdfDocument(io.BytesIO(pdf)))


def text_of(page: pypdfium2.PdfPage) -> str:
    return " ".join(page.get_textpage().get_text_bounded().split())


def boxes(page: pypdfium2.PdfPage) -> list[tuple[float, float, float, float]]:
    """What each drawn path covers with its strokes, in mm: left, foot, right, top."""
    paths = page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])
    return [tuple(round(side / MM, 1) for side in path.get_bounds()) for path in paths]  # type: ignore[misc]


def test_a_map_is_one_page_that_says_its_scale() -> None:
    (page,) = pages(tray_map(SHEET))
    assert page.get_size()[0] > page.get_size()[1]
    said = text_of(page)
    for words in ("3 pots stand.", "They stand in a row.", "1 : 2 · 12 Mar 2026", "near side"):
        assert words in said


def test_the_map_is_as_large_as_its_scale_says() -> None:
    (page,) = pages(tray_map(SHEET))
    sizes = [(right - left, top - foot) for left, foot, right, top in boxes(page)]
    assert any(abs(wide - 270) < 0.9 and abs(high - 140) < 0.9 for wide, high in sizes)


def test_full_size_is_full_size() -> None:
    drawn = pages(tray_full_size(SHEET))
    assert len(drawn) == 4
    pots = [(right - left, top - foot) for page in drawn for left, foot, right, top in boxes(page)]
    assert sum(abs(wide - 100) < 0.4 and abs(high - 100) < 0.4 for wide, high in pots) >= 3


def test_every_sheet_has_a_name_and_a_ruler_of_a_true_length() -> None:
    for page, name in zip(pages(tray_full_size(SHEET)), ("A1", "B1", "A2", "B2"), strict=True):
        assert f"Sheet {name}:" in text_of(page)
        assert "This ruler is 100 mm long when printed at 100 %." in text_of(page)
        assert any(abs(right - left - 100) < 0.5 and top - foot < 1 for left, foot, right, top in boxes(page))


def test_a_ruler_in_inches_for_those_who_read_inches() -> None:
    page = pages(tray_full_size(TraySheetText("t", 200, 150, POTS[:1], unit="in", page="letter")))[0]
    assert "This ruler is 4 inches long" in text_of(page)
    assert any(abs(right - left - 101.6) < 0.5 and top - foot < 1 for left, foot, right, top in boxes(page))


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize(("length_mm", "width_mm"), [(540, 280), (1200, 300), (180, 150), (300, 900)])
def test_sheets_cover_the_tray_and_neighbours_overlap(page: str, length_mm: float, width_mm: float) -> None:
    sheets = sheets_needed(length_mm, width_mm, page)
    seen = np.zeros((int(length_mm) + 1, int(width_mm) + 1), dtype=int)
    for column in range(sheets.columns):
        for row in range(sheets.rows):
            window = sheets.window(column, row)
            low = np.maximum(np.ceil([window.x_mm, window.y_mm]), 0).astype(int)
            seen[low[0] : int(window.x_mm + window.width_mm) + 1, low[1] : int(window.y_mm + window.height_mm) + 1] += 1
            if column:
                before = sheets.window(column - 1, row)
                assert before.x_mm + before.width_mm - window.x_mm == pytest.approx(OVERLAP_MM)
    assert seen.min() >= 1


def test_a_small_tray_takes_one_sheet() -> None:
    assert len(pages(tray_full_size(TraySheetText("t", 180, 120, POTS[:1])))) == 1


def test_the_same_sheet_is_the_same_bytes() -> None:
    assert tray_map(SHEET) == tray_map(SHEET)
    assert tray_full_size(SHEET) == tray_full_size(SHEET)


def test_what_cannot_be_printed_is_refused() -> None:
    with pytest.raises(BadValue, match="10 to 5000 mm"):
        TraySheetText("t", 9, 280, POTS)
    with pytest.raises(BadValue, match="at most 2,000"):
        TraySheetText("t", 540, 280, POTS * 700)
    with pytest.raises(BadValue, match="print the map instead"):
        tray_full_size(TraySheetText("t", 5000, 3000, POTS))
    with pytest.raises(BadValue, match="page is 'A9'"):
        tray_map(TraySheetText("t", 540, 280, POTS, page="A9"))
