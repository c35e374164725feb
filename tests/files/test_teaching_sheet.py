"""The teaching sheet, read back from the page."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest

from scionary.errors import BadValue
from scionary.files.teaching_sheet import TeachingSheet, teaching_sheet
from scionary.union import METHODS, Placement, Stem, planned_joint, union_view


def views(method="side_veneer", stock_mm=7.0, scion_mm=3.0, leans=(("straight", 0.0), ("leaning", 1.5))):
    joint = planned_joint(METHODS[method], Stem(stock_mm), Stem(scion_mm))
    return [(title, union_view(joint, Placement(0.0, lean, joint.length_mm), 0.5)) for title, lean in leans]


def text_of(sheet: TeachingSheet) -> str:
    document = pypdfium2.PdfDocument(teaching_sheet(sheet))
    assert len(document) == 1
    return " ".join(document[0].get_textpage().get_text_range().split())


def test_it_says_what_to_do_what_the_lines_mean_and_what_to_beware_of():
    sheet = TeachingSheet("A 3 mm scion on a 7 mm stock", ["Cut 18 mm long.", "Lean the top 1.5 mm right."], views(), ["97 of 100."])
    text = text_of(sheet)
    for words in (
        "A 3 mm scion on a 7 mm stock",
        "1. Cut 18 mm long.",
        "2. Lean the top 1.5 mm right.",
        "8 times its size",
        "the slick layer between green bark and white wood",
        "here they meet",
        "97 of 100.",
        "Caution: cut away from hand and body",
        "keep it from flame",
    ):
        assert words in text


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize(("method", "stock_mm", "scion_mm"), [("cleft", 60.0, 12.0), ("bark_graft", 150.0, 20.0), ("saddle", 5.0, 5.0)])
def test_nothing_runs_off_the_page_or_into_the_caution(page, method, stock_mm, scion_mm):
    steps = ["A sentence about what to do, long enough to fill a line of the sheet and to run on into a second one."] * 5
    document = pypdfium2.PdfDocument(teaching_sheet(TeachingSheet("Long " * 12, steps, views(method, stock_mm, scion_mm), page=page)))
    width, height = document[0].get_size()
    black = document[0].render(scale=1.0, grayscale=True).to_numpy().reshape(round(height), -1)[:, : int(width)] < 250
    rows, columns = np.flatnonzero(black.any(axis=1)), np.flatnonzero(black.any(axis=0))
    assert rows[0] >= 30
    assert rows[-1] <= height - 30
    assert columns[0] >= 30
    assert columns[-1] <= width - 30
    words = document[0].get_textpage()
    feet = {part: words.get_charbox(words.search(part).get_next()[0])[1] for part in ("Caution:", "only there", "here they meet")}
    assert feet["Caution:"] + 14 < feet["only there"] < feet["here they meet"]


def test_under_bark_the_key_speaks_of_the_opening():
    assert "edge of the opened bark" in text_of(TeachingSheet("T", [], views("side_inlay", 10.0)))


@pytest.mark.parametrize(
    ("sheet", "message"),
    [(TeachingSheet("T", [], []), "1 to 3 on a sheet"), (TeachingSheet(" ", [], views()), "title is ' '; allowed: a title")],
)
def test_what_makes_no_sheet_is_refused(sheet, message):
    with pytest.raises(BadValue, match=message):
        teaching_sheet(sheet)
