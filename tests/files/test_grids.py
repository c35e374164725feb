"""Sheets of labels and their places."""

from __future__ import annotations

import pytest

from scionary.errors import BadValue
from scionary.files.grids import GRIDS, SheetGrid


def test_default_sheet_is_three_by_eight_on_a4() -> None:
    assert (SheetGrid().page, SheetGrid().count) == ("A4", 24)
    assert (GRIDS["letter-30"].page, GRIDS["letter-30"].count) == ("letter", 30)


def test_places_run_in_rows() -> None:
    grid = SheetGrid("A4", 2, 3, 60, 30, 10, 20, 5, 2)
    assert grid.corner_mm(0) == (10, 20)
    assert grid.corner_mm(1) == (75, 20)
    assert grid.corner_mm(4) == (10, 84)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"columns": 4}, "width of all labels is 268.8; allowed: at most 210 mm"),
        ({"rows": 9}, "height of all labels"),
        ({"columns": 0}, "columns, rows"),
        ({"label_width_mm": 30.0}, "at least 40 mm wide"),
        ({"gap_across_mm": -1.0}, "gap_across_mm is -1.0"),
        ({"left_mm": float("nan")}, "left_mm is nan"),
        ({"page": "A9"}, "page is 'A9'; allowed: A4 or letter"),
    ],
)
def test_sheet_that_cannot_be_is_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        SheetGrid(**change)  # type: ignore[arg-type]
