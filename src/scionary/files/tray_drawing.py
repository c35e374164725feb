"""A tray seen from above on paper, in black on white: pots at their places, each with its ring and boxes to tick."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import BOLD, MM, PLAIN, draw_block, fit, text_width
from scionary.files.ring import TICK_PER_RADIUS, WIDTH_PER_RADIUS, WOOD_PER_RADIUS, check_chance, on_ring
from scionary.language import say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

BOX_MM = 6.5
_HATCH_DEG = 9.0


@dataclass(frozen=True)
class PotMark:
    """A pot on the card: its spoken name, its place, and what is known of its life.

    `chance` is (low, mid, high) from 0 to 1, None when nothing is known; `x_mm`, `y_mm` are the pot's centre from the tray's upper left
    corner and `size_mm` its width, None to let the card arrange all pots in order. `place` is the place's number on the tray, 0 for none;
    a `free` place holds no pot.
    """

    said: str
    chance: tuple[float, float, float] | None = None
    dead: bool = False
    doubt: bool = False
    x_mm: float | None = None
    y_mm: float | None = None
    size_mm: float | None = None
    round: bool = False
    place: int = 0
    free: bool = False

    def __post_init__(self) -> None:
        if self.chance is not None:
            check_chance(*self.chance)


@dataclass(frozen=True)
class Cell:
    """A pot's place on the page, in points: left, top, width, height."""

    left: float
    top: float
    width: float
    height: float


def arrange(pots: Sequence[PotMark], length_mm: float, width_mm: float, left: float, top: float, width: float, height: float) -> list[Cell]:
    """Places on the page, inside a box; true to scale when every pot has its place, else in even rows."""
    if not all(value is not None for pot in pots for value in (pot.x_mm, pot.y_mm, pot.size_mm)):
        return _even(len(pots), left, top, width, height)
    across, down = width / length_mm, height / width_mm
    cells = []
    for pot in pots:
        size = pot.size_mm or 0.0
        x, y = (pot.x_mm or 0.0) - size / 2.0, (pot.y_mm or 0.0) - size / 2.0
        if min(x, y) < -1.0 or x + size > length_mm + 1.0 or y + size > width_mm + 1.0:
            raise BadValue(say("place of {name}", name=pot.said), (pot.x_mm, pot.y_mm), _inside(length_mm, width_mm))
        cells.append(Cell(left + x * across, top - y * down, size * across, size * down))
    return cells


def _inside(length_mm: float, width_mm: float) -> str:
    return say("inside the tray of {length:g} × {width:g} mm", length=length_mm, width=width_mm)


