"""A season's weeks on paper: domes over their weeks, lists with boxes, as many pages as are needed."""

from __future__ import annotations

import ctypes
from dataclasses import replace

import pypdfium2
import pytest

from scionary.errors import BadValue
from scionary.files.weeks_sheet import SheetFilling, SheetSection, SheetWeek, WeeksSheet, weeks_sheet

SHEET = WeeksSheet(
    title="The weeks of 2027",
    about="12 grafts",
    domes=("Dome 1", "Dome 2"),
    weeks=tuple(SheetWeek(f"{day} Jul", "–") for day in range(1, 9)),
    fillings=(SheetFilling(0, 0, 7, 0.8, "Red Tarn", "12 of 15", 1), SheetFilling(1, 2, 3, 1.0, "made", "5", 4, before=True)),
    sections=(SheetSection("To cut", ("6 sticks of the old tree",)), SheetSection("To use", ("2 m of film",), boxes=False)),
)


def pages(sheet: WeeksSheet) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(weeks_sheet(sheet))]


def test_the_weeks_come_first_then_the_lists() -> None:
    weeks, lists = pages(SHEET)
    for words in ("The weeks of 2027", "Dome 1", "Dome 2", "1 Jul", "Red Tarn", "12 of 15", "made", "Bench hours"):
        assert words in weeks
    assert "6 sticks of the old tree" in lists
    assert "2 m of film" in lists


def test_a_dome_goes_on_where_its_weeks_go_on() -> None:
    """Weeks beyond the width stand below, and a filling is drawn in both parts with its age going on."""
    long = replace(
        SHEET, weeks=tuple(SheetWeek(f"{day}.", "–") for day in range(1, 31)), fillings=(SheetFilling(0, 8, 12, 1.0, "Ash", "3", 1),)
    )
    text = pages(long)[0]
    assert text.count("Dome 1") == 3
    assert text.count("Ash") == 2
    assert "12" in text.split()


def test_many_domes_take_more_pages_and_none_is_left_out() -> None:
    many = replace(SHEET, domes=tuple(f"Dome {number}" for number in range(1, 41)), fillings=())
    text = " ".join(pages(many)).split()
    assert all(str(number) in text for number in range(1, 41))


def test_long_lists_go_on_with_the_caution_on_each_page() -> None:
    found = pages(replace(SHEET, sections=(SheetSection("To cut", tuple(f"line {number}" for number in range(60))),)))[1:]
    assert len(found) == 3
    assert all("cut away from hand" in page for page in found)
    assert "line 59" in found[-1]


def test_the_page_s_number_stands_clear_of_the_caution() -> None:
    text = pypdfium2.PdfDocument(weeks_sheet(SHEET))[1].get_textpage()
    *_, number_top = text.get_charbox(text.get_text_range().index("Page 2 of 2"))
    _, caution_foot, *_ = text.get_charbox(text.get_text_range().index("wipe bark"))
    assert number_top < 12 * 72 / 25.4 - 2 < caution_foot  # the frame's lower edge is 12 mm above the paper's


def test_the_same_sheet_has_the_same_bytes() -> None:
    assert weeks_sheet(SHEET) == weeks_sheet(SHEET)


def test_a_list_without_end_is_refused() -> None:
    with pytest.raises(BadValue, match="at most 5000 lines"):
        weeks_sheet(replace(SHEET, sections=(SheetSection("x", ("y",) * 5001),)))


def test_every_page_says_which_of_how_many_it_is() -> None:
    found = pages(replace(SHEET, sections=(SheetSection("To cut", tuple(f"line {number}" for number in range(60))),)))
    assert [f"Page {at} of {len(found)}" in page for at, page in enumerate(found, start=1)] == [True] * len(found)
    assert len(found) > 2


def test_lines_of_the_lists_have_one_size_and_names_of_domes_can_be_read() -> None:
    lines = (
        "6 sticks of the old tree",
        "12 of a cultivar with a long name, Dome 1, Dome 2, on a lot with a name, wood of a tree behind the barn",
    )
    label = "Red Tarn, Ash Gill, Slate Veil, Gold Scree, Frost Ladle, Hollin Fire, Crooked Loan, Lanthorn and 4 more"
    fillings = (replace(SHEET.fillings[0], label=label),)
    document = pypdfium2.PdfDocument(weeks_sheet(replace(SHEET, fillings=fillings, sections=(SheetSection("To cut", lines),))))
    [short], [long] = _sizes(document[1], "sticks"), _sizes(document[1], "cultivar")
    assert short == long >= 8.0
    assert min(_sizes(document[0], "Tarn,")) >= 6.4


def _sizes(page: pypdfium2.PdfPage, word: str) -> set[float]:
    """Sizes in which a word is drawn."""
    found = set()
    for each in page.get_objects(filter=(pypdfium2.raw.FPDF_PAGEOBJ_TEXT,)):
        if _text_of(page, each).strip() == word:
            size = ctypes.c_float()
            pypdfium2.raw.FPDFTextObj_GetFontSize(each.raw, size)
            found.add(round(size.value, 2))
    return found


def _text_of(page: pypdfium2.PdfPage, text: pypdfium2.PdfObject) -> str:
    textpage = page.get_textpage()
    place = textpage.raw
    length = pypdfium2.raw.FPDFTextObj_GetText(text.raw, place, None, 0)
    held = ctypes.create_string_buffer(length * 2)
    pypdfium2.raw.FPDFTextObj_GetText(text.raw, place, ctypes.cast(held, ctypes.POINTER(ctypes.c_ushort)), length)
    return held.raw.decode("utf-16-le").rstrip("\0")
