"""Round and bench sheets, read back from what the printer would show."""

from __future__ import annotations

import ctypes
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw

from scionary.errors import BadValue
from scionary.files.bench_sheet import BenchSheetText, bench_sheet
from scionary.files.round_sheet import RoundDome, RoundRow, RoundSheetText, round_sheet
from scionary.files.symbols import read_symbols
from scionary.names import code_of, grouped

POINTS_PER_MM = 72 / 25.4
BOXES = (("drops", "Stalk drops"), ("bud", "Bud moving"), ("firm", "Firm"), ("lost", "Lost"))
WHOLE = (("water", "Water topped up"), ("rest", "All others unchanged"))
VENTS = ((0, "closed"), (100, "open"))


def rows(count: int) -> list[RoundRow]:
    return [RoundRow(f"Red Tarn {at}", at, "in quarantine" if at == 2 else "", ("drops",) if at == 3 else ()) for at in range(1, count + 1)]


def a_round(count: int, **more: object) -> RoundSheetText:
    text = RoundSheetText("SW5A2K", [RoundDome("Dome 1", "north window", rows(count))], BOXES, WHOLE, VENTS, "no flame.", "1 Jul 2026")
    return replace(text, **more)  # type: ignore[arg-type]


def a_bench(count: int, **more: object) -> BenchSheetText:
    text = BenchSheetText("SW5A2K", "Bench: Red Tarn", "into Dome 1", [code_of(at) for at in range(count)], "mm", "no flame.", "1 Jul 2026")
    return replace(text, **more)  # type: ignore[arg-type]


def pages_of(pdf: bytes) -> list[pypdfium2.PdfPage]:
    return list(pypdfium2.PdfDocument(pdf))


def text_of(page: pypdfium2.PdfPage) -> str:
    return " ".join(page.get_textpage().get_text_bounded().split())


def boxes_mm(page: pypdfium2.PdfPage) -> list[tuple[float, float]]:
    """(width, height) of every rectangle that is drawn with a line: the boxes to tick or write in, without their strokes."""
    found = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        fill, stroke = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(item, fill, stroke)
        points = [point(raw.FPDFPath_GetPathSegment(item, at)) for at in range(raw.FPDFPath_CountSegments(item))]
        if stroke.value and len(points) >= 4:
            across, down = zip(*points, strict=True)
            found.append(((max(across) - min(across)) / POINTS_PER_MM, (max(down) - min(down)) / POINTS_PER_MM))
    return found


def point(segment: object) -> tuple[float, float]:
    x, y = ctypes.c_float(), ctypes.c_float()
    raw.FPDFPathSegment_GetPoint(segment, x, y)
    return x.value, y.value


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize("count", [1, 30, 80])
def test_every_plant_has_its_row_and_every_page_the_code_and_its_symbol(count: int, page: str) -> None:
    pages = pages_of(round_sheet(a_round(count, page=page)))
    text = " ".join(text_of(each) for each in pages)
    assert all(f"{at} Red Tarn {at} " in f"{text} " for at in range(1, count + 1))
    for each in pages:
        assert "SW5 A2K" in text_of(each)
        assert [symbol.text for symbol in read_symbols(each.render(scale=3).to_pil())] == ["SW5A2K"]
    assert text.count("Water topped up") == 1
    assert sum(len(boxes_mm(each)) for each in pages) == 4 * count - (count > 2) + len(WHOLE) + len(VENTS)


def test_thirty_plants_fit_one_page_of_a4() -> None:
    assert len(pages_of(round_sheet(a_round(30)))) == 1


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize("pdf", [round_sheet, bench_sheet])
def test_every_box_is_at_least_six_millimetres_and_nothing_is_drawn_over_the_edge(pdf: object, page: str) -> None:
    drawn = round_sheet(a_round(30, page=page)) if pdf is round_sheet else bench_sheet(a_bench(30, page=page, cuts=True))
    for each in pages_of(drawn):
        assert boxes_mm(each)
        assert min(min(size) for size in boxes_mm(each)) >= 6.0
        shown = np.asarray(each.render(scale=2).to_pil().convert("L"))
        edge = round(5 * POINTS_PER_MM * 2)
        assert shown[:edge].min() == shown[-edge:].min() == shown[:, :edge].min() == shown[:, -edge:].min() == 255


def test_boxes_for_cut_and_lean_stand_on_sheets_of_today_and_not_on_those_printed_before() -> None:
    before, today = (pages_of(bench_sheet(a_bench(4, cuts=cuts)))[0] for cuts in (False, True))
    assert (len(boxes_mm(before)), len(boxes_mm(today))) == (4 * 6, 4 * 8)
    assert "Lean, mm" not in text_of(before)
    assert "as thick as in the row above" in text_of(before)
    assert "Scion, mm Cut, mm Lean, mm" in text_of(today)
    assert "all four sizes as in the row above" in text_of(today)


def test_sheets_are_black_on_white() -> None:
    for drawn in (round_sheet(a_round(12)), bench_sheet(a_bench(12))):
        shown = np.asarray(pages_of(drawn)[0].render(scale=2).to_pil().convert("RGB")).astype(int)
        assert np.ptp(shown, axis=2).max() == 0


def test_a_box_that_a_plant_lacks_is_not_drawn() -> None:
    full = len(boxes_mm(pages_of(round_sheet(a_round(2)))[0]))
    assert len(boxes_mm(pages_of(round_sheet(a_round(3)))[0])) == full + 3


def test_what_must_be_known_of_a_plant_stands_beside_its_name() -> None:
    assert "2 Red Tarn 2 in quarantine" in text_of(pages_of(round_sheet(a_round(3)))[0])


def test_each_dome_begins_on_a_page_of_its_own() -> None:
    text = a_round(3)
    pages = pages_of(round_sheet(replace(text, domes=[*text.domes, RoundDome("Dome 2", "", rows(2))])))
    assert ["Dome 2: round" in text_of(page) for page in pages] == [False, True]


@pytest.mark.parametrize("page", ["A4", "letter"])
def test_a_bench_sheet_has_every_code_in_open_characters(page: str) -> None:
    sheet = a_bench(60, page=page)
    pages = pages_of(bench_sheet(sheet))
    text = " ".join(" ".join(text_of(each) for each in pages).split())
    assert all(grouped(code) in text for code in sheet.codes)
    for words in ("Stock, mm", "Scion, mm", "As above", "New blade", "Disinfected", "Caution: no flame."):
        assert words in text


def test_sheets_without_rows_or_with_too_many_are_refused() -> None:
    for drawn in (
        lambda: round_sheet(a_round(0)),
        lambda: round_sheet(a_round(501)),
        lambda: bench_sheet(a_bench(0)),
        lambda: bench_sheet(a_bench(101)),
    ):
        with pytest.raises(BadValue, match="rows is"):
            drawn()
