"""Printed rulers: one at full size to hold against a real one, and a bar that shows a scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scionary.files.paper import MM, PLAIN, printable
from scionary.language import say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_INCH_MM = 25.4
_RULER = {"mm": (100, 10, 1.0), "in": (4, 1, _INCH_MM)}  # how long, how often a number, mm of one


def draw_ruler(canvas: Canvas, left: float, foot: float, unit: str) -> None:
    """100 mm or 4 inches with their parts, to be held against a ruler before the sheet is trusted."""
    length, numbered, one_mm = _RULER["in" if unit == "in" else "mm"]
    canvas.setLineWidth(0.5)
    canvas.setFont(PLAIN, 6)
    canvas.line(left, foot, left + length * one_mm * MM, foot)
    steps = length * 8 if unit == "in" else length
    for step in range(steps + 1):
        at = step / 8 if unit == "in" else float(step)
        whole = at % numbered == 0
        middle = (at % 0.5 == 0) if unit == "in" else step % 5 == 0
        high = (3.6 if whole else 2.6 if middle else 1.6) * MM
        x = left + at * one_mm * MM
        canvas.line(x, foot, x, foot + high)
        if whole:
            canvas.drawCentredString(x, foot + 4.2 * MM, f"{at:g}")
    words = (
        say("This ruler is 4 inches long when printed at 100 %.")
        if unit == "in"
        else say("This ruler is 100 mm long when printed at 100 %.")
    )
    canvas.drawString(left, foot - 3.0 * MM, printable(words))


def draw_scale_bar(canvas: Canvas, left: float, foot: float, scale: float, unit: str) -> None:
    """A bar of a round length on the tray, as long as it is at this scale."""
    length = _bar_length(scale, unit)
    wide = length * (_INCH_MM if unit == "in" else 1.0) / scale * MM
    canvas.setLineWidth(0.7)
    for part in range(4):
        canvas.rect(left + part * wide / 4.0, foot, wide / 4.0, 1.6 * MM, fill=1 - part % 2)
    canvas.setFont(PLAIN, 7)
    canvas.drawString(left, foot - 3.2 * MM, "0")
    canvas.drawCentredString(left + wide, foot - 3.2 * MM, f"{length:g} {unit}")


def _bar_length(scale: float, unit: str) -> float:
    """A round length that is some 40 mm long on paper."""
    wanted = 45.0 * scale / (_INCH_MM if unit == "in" else 1.0)
    lengths = (1, 2, 4, 8, 12, 24, 48, 96) if unit == "in" else (20, 40, 80, 100, 200, 400, 800, 1000, 2000, 4000)
    return max((length for length in lengths if length <= wanted), default=lengths[0])
