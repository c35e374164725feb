"""Bench sheets, read back from what the printer would show."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pypdfium2
import pytest

from scionary.errors import BadValue
from scionary.files.symbols import read_symbols
from scionary.files.trial_sheet import SheetPot, SheetTray, TrialSheetText, trial_sheet


def tray(count: int, *, name: str = "Dome 1", columns: int = 5, round_pots: bool = False) -> SheetTray:
    """Square places in rows, the arms taking turns."""
    pots = [SheetPot(at + 1, 55 + 100 * (at % columns), 55 + 100 * (at // columns), at % 2) for at in range(count)]
    rows = -(-count // columns)
    return SheetTray(name, "north window", 10 + 100.0 * columns, 10 + 100.0 * rows, 96.0, pots, round_pots)


def sheet(*trays: SheetTray) -> TrialSheetText:
    arms = [("A", "stretch film"), ("B", "rubber strip")]
    return TrialSheetText("Film or rubber", "Which holds better?", arms, trays, "Drawn by lot.", "Cut away from the hand.", "1 Jul 2026")


def pages(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [" ".join(page.get_textpage().get_text_range().split()) for page in document]


def test_a_page_a_dome_says_what_each_place_gets_in_order() -> None:
    first, second = pages(trial_sheet(sheet(tray(4), replace(tray(2), name="Dome 2"))))
    for part in ("Dome 1", "north window", "Film or rubber", "Which holds better?", "Drawn by lot.", "Caution", "Printed 1 Jul 2026"):
        assert part in first
    order = [first.index(text) for text in ("1 A stretch film", "2 B rubber strip", "3 A stretch film", "4 B rubber strip")]
    assert order == sorted(order)
    assert ("Dome 2" in second, "3 A" in second) == (True, False)


def test_places_that_take_no_part_are_drawn_and_not_listed() -> None:
    whole = tray(4)
    some = replace(whole, pots=[*whole.pots[:3], replace(whole.pots[3], arm=None)])
    [page] = pages(trial_sheet(sheet(some)))
    assert "3 A stretch film" in page
    assert "4 B rubber strip" not in page


def test_many_places_go_on_over_the_page_and_none_is_lost() -> None:
    told = pages(trial_sheet(sheet(tray(120, columns=12))))
    assert len(told) == 2
    assert "continued" in told[1]
    words = " ".join(told)
    assert all(f"{at} {'AB'[(at - 1) % 2]} " in words for at in range(1, 121))


def test_arms_differ_in_print_without_their_letters() -> None:
    """A pot of the second arm is darker than one of the first: it is hatched."""
    page = pypdfium2.PdfDocument(trial_sheet(sheet(tray(2, columns=2))))[0]
    grey = np.asarray(page.render(scale=2).to_pil().convert("L"), dtype=float)
    height, width = grey.shape
    band = grey[round(height * 0.15) : round(height * 0.33)]
    left, right = band[:, round(width * 0.3) : round(width * 0.45)], band[:, round(width * 0.55) : round(width * 0.7)]
    assert right.mean() < left.mean() - 5


def test_the_symbol_holds_the_trials_name() -> None:
    page = pypdfium2.PdfDocument(trial_sheet(sheet(tray(4, round_pots=True))))[0]
    assert [symbol.text for symbol in read_symbols(np.asarray(page.render(scale=3).to_pil().convert("L")))] == ["Film or rubber"]


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert trial_sheet(sheet(tray(4))) == trial_sheet(sheet(tray(4)))


def test_a_sheet_without_trays_is_refused() -> None:
    with pytest.raises(BadValue, match="trays is 0"):
        trial_sheet(sheet())
