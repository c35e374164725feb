"""Full size over many sheets: how many it takes, what each shows, and the marks by which they are laid together."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.files.paper import MM, PLAIN, page_size_mm

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

OVERLAP_MM = 10.0
_MARGIN_MM, _FOOT_MM = 8.0, 22.0
_EDGE_MM = 2.0  # beyond the tray on every side, so that its wall is drawn whole


@dataclass(frozen=True)
class Window:
    """What one sheet shows: lower left corner on paper and on the tray, and its size; all in mm."""

    left_mm: float
    foot_mm: float
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Sheets:
    """The sheets of a tray at full size."""

    page: str
    columns: int
    rows: int
    length_mm: float
    width_mm: float
    margin_mm: float = _MARGIN_MM

    @property
    def count(self) -> int:
        """Sheets in all."""
        return self.columns * self.rows

    @property
    def area_mm(self) -> tuple[float, float]:
        """What is drawn on one sheet, across and up."""
        return _area(self.page)

    def window(self, column: int, row: int) -> Window:
        """The part of the tray on a sheet; neighbours show the same strip of 10 mm."""
        across, up = self.area_mm
        x, y = column * (across - OVERLAP_MM) - _EDGE_MM, row * (up - OVERLAP_MM) - _EDGE_MM
        wide, high = min(across, self.length_mm + _EDGE_MM - x), min(up, self.width_mm + _EDGE_MM - y)
        return Window(self.margin_mm, _FOOT_MM, x, y, wide, high)

    def name(self, column: int, row: int) -> str:
        """A1 at the near left."""
        return f"{chr(ord('A') + column)}{row + 1}"

    def draw_marks(self, canvas: Canvas, column: int, row: int) -> None:
        """A dashed line and crosses where a neighbour's drawing begins, with the neighbour's name."""
        window = self.window(column, row)
        left, foot = window.left_mm * MM, window.foot_mm * MM
        right, top, half = left + window.width_mm * MM, foot + window.height_mm * MM, OVERLAP_MM / 2.0 * MM
        canvas.setFont(PLAIN, 7)
        if column + 1 < self.columns:
            self._seam(canvas, (right - half, foot), (right - half, top), self.name(column + 1, row))
        if column:
            self._seam(canvas, (left + half, foot), (left + half, top), self.name(column - 1, row))
        if row + 1 < self.rows:
            self._seam(canvas, (left, top - half), (right, top - half), self.name(column, row + 1))
        if row:
            self._seam(canvas, (left, foot + half), (right, foot + half), self.name(column, row - 1))

    def _seam(self, canvas: Canvas, start: tuple[float, float], end: tuple[float, float], neighbour: str) -> None:
        canvas.setLineWidth(0.4)
        canvas.setDash(4, 3)
        canvas.line(*start, *end)
        canvas.setDash()
        for share in (0.2, 0.5, 0.8):
            x, y = (a + (b - a) * share for a, b in zip(start, end, strict=True))
            canvas.line(x - 3 * MM, y, x + 3 * MM, y)
            canvas.line(x, y - 3 * MM, x, y + 3 * MM)
            canvas.circle(x, y, 1.2 * MM)
        x, y = (a + (b - a) * 0.35 for a, b in zip(start, end, strict=True))
        canvas.setFillGray(1)
        canvas.rect(x - 4 * MM, y - 2 * MM, 8 * MM, 4 * MM, stroke=0, fill=1)
        canvas.setFillGray(0)
        canvas.drawCentredString(x, y - 2.4, neighbour)

    def draw_overview(self, canvas: Canvas, right: float, foot: float, column: int, row: int) -> None:
        """All sheets small, this one filled."""
        side = min(22.0 * MM / self.columns, 13.0 * MM / self.rows)
        left = right - side * self.columns
        canvas.setLineWidth(0.5)
        for at in range(self.count):
            x, y = at % self.columns, at // self.columns
            canvas.rect(left + x * side, foot + y * side, side, side, fill=int((x, y) == (column, row)))


def _area(page: str) -> tuple[float, float]:
    width, height = page_size_mm(page)
    return width - 2 * _MARGIN_MM, height - _MARGIN_MM - _FOOT_MM


def sheets_needed(length_mm: float, width_mm: float, page: str) -> Sheets:
    """The fewest sheets of this page that show it all, upright or lying; upright where both take as many."""
    width, height = page_size_mm(page)
    ways = []
    for way in (page, f"{height:g}x{width:g}"):
        across, up = _area(way)
        columns, rows = (
            max(1, math.ceil((side + 2 * _EDGE_MM - OVERLAP_MM) / (room - OVERLAP_MM) - 1e-9))
            for side, room in ((length_mm, across), (width_mm, up))
        )
        ways.append(Sheets(way, columns, rows, length_mm, width_mm))
    return min(ways, key=lambda sheets: sheets.count)