def _even(count: int, left: float, top: float, width: float, height: float) -> list[Cell]:
    rows = max(1, round(math.sqrt(count * height / width)))
    columns = math.ceil(count / rows)
    rows = math.ceil(count / columns)
    across, down = width / columns, height / rows
    return [Cell(left + at % columns * across, top - at // columns * down, across, down) for at in range(count)]


def holds_boxes(cells: Sequence[Cell], boxes: int) -> bool:
    """Whether every pot's place has room for its ring, its name and the boxes."""
    wide = (boxes * (BOX_MM + 1.5) + 2.0) * MM
    return all(cell.width >= wide and cell.height >= 33.0 * MM for cell in cells)


def draw_pot(canvas: Canvas, pot: PotMark, cell: Cell, boxes: Sequence[str]) -> None:
    """A pot with its place's number, its ring, its name and, when `boxes` has names, boxes under it; a free place is dashed."""
    pad = 1.0 * MM
    _draw_edge(canvas, pot, cell, pad)
    _draw_place(canvas, pot, cell)
    if pot.free:
        return
    inner = cell.width * (0.72 if pot.round else 1.0) - 2.5 * pad
    foot = (BOX_MM + 6.2) * MM if boxes else 0.0
    ring_room = cell.height - foot - 7.0 * MM - (4.0 * MM if pot.round else 0.0)
    radius = max(2.6 * MM, min(12.0 * MM, ring_room / 2.5, inner / 2.5))
    middle = cell.left + cell.width / 2.0
    top = cell.top - (4.0 * MM if pot.round and boxes else 1.6 * MM)
    draw_ring(canvas, pot, middle, top - radius * TICK_PER_RADIUS[1], radius)
    name_top = top - radius * 2 * TICK_PER_RADIUS[1] - 0.4 * MM
    bottom = cell.top - cell.height + pad + (3.0 * MM if pot.round and boxes else 0.0)
    block = fit([(pot.said, BOLD)], inner, max(name_top - bottom - foot, 6.0), largest=14.0, smallest=5.0)
    y = name_top
    for line in block.lines:
        wide = sum(text_width(text, font, block.size) for text, font in line)
        y = draw_block(canvas, type(block)(block.size, (line,)), middle - wide / 2.0, y)
    if boxes:
        draw_boxes(canvas, boxes, middle - boxes_width(boxes) / 2.0, bottom + foot - 0.5 * MM)


def _draw_edge(canvas: Canvas, pot: PotMark, cell: Cell, pad: float) -> None:
    canvas.setLineWidth(0.6)
    if pot.free:
        canvas.setDash(2, 2)
    if pot.round:
        radius = min(cell.width, cell.height) / 2.0 - pad / 2.0
        canvas.circle(cell.left + cell.width / 2.0, cell.top - cell.height / 2.0, radius)
    else:
        canvas.roundRect(cell.left + pad / 2, cell.top - cell.height + pad / 2, cell.width - pad, cell.height - pad, 2 * MM)
    canvas.setDash()


def _draw_place(canvas: Canvas, pot: PotMark, cell: Cell) -> None:
    """The number of a place: in the middle of a free one, else at the upper left, inside a round pot's edge."""
    if not pot.place:
        return
    size = max(4.5, min(8.0, cell.height / 6.0))
    canvas.setFont(PLAIN, size)
    if pot.free:
        canvas.drawCentredString(cell.left + cell.width / 2.0, cell.top - cell.height / 2.0 - size * 0.36, str(pot.place))
        return
    share = 0.17 if pot.round else 0.05
    canvas.drawString(cell.left + cell.width * share, cell.top - cell.height * share - size, str(pot.place))


def boxes_width(names: Sequence[str]) -> float:
    """Width in points of a row of boxes."""
    return ((BOX_MM + 1.5) * len(names) - 1.5) * MM


def draw_boxes(canvas: Canvas, names: Sequence[str], left: float, top: float, *, named: bool = True) -> None:
    """Boxes to tick in pencil, each with its word below unless the words stand elsewhere."""
    canvas.setLineWidth(0.9)
    for at, name in enumerate(names):
        x = left + at * (BOX_MM + 1.5) * MM
        canvas.rect(x, top - BOX_MM * MM, BOX_MM * MM, BOX_MM * MM)
        if not named:
            continue
        draw_box_word(canvas, name, x + BOX_MM * MM / 2.0, top - BOX_MM * MM)


def draw_box_word(canvas: Canvas, word: str, middle: float, top: float) -> None:
    """The word of a box, on at most two lines about its middle."""
    block = fit([(word, PLAIN)], (BOX_MM + 1.3) * MM, 16.0, largest=6.5, smallest=4.0)
    for line in block.lines:
        wide = sum(text_width(text, font, block.size) for text, font in line)
        top = draw_block(canvas, type(block)(block.size, (line,)), middle - wide / 2.0, top)


def draw_ring(canvas: Canvas, pot: PotMark, x: float, y: float, radius: float) -> None:
    """Solid as far as is sure, hatched as far as is possible, bare for the rest; a cross when dead, '?' when not known."""
    inner, outer = radius * (1 - WIDTH_PER_RADIUS / 2), radius * (1 + WIDTH_PER_RADIUS / 2)
    canvas.setLineWidth(0.5)
    canvas.circle(x, y, inner)
    canvas.circle(x, y, outer)
    if pot.dead:
        reach = radius * WOOD_PER_RADIUS * 0.64
        canvas.setLineWidth(radius * 0.16)
        canvas.line(x - reach, y - reach, x + reach, y + reach)
        canvas.line(x - reach, y + reach, x + reach, y - reach)
        return
    if pot.chance is not None:
        _draw_chance(canvas, pot.chance, x, y, radius)
    if pot.doubt or pot.chance is None:
        canvas.setFont(BOLD, radius * 0.8)
        canvas.drawCentredString(x, y - radius * 0.29, "?")


def _draw_chance(canvas: Canvas, chance: tuple[float, float, float], x: float, y: float, radius: float) -> None:
    low, mid, high = chance
    if low > 0:
        canvas.setLineWidth(radius * WIDTH_PER_RADIUS)
        path = canvas.beginPath()
        path.arc(x - radius, y - radius, x + radius, y + radius, 90, -360 * low)
        canvas.drawPath(path)
    canvas.setLineWidth(0.5)
    inner, outer = radius * (1 - WIDTH_PER_RADIUS / 2), radius * (1 + WIDTH_PER_RADIUS / 2)
    steps = max(1, round((high - low) * 360 / _HATCH_DEG))
    for step in range(1, steps + 1) if high > low else ():
        share = low + (high - low) * step / steps
        _spoke(canvas, share, inner, outer, x, y)
    canvas.setLineWidth(radius * 0.13)
    canvas.setStrokeGray(0)
    _spoke(canvas, mid, radius * TICK_PER_RADIUS[0], radius * TICK_PER_RADIUS[1], x, y)


def _spoke(canvas: Canvas, share: float, inner: float, outer: float, x: float, y: float) -> None:
    (x1, y1), (x2, y2) = on_ring(share, inner), on_ring(share, outer)
    canvas.line(x + x1, y - y1, x + x2, y - y2)
