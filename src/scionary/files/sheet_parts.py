"""What sheets to be keyed back share: their code as characters and as a symbol, boxes in rows, words over columns, lines for a pencil."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from scionary.files.paper import BOLD, LINE, MM, MONO, PLAIN, draw_block, draw_symbol, fit, printable, text_width
from scionary.language import say
from scionary.names.sheet_codes import sheet_grouped

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

MARGIN_MM = 10.0
BOX_MM = 6.2
CODE_MM = 17.0  # side of the symbol
_CODE_SIZE = 17.0
_HOW_MM = 48.0  # the widest that the words on how to key a sheet may be


def draw_code(canvas: Canvas, code: str, right: float, top: float) -> float:
    """The sheet's code at the upper right, its symbol beside it; gives where both begin at the left."""
    side = CODE_MM * MM
    draw_symbol(canvas, code, right - side, top - side, side)
    shown = sheet_grouped(code)
    wide = text_width(shown, MONO, _CODE_SIZE)
    x = right - side - 2.0 * MM - wide
    canvas.setFont(MONO, _CODE_SIZE)
    canvas.drawString(x, top - 8.0 * MM, shown)
    how = say("key this sheet in by its code")
    return min(x, draw_words(canvas, how, right - side - 2.0 * MM, top - 12.0 * MM, _HOW_MM * MM, 7.5, align=1.0))


def draw_words(
    canvas: Canvas, words: str, x: float, foot: float, room: float, size: float, *, align: float = 0.0, font: str = PLAIN
) -> float:
    """A few words on one line, smaller where the room asks for it: from `x` on (align 0), about it (0.5) or up to it (1).

    Gives where they begin.
    """
    block = fit([(words, font)], room, size * LINE + 0.1, largest=size, smallest=4.0, lines=1)
    shown = "".join(text for text, _ in block.lines[0])
    left = x - align * text_width(shown, font, block.size)
    canvas.setFont(font, block.size)
    canvas.drawString(left, foot, shown)
    return left


def draw_head(canvas: Canvas, code: str, title: str, beside: str, left: float, right: float, top: float) -> float:
    """The title, large, what is to say beside it, and the code; gives the foot."""
    wide = draw_code(canvas, code, right, top) - 4.0 * MM - left
    y = draw_block(canvas, fit([(title, BOLD)], wide, 26.0, largest=20.0, smallest=9.0, lines=1), left, top)
    if beside:
        draw_block(canvas, fit([(beside, PLAIN)], wide, 24.0, largest=10.0, smallest=6.5), left, y)
    return top - CODE_MM * MM - 1.0 * MM


def draw_upright(canvas: Canvas, words: str, middle: float, foot: float, room: float) -> None:
    """Words over a column, read from below to above; on two lines where one would be too small to read."""
    block = fit([(words, PLAIN)], room, 10.5, largest=9.5, smallest=6.0, lines=1)
    if block.cut:
        block = fit([(words, PLAIN)], room, 20.0, largest=8.0, smallest=4.0)
    canvas.saveState()
    canvas.translate(middle, foot)
    canvas.rotate(90)
    draw_block(canvas, block, 0.0, block.height * 0.5)
    canvas.restoreState()


def draw_box(canvas: Canvas, x: float, top: float, width_mm: float = BOX_MM) -> None:
    canvas.setLineWidth(0.9)
    canvas.rect(x, top - BOX_MM * MM, width_mm * MM, BOX_MM * MM)


def draw_boxes_in_line(
    canvas: Canvas, words: Sequence[str], left: float, top: float, right: float, *, size: float = 9.5, gap_mm: float = 5.0
) -> float:
    """Boxes one after the other up to the right, each with its word behind it; gives where the next could begin."""
    boxes, wide = len(words) * (BOX_MM + 1.2 + gap_mm) * MM, sum(text_width(word, PLAIN, 1.0) for word in words)
    size = min(size, (right - left - boxes) / wide)
    x = left
    for word in words:
        draw_box(canvas, x, top)
        canvas.setFont(PLAIN, size)
        canvas.drawString(x + (BOX_MM + 1.2) * MM, top - BOX_MM * MM / 2.0 - size * 0.36, printable(word))
        x += (BOX_MM + 1.2 + gap_mm) * MM + text_width(printable(word), PLAIN, size)
    return x


def draw_line_for(canvas: Canvas, words: str, left: float, right: float, foot: float, *, size: float = 9.5) -> None:
    """A word and a line behind it to write on, at least a third of the room."""
    block = fit([(words, PLAIN)], (right - left) * 0.67, size * LINE + 0.1, largest=size, smallest=5.0, lines=1)
    shown = "".join(text for text, _ in block.lines[0])
    canvas.setFont(PLAIN, block.size)
    canvas.drawString(left, foot + 1.0, shown)
    canvas.setLineWidth(0.3)
    canvas.line(left + text_width(shown, PLAIN, block.size) + 2.0 * MM, foot, right, foot)


def draw_foot(canvas: Canvas, runs: Sequence[tuple[str, str]], left: float, right: float, bottom: float, height: float) -> None:
    """Small words at the foot of the page."""
    draw_block(canvas, fit(runs, right - left, height, largest=8.5, smallest=5.0, lines=3), left, bottom + height)
