"""The bench list of pairs: which stock with which scion, in the order in which the stocks stand, a box to tick each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import BOLD, MM, PLAIN, draw_block, draw_caution, fit, open_canvas, page_size_mm
from scionary.files.teaching_sheet import CAUTION
from scionary.files.tray_drawing import BOX_MM, boxes_width, draw_box_word, draw_boxes
from scionary.language import say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_MARGIN_MM, _ROW_MM, _HEAD_MM, _CAUTION_MM, _GAP_MM = 12.0, 10.0, 24.0, 22.0, 3.0
_STOCK_SHARE, _SCION_SHARE = 0.2, 0.3  # of the room left of the box; the rest says how
_MOST_ROWS = 5000


@dataclass(frozen=True)
class PairRow:
    """One line: the stock and the scion as they are called, their thicknesses, and how to cut and set."""

    stock: str
    scion: str
    sizes: str
    how: str = ""


def pairs_list(rows: Sequence[PairRow], *, page: str, title: str, notes: Sequence[str] = (), printed: str = "") -> bytes:
    """A PDF with a line for each pair; what is left over and what to order stands on the last page."""
    if not 1 <= len(rows) <= _MOST_ROWS:
        raise BadValue("rows", len(rows), say("1 to {most} pairs", most=_MOST_ROWS))
    canvas, out = open_canvas(page, title)
    width, height = (side * MM for side in page_size_mm(page))
    on_page = int((height - (2 * _MARGIN_MM + _HEAD_MM + _CAUTION_MM) * MM) / (_ROW_MM * MM))
    lines = _pages(rows, notes, on_page)
    for at, (here, told) in enumerate(lines):
        headed = say("{title}, page {part} of {pages}", title=title, part=at + 1, pages=len(lines)) if len(lines) > 1 else title
        _head(canvas, headed, printed, width, height, columns=bool(here))
        top = height - (_MARGIN_MM + _HEAD_MM) * MM
        for row in here:
            _row(canvas, row, width, top)
            top -= _ROW_MM * MM
        for note in told:
            block = fit([(note, PLAIN)], width - 2 * _MARGIN_MM * MM, _ROW_MM * MM - 2.0, largest=9.5, smallest=5.0, lines=3)
            draw_block(canvas, block, _MARGIN_MM * MM, top - 2.0 * MM)
            top -= min(block.height + 2.0 * MM, _ROW_MM * MM)
        draw_caution(canvas, say(CAUTION), _MARGIN_MM * MM, width - _MARGIN_MM * MM, _MARGIN_MM * MM)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _pages(rows: Sequence[PairRow], notes: Sequence[str], on_page: int) -> list[tuple[Sequence[PairRow], list[str]]]:
    """Rows page by page; the notes, at most a row's height each, behind the last row or on a page of their own."""
    pages: list[tuple[Sequence[PairRow], list[str]]] = [(rows[at : at + on_page], []) for at in range(0, len(rows), on_page)]
    told = list(notes)
    while told:
        here, there = pages[-1]
        room = on_page - len(here) - len(there)
        there += told[:room]
        told = told[room:]
        if told:
            pages.append(([], []))
    return pages


def _columns(width: float) -> tuple[float, float, float, float]:
    """Left edges of stock, scion, how, box."""
    left, box = _MARGIN_MM * MM, width - _MARGIN_MM * MM - boxes_width([""])
    room = box - left
    return left, left + _STOCK_SHARE * room, left + (_STOCK_SHARE + _SCION_SHARE) * room, box


def _head(canvas: Canvas, title: str, printed: str, width: float, height: float, *, columns: bool) -> None:
    left, scion, how, box = _columns(width)
    top = height - _MARGIN_MM * MM
    foot = draw_block(canvas, fit([(title, BOLD)], box - left - 4 * MM, 22.0, largest=17.0, smallest=9.0, lines=1), left, top)
    words = say("In the order in which the stocks stand. Tick what is joined.")
    words += say(" Printed {printed}.", printed=printed) if printed else ""
    draw_block(canvas, fit([(words, PLAIN)], box - left - 4 * MM, 14.0, largest=9.0, smallest=6.0), left, foot - 1 * MM)
    if not columns:
        return
    base = height - (_MARGIN_MM + _HEAD_MM - 5.0) * MM
    for at, word in ((left, say("stock")), (scion, say("with scion")), (how, say("how"))):
        draw_block(canvas, fit([(word, PLAIN)], 40 * MM, 10.0, largest=8.0, smallest=6.0, lines=1), at, base)
    draw_box_word(canvas, say("joined"), box + BOX_MM / 2.0 * MM, base)


def _row(canvas: Canvas, row: PairRow, width: float, top: float) -> None:
    left, scion, how, box = _columns(width)
    high = _ROW_MM * MM
    middle = top - high / 2.0
    told = f"{row.sizes}; {row.how}" if row.how else row.sizes
    for at, end, words, font, largest in (
        (left, scion, row.stock, BOLD, 14.0),
        (scion, how, row.scion, BOLD, 12.0),
        (how, box, told, PLAIN, 9.0),
    ):
        block = fit([(words, font)], end - at - _GAP_MM * MM, high - 3.0, largest=largest, smallest=6.0, lines=3)
        draw_block(canvas, block, at, middle + block.height / 2.0)
    draw_boxes(canvas, [""], box, middle + BOX_MM * MM / 2.0, named=False)
    canvas.setLineWidth(0.3)
    canvas.line(left, top - high, width - _MARGIN_MM * MM, top - high)
