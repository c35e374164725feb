"""Sheets of labels: how many, how large, where."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from scionary.errors import BadValue
from scionary.files.paper import page_size_mm
from scionary.language import Words, mark, say

_SLACK_MM = 0.01
LEAST_WIDTH_MM, LEAST_HEIGHT_MM = 30.0, 12.0  # below, a name of usual length has letters under 2 mm


@dataclass(frozen=True)
class SheetGrid:
    """A sheet of equal labels, lengths in mm; margins are measured from the top left corner of the page."""

    page: str = "A4"
    columns: int = 3
    rows: int = 8
    label_width_mm: float = 63.5
    label_height_mm: float = 33.9
    left_mm: float = 7.25
    top_mm: float = 12.9
    gap_across_mm: float = 2.5
    gap_down_mm: float = 0.0

    def __post_init__(self) -> None:
        page = page_size_mm(self.page)
        for field in fields(self)[1:]:
            value = getattr(self, field.name)
            if not math.isfinite(value) or value < 0:
                raise BadValue(field.name, value, say("0 or more"))
        if self.columns < 1 or self.rows < 1 or self.columns * self.rows > 500:
            raise BadValue(say("columns, rows"), (self.columns, self.rows), say("1 or more each, at most 500 labels a sheet"))
        if self.label_width_mm < LEAST_WIDTH_MM or self.label_height_mm < LEAST_HEIGHT_MM:
            allowed = say(
                "at least {least_width_mm:g} mm wide and {least_height_mm:g} mm high, to hold name and symbol",
                least_width_mm=LEAST_WIDTH_MM,
                least_height_mm=LEAST_HEIGHT_MM,
            )
            raise BadValue("label", (self.label_width_mm, self.label_height_mm), allowed)
        self._check("width", self.left_mm, self.columns, self.label_width_mm, self.gap_across_mm, page[0])
        self._check("height", self.top_mm, self.rows, self.label_height_mm, self.gap_down_mm, page[1])

    @staticmethod
    def _check(side: str, margin: float, count: int, label: float, gap: float, page: float) -> None:
        needed = margin + count * label + (count - 1) * gap
        if needed > page + _SLACK_MM:
            edge = mark("right") if side == "width" else mark("lower")
            allowed = say(
                "at most {page:g} mm, the {side} of the page; they overhang its {edge} edge by {over:.1f} mm",
                page=page,
                side=say(side),
                edge=say(edge),
                over=needed - page,
            )
            raise BadValue(say("{side} of all labels", side=side), round(needed, 1), allowed)

    @property
    def count(self) -> int:
        """Labels on a sheet."""
        return self.columns * self.rows

    def corner_mm(self, place: int) -> tuple[float, float]:
        """Top left corner of a label from the page's top left, places counted in rows from 0."""
        row, column = divmod(place, self.columns)
        return (
            self.left_mm + column * (self.label_width_mm + self.gap_across_mm),
            self.top_mm + row * (self.label_height_mm + self.gap_down_mm),
        )


GRIDS = {
    "a4-24": SheetGrid(),
    "a4-14": SheetGrid("A4", 2, 7, 99.1, 38.1, 4.65, 15.15, 2.5, 0.0),
    "a4-65": SheetGrid("A4", 5, 13, 38.1, 21.2, 4.75, 10.7, 2.5, 0.0),
    "a4-strips": SheetGrid("A4", 1, 12, 180.0, 20.0, 15.0, 15.0, 0.0, 2.0),
    "letter-30": SheetGrid("letter", 3, 10, 66.7, 25.4, 4.7, 12.7, 3.1, 0.0),
    "letter-strips": SheetGrid("letter", 1, 11, 180.0, 20.0, 17.9, 15.0, 0.0, 2.0),
    "strip-180x20": SheetGrid("180x20", 1, 1, 180.0, 20.0, 0.0, 0.0, 0.0, 0.0),
    "single-60x30": SheetGrid("60x30", 1, 1, 60.0, 30.0, 0.0, 0.0, 0.0, 0.0),
    "single-100x50": SheetGrid("100x50", 1, 1, 100.0, 50.0, 0.0, 0.0, 0.0, 0.0),
}
GRID_WORDS = Words(
    {
        "a4-24": mark("A4, 24 labels"),
        "a4-14": mark("A4, 14 labels"),
        "a4-65": mark("A4, 65 labels"),
        "a4-strips": mark("A4, long strips"),
        "letter-30": mark("Letter, 30 labels"),
        "letter-strips": mark("Letter, long strips"),
        "strip-180x20": mark("continuous strip, cut every 180 mm, 20 mm wide"),
        "single-60x30": mark("single labels, 60 × 30 mm"),
        "single-100x50": mark("single labels, 100 × 50 mm"),
    }
)
