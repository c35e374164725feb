"""Sheets of labels and their places."""

from __future__ import annotations

import pytest

from scionary.errors import BadValue
from scionary.files.grids import GRIDS, SheetGrid
from scionary.files.paper import page_size_mm


def test_default_sheet_is_three_by_eight_on_a4() -> None:
    assert (SheetGrid().page, SheetGrid().count) == ("A4", 24)
    assert (GRIDS["letter-30"].page, GRIDS["letter-30"].count) == ("letter", 30)


def test_a_page_is_as_large_as_it_was_measured() -> None:
    grid = SheetGrid("62.5x1200", 1, 40, 60.0, 29.0, 1.0, 0.0, 0.0, 1.0)
    assert page_size_mm(grid.page) == (62.5, 1200.0)
    assert grid.count == 40


def test_places_run_in_rows() -> None:
    grid = SheetGrid("A4", 2, 3, 60, 30, 10, 20, 5, 2)
    assert grid.corner_mm(0) == (10, 20)
    assert grid.corner_mm(1) == (75, 20)
    assert grid.corner_mm(4) == (10, 84)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"columns": 4}, "width of all labels is 268.8; allowed: at most 210 mm"),
        (
            {"rows": 9},
            "height of all labels is 318.0; allowed: at most 297 mm, the height of the page; they overhang its lower edge by 21.0 mm",
        ),
        (
            {"page": "62x29"},
            "width of all labels is 202.8; allowed: at most 62 mm, the width of the page; they overhang its right edge by 140.8",
        ),
        ({"page": "5x29"}, "page is '5x29'"),
        ({"columns": 0}, "columns, rows"),
        ({"label_width_mm": 29.0}, "at least 30 mm wide and 12 mm high"),
        ({"gap_across_mm": -1.0}, "gap_across_mm is -1.0"),
        ({"left_mm": float("nan")}, "left_mm is nan"),
        ({"page": "A9"}, "page is 'A9'; allowed: A4, letter, or width x height in mm"),
    ],
)
def test_sheet_that_cannot_be_is_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        SheetGrid(**change)  # type: ignore[arg-type]
