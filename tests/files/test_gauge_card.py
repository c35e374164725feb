"""The gauge card, measured on the page as a printer would show it."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest

from scionary.errors import BadValue
from scionary.files.gauge_card import RULER_MM, SLOT_DEEP_MM, gauge_card
from scionary.union import gauge_slots

DOTS_PER_MM = 40


def rastered(pdf: bytes, dots_per_mm: int = DOTS_PER_MM) -> np.ndarray:
    """True where the page is black, read from the picture of the page alone."""
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == 1
    picture = document[0].render(scale=dots_per_mm * 25.4 / 72, grayscale=True).to_numpy()
    return picture.reshape(picture.shape[:2]) < 128


def black_runs_mm(row: np.ndarray, least_mm: float) -> list[float]:
    """Lengths of the black stretches of a row of dots."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
    lengths = (edges[1::2] - edges[::2]) / DOTS_PER_MM
    return [float(length) for length in lengths if length >= least_mm]


def rows_of_slots_mm(black: np.ndarray) -> list[list[float]]:
    """The widest rows of black boxes from above: looked for where many dots in a column are black."""
    deep = int(SLOT_DEEP_MM * DOTS_PER_MM)
    counts = black.sum(axis=1)
    found, y = [], 0
    while y < len(counts) - deep:
        runs = black_runs_mm(black[y + deep // 2], 1.5)
        steady = runs and all(black_runs_mm(black[y + share * deep // 10], 1.5) == runs for share in (1, 4, 9))
        if steady and len(runs) > 3:
            found.append(runs)
            y += deep
        y += 8
    return found


@pytest.mark.parametrize("page", ["A4", "letter"])
def test_every_slot_is_as_wide_as_it_says(page):
    slots = gauge_slots()
    measured = [width for row in rows_of_slots_mm(rastered(gauge_card(slots, page=page))) for width in row]
    assert len(measured) == len(slots)
    assert measured == pytest.approx(slots, abs=0.05)


def test_the_ruler_is_as_long_as_it_says():
    black = rastered(gauge_card(gauge_slots()))
    longest = max(max(black_runs_mm(row, 100.0), default=0.0) for row in black[: black.shape[0] // 3])
    assert longest == pytest.approx(RULER_MM, abs=0.2)


def test_millimetres_stand_a_millimetre_apart():
    black = rastered(gauge_card(gauge_slots()))
    lines = [at for at, row in enumerate(black[: black.shape[0] // 3]) if black_runs_mm(row, 140.0)]
    ticks = black[min(lines) - DOTS_PER_MM]
    starts = np.flatnonzero(np.diff(ticks.astype(np.int8)) == 1)
    assert len(starts) == RULER_MM + 1
    assert np.diff(starts) / DOTS_PER_MM == pytest.approx(np.ones(RULER_MM), abs=0.06)


def test_it_says_how_to_print_cut_and_try():
    text = " ".join(pypdfium2.PdfDocument(gauge_card(gauge_slots()))[0].get_textpage().get_text_range().split())
    for words in ("actual size (100 %)", "if 100 mm are not 100 mm", "away from hand and body", "6.5", "16/64", "Caution:"):
        assert words in text


def test_the_same_card_is_the_same_bytes():
    assert gauge_card(gauge_slots()) == gauge_card(gauge_slots())


@pytest.mark.parametrize("slots", [[], [0.0], [3.0, 70.0], [20.0] * 60])
def test_slots_that_make_no_card_are_refused(slots):
    with pytest.raises(BadValue, match="slots_mm"):
        gauge_card(slots)


def drawn_mm(page):
    """(left, right, bottom, top) in mm of every box and line of the page, as the printer is told them, and the words with their middles."""
    per_mm = 72 / 25.4
    boxes = [tuple(side / per_mm for side in item.get_bounds()) for item in page.get_objects() if item.type == 2]
    words = []
    text = page.get_textpage()
    for at in range(text.count_rects()):
        left, bottom, right, top = text.get_rect(at)
        words.append((text.get_text_bounded(left, bottom, right, top).strip(), (left + right) / 2 / per_mm, (bottom + top) / 2 / per_mm))
    return [(left, right, bottom, top) for left, bottom, right, top in boxes], words


def test_a_slot_spans_as_many_millimetres_of_the_card_s_own_ruler_as_stand_beside_it():
    boxes, words = drawn_mm(pypdfium2.PdfDocument(gauge_card(gauge_slots()))[0])
    base = next(bottom for left, right, bottom, top in boxes if right - left > RULER_MM - 1 and top - bottom < 1)
    tens = sorted((float(text), x) for text, x, y in words if text.isdigit() and int(text) >= 20 and base + 5 < y < base + 10)
    a_millimetre = (tens[-1][1] - tens[0][1]) / (tens[-1][0] - tens[0][0])
    assert (len(tens), a_millimetre) == (14, pytest.approx(1.0, abs=1e-3))
    slots = [(left, right, (bottom + top) / 2) for left, right, bottom, top in boxes if abs(top - bottom - SLOT_DEEP_MM) < 0.01]
    assert len(slots) == len(gauge_slots())
    for left, right, middle in slots:
        near = [
            float(text)
            for text, x, y in words
            if left - 1 < x < right + 1 and abs(y - middle) < 16 and y < base - 10 and text.replace(".", "").isdigit()
        ]
        assert (right - left) / a_millimetre == pytest.approx(near[0], abs=0.01)
        assert len(near) == 1


def test_an_inch_of_the_ruler_is_as_many_millimetres_as_it_is():
    boxes, words = drawn_mm(pypdfium2.PdfDocument(gauge_card(gauge_slots(), page="letter"))[0])
    base = next(bottom for left, right, bottom, top in boxes if right - left > RULER_MM - 1 and top - bottom < 1)
    inches = sorted((int(text), x) for text, x, y in words if text.isdigit() and base - 11 < y < base - 6)
    assert [number for number, _ in inches] == [0, 1, 2, 3, 4, 5]
    assert np.diff([x for _, x in inches]) == pytest.approx(np.full(5, 25.4), abs=0.1)  # middles of figures, whose ink differs
