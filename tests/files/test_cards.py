"""Dome cards, read back from what the printer would show."""

from __future__ import annotations

import ctypes
import re
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw

from scionary.errors import BadValue
from scionary.files.cards import CardDate, DomeCardText, dome_card
from scionary.files.symbols import read_symbols
from scionary.files.tray_drawing import PotMark, arrange

POINTS_PER_MM = 72 / 25.4
DATES = (
    CardDate("22 Feb", "Look at the water", "shallow water under the raised grid; dormant stocks stay dry"),
    CardDate("8 Mar", "First look: firm?", "day 16"),
    CardDate("21 Mar", "Open the vents a finger wide", "first in the evening or on a dull day"),
)


def ten_pots() -> list[PotMark]:
    """Two rows of five square pots at their places."""
    return [
        PotMark(f"Red Tarn {at + 1}", (0.2, 0.5, 0.8), x_mm=54 + 102 * (at % 5), y_mm=60 + 110 * (at // 5), size_mm=98) for at in range(10)
    ]


def card(pots: list[PotMark], **more: object) -> DomeCardText:
    """A card with dates and a caution."""
    text = DomeCardText(
        "Dome 2", pots, (), "north window", "20 Feb 2025", DATES, "Cut away from hand and body.", "20 Feb 2025", front="door side"
    )
    return replace(text, **more)  # type: ignore[arg-type]


def page_of(pdf: bytes) -> pypdfium2.PdfPage:
    """The only page."""
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == 1
    return document[0]


def text_of(pdf: bytes) -> str:
    """All words of the page on one line."""
    return " ".join(page_of(pdf).get_textpage().get_text_bounded().split())


def squares_mm(pdf: bytes) -> list[float]:
    """Sides of all square paths with straight edges between 5 and 9 mm: the boxes to tick, without their strokes."""
    sides = []
    for item in page_of(pdf).get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        segments = [raw.FPDFPath_GetPathSegment(item, at) for at in range(raw.FPDFPath_CountSegments(item))]
        if any(raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_BEZIERTO for segment in segments):
            continue
        points = [_point(segment) for segment in segments]
        matrix = item.get_matrix()
        wide, high = (
            scale * (max(places) - min(places)) for scale, places in zip((matrix.a, matrix.d), zip(*points, strict=True), strict=True)
        )
        if abs(wide - high) < 0.1 and 5 < wide / POINTS_PER_MM < 9:
            sides.append(wide / POINTS_PER_MM)
    return sides


def _point(segment: object) -> tuple[float, float]:
    x, y = ctypes.c_float(), ctypes.c_float()
    raw.FPDFPathSegment_GetPoint(segment, x, y)
    return x.value, y.value


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize("count", [1, 3, 10, 12, 30, 60])
def test_one_page_holds_every_name_and_the_domes_own_as_a_symbol(count: int, page: str) -> None:
    pdf = dome_card(card([PotMark(f"Red Tarn {at + 1}") for at in range(count)], page=page))
    text = text_of(pdf)
    assert all(f"Red Tarn {at + 1}" in text for at in range(count))
    for words in (
        "Dome 2",
        "north window",
        "closed 20 Feb 2025",
        "open Dome 2 → Walk the round",
        "Caution: Cut away from hand",
        "door side",
    ):
        assert words in text
    assert [symbol.text for symbol in read_symbols(page_of(pdf).render(scale=2).to_pil())] == ["Dome 2"]


def test_dates_stand_with_what_and_why() -> None:
    text = text_of(dome_card(card(ten_pots())))
    assert "22 Feb Look at the water – shallow water under the raised grid; dormant stocks stay dry" in text
    assert "more dates" not in text


def test_dates_without_room_are_counted() -> None:
    pots = [PotMark(f"Red Tarn {at + 1}") for at in range(60)]
    text = text_of(dome_card(card(pots, dates=DATES * 5)))
    assert re.search(r"and \d+ more dates, on the dome's page", text)


def test_what_matters_and_what_is_late_never_give_way_to_the_other_dates() -> None:
    looks = [CardDate(f"Wed {day} Jul", "Look in", "mould shows") for day in range(1, 29)]
    late = CardDate("Sun 28 Jun", "Top up the water", late=True)
    vents = [CardDate("Sat 1 Aug", "Open the vents a third", matters=True), CardDate("Sat 15 Aug", "Take the cover off", matters=True)]
    pots = [PotMark(f"Red Tarn {at + 1}") for at in range(30)]
    text = text_of(dome_card(card(pots, dates=[late, *looks, *vents])))
    assert "Sun 28 Jun LATE: Top up the water" in text
    assert text.index("Wed 1 Jul") < text.index("Sat 1 Aug Open the vents a third") < text.index("Sat 15 Aug Take the cover off")
    assert "Wed 28 Jul" not in text


def test_a_date_stands_on_one_line() -> None:
    lines = page_of(dome_card(card(ten_pots(), dates=[CardDate("Wed 30 Sep", "Look in")]))).get_textpage().get_text_bounded().splitlines()
    assert any("Wed 30 Sep" in line for line in lines)


def test_places_are_numbered_free_ones_drawn_and_those_beyond_listed_beneath() -> None:
    pots = [replace(pot, place=at) for at, pot in enumerate(ten_pots(), 1)]
    pots[3] = replace(pots[3], said="", free=True)
    text = text_of(dome_card(card(pots, beyond=[PotMark("Ash Gill 1", place=14), PotMark("Ash Gill 2")])))
    assert "Red Tarn 4" not in text
    assert "5 Red Tarn 5" in text
    assert "14 Ash Gill 1" in text
    assert "– Ash Gill 2" in text


@pytest.mark.parametrize(("count", "boxes"), [(3, 9), (10, 30), (30, 90)])
def test_three_boxes_of_at_least_six_mm_for_every_pot(count: int, boxes: int) -> None:
    sides = squares_mm(dome_card(card([PotMark(f"Red Tarn {at + 1}") for at in range(count)], dates=())))
    assert len(sides) == boxes
    assert min(sides) >= 6.0


def test_pots_stand_at_their_places() -> None:
    cells = arrange(ten_pots(), 521, 267, 0, 100, 521, 267)
    assert [(cell.left, cell.top) for cell in cells[:2]] == [(5, 89), (107, 89)]
    assert cells[5].top == cells[0].top - 110
    assert cells[0].width == cells[0].height == 98


def test_pots_without_places_share_the_tray_evenly_and_do_not_overlap() -> None:
    cells = arrange([PotMark(str(at)) for at in range(10)], 521, 267, 0, 267, 521, 267)
    assert len({(cell.left, cell.top) for cell in cells}) == 10
    assert max(cell.left + cell.width for cell in cells) == pytest.approx(521)
    assert min(cell.top - cell.height for cell in cells) == pytest.approx(0)


def dark(pot: PotMark) -> float:
    """Share of black on a card with this one pot."""
    shown = page_of(dome_card(card([pot], dates=(), caution=""))).render(scale=2).to_numpy()
    return float(np.mean(shown < 100))


def test_more_that_is_sure_draws_more_black() -> None:
    bare, some, most, full = (dark(PotMark("Red Tarn 1", (low, low, low))) for low in (0.0, 0.3, 0.7, 1.0))
    assert bare < some < most < full
    assert some - bare == pytest.approx((full - bare) * 0.3, rel=0.15)
    ring_mm2 = 2 * np.pi * 12.0 * (12.0 * 0.3)  # a lone pot's ring has a radius of 12 mm and three tenths of that as its stroke
    assert full - bare == pytest.approx(ring_mm2 / (210 * 297), rel=0.1)


def test_hatched_is_lighter_than_solid_and_darker_than_bare() -> None:
    bare, hatched, solid = (dark(PotMark("Red Tarn 1", chance)) for chance in ((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 1.0, 1.0)))
    assert bare < hatched < solid


def test_unknown_has_a_question_mark_and_dead_has_none() -> None:
    legend = text_of(dome_card(card([PotMark("Red Tarn 1", dead=True)]))).count("?")
    assert text_of(dome_card(card([PotMark("Red Tarn 1")]))).count("?") == legend + 1
    assert text_of(dome_card(card([PotMark("Red Tarn 1", (0.2, 0.4, 0.6), doubt=True)]))).count("?") == legend + 1
    assert text_of(dome_card(card([PotMark("Red Tarn 1", (0.2, 0.4, 0.6))]))).count("?") == legend


def test_nothing_but_black_on_white_is_used() -> None:
    shown = page_of(dome_card(card(ten_pots()))).render(scale=2).to_numpy().astype(int)
    assert abs(shown[..., 0] - shown[..., 2]).max() == 0


def test_same_card_gives_the_same_file() -> None:
    assert dome_card(card(ten_pots())) == dome_card(card(ten_pots()))


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(BadValue, match="pots is 0; allowed: 1 to 60"):
        dome_card(card([]))
    with pytest.raises(BadValue, match="place of Red Tarn 9"):
        dome_card(card([PotMark("Red Tarn 9", x_mm=500, y_mm=60, size_mm=98)]))
    with pytest.raises(BadValue, match="low, mid, high"):
        PotMark("Red Tarn 1", (0.5, 0.2, 0.9))
    with pytest.raises(BadValue, match="page is 'A3'"):
        dome_card(card(ten_pots(), page="A3"))
