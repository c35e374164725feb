"""A list for labels written by hand: the name that is said, the code in open characters, boxes to tick in pencil."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.labels import LabelText
from scionary.files.paper import BOLD, ITALIC, MM, MONO, PLAIN, SERIF, draw_block, draw_caution, fit, open_canvas, page_size_mm
from scionary.files.tray_drawing import BOX_MM, boxes_width, draw_box_word, draw_boxes
from scionary.language import say
from scionary.names import grouped

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

BOXES = ("written", "hung")
_MARGIN_MM, _ROW_MM, _HEAD_MM, _CAUTION_MM = 12.0, 9.5, 22.0, 20.0
_CODE_MM, _GAP_MM = 42.0, 4.0
_MOST_ROWS = 5000


def label_list(
    labels: Sequence[LabelText], *, page: str, title: str, printed: str = "", boxes: Sequence[str] = BOXES, caution: str = ""
) -> bytes:
    """A PDF with a line for each label to write; every page repeats the title, the words of the boxes, and the caution at its foot."""
    if not 1 <= len(labels) <= _MOST_ROWS:
        raise BadValue("labels", len(labels), say("1 to {most_rows} labels", most_rows=_MOST_ROWS))
    if not 1 <= len(boxes) <= 4:
        raise BadValue("boxes", list(boxes), "1 to 4 words")
    canvas, out = open_canvas(page, title)
    width, height = (side * MM for side in page_size_mm(page))
    foot = _CAUTION_MM if caution.strip() else 0.0
    rows = int((height - (2 * _MARGIN_MM + _HEAD_MM + foot) * MM) / (_ROW_MM * MM))
    pages = -(-len(labels) // rows)
    for at in range(pages):
        _head(
            canvas,
            say("{title}, page {part} of {pages}", title=title, part=at + 1, pages=pages) if pages > 1 else title,
            printed,
            boxes,
            width,
            height,
        )
        top = height - (_MARGIN_MM + _HEAD_MM) * MM
        for row, label in enumerate(labels[at * rows : (at + 1) * rows]):
            _row(canvas, label, boxes, width, top - row * _ROW_MM * MM)
        draw_caution(canvas, caution, _MARGIN_MM * MM, width - _MARGIN_MM * MM, _MARGIN_MM * MM)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _head(canvas: Canvas, title: str, printed: str, boxes: Sequence[str], width: float, height: float) -> None:
    left, right = _MARGIN_MM * MM, width - _MARGIN_MM * MM
    boxes_left = right - boxes_width(boxes)
    top = height - _MARGIN_MM * MM
    foot = draw_block(canvas, fit([(title, BOLD)], boxes_left - left - 4 * MM, 22.0, largest=17.0, smallest=9.0, lines=1), left, top)
    words = say("Write name and code in soft pencil on a label that lasts; then tick.")
    if printed:
        words += say(" Printed {printed}.", printed=printed)
    draw_block(canvas, fit([(words, PLAIN)], boxes_left - left - 4 * MM, 24.0, largest=9.0, smallest=6.0), left, foot - 1 * MM)
    for at, box in enumerate(boxes):
        middle = boxes_left + (at * (BOX_MM + 1.5) + BOX_MM / 2.0) * MM
        draw_box_word(canvas, box, middle, height - (_MARGIN_MM + _HEAD_MM - 5.0) * MM)


def _row(canvas: Canvas, label: LabelText, boxes: Sequence[str], width: float, top: float) -> None:
    """Name, botanical name, code, boxes on one line, with a rule beneath."""
    left, right, high = _MARGIN_MM * MM, width - _MARGIN_MM * MM, _ROW_MM * MM
    boxes_left = right - boxes_width(boxes)
    code_left = boxes_left - _CODE_MM * MM
    names = code_left - left - _GAP_MM * MM
    said_wide = names * 0.52 if label.name_runs else names
    middle = top - high / 2.0
    said = fit(
        [(label.said, BOLD), *([(f"  {label.beside}", PLAIN)] if label.beside else [])], said_wide, high - 4.0, largest=14.0, smallest=6.0
    )
    draw_block(canvas, said, left, middle + said.height / 2.0)
    if label.name_runs:
        runs = [
            (text, SERIF if label.trade and text.strip() == label.trade else ITALIC if italic else PLAIN)
            for text, italic in label.name_runs
        ]
        name = fit(runs, names - said_wide - _GAP_MM * MM, high - 4.0, largest=9.0, smallest=5.5)
        draw_block(canvas, name, left + said_wide + _GAP_MM * MM, middle + name.height / 2.0)
    code = fit([(grouped(label.code) if label.code else say("code pending"), MONO if label.code else PLAIN)],
               (_CODE_MM - _GAP_MM) * MM, high, largest=16.0, smallest=8.0, lines=1)  # fmt: skip
    draw_block(canvas, code, code_left, middle + code.height / 2.0)
    draw_boxes(canvas, boxes, boxes_left, middle + BOX_MM * MM / 2.0, named=False)
    canvas.setLineWidth(0.3)
    canvas.line(left, top - high, right, top - high)
