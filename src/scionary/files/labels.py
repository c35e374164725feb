"""Sheets of labels as PDF: the name that is said first, then the botanical name, the code with its symbol, and what was done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.grids import SheetGrid
from scionary.files.paper import (
    BOLD,
    ITALIC,
    LINE,
    MM,
    MONO,
    PLAIN,
    SERIF,
    Block,
    draw_block,
    draw_symbol,
    fit,
    missing_letters,
    open_canvas,
    page_size_mm,
    text_width,
)
from scionary.language import say
from scionary.names import grouped

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_PAD_MM, _NARROW_PAD_MM = 2.5, 1.4
_LEAST_NAME = 5.5 * LINE  # points for one line of the botanical name
_HOLD = "\N{NO-BREAK SPACE}"
_MOST_LABELS = 5000
_TWO_LINES_MM = 13.0  # room in which two lines can be written on
_CAPTION = 5.0  # points


@dataclass(frozen=True)
class LabelText:
    """What one label says; with nothing `said` it has lines to write on.

    `name_runs` are pieces of the botanical name, each with whether it is set in italics; `trade` is the piece that is a trade
    designation, set in a typeface of its own.
    """

    said: str
    code: str = ""
    name_runs: Sequence[tuple[str, bool]] = ()
    date: str = ""
    method: str = ""
    stock_lot: str = ""
    trade: str = ""
    beside: str = ""  # what stands beside the name on a list, not on the label


@dataclass(frozen=True)
class _Drawn:
    said: Block
    name: Block | None
    details: Block | None
    code_size: float
    side: float  # of the symbol
    aside: float  # where code and details begin, from the left
    left_out: tuple[str, ...] = ()  # parts for which the label is too low


def label_sheet(
    labels: Sequence[LabelText],
    grid: SheetGrid,
    *,
    start_at: int = 0,
    outlines: bool = False,
    title: str = "",
    symbol: str = "qr",
) -> bytes:
    """A PDF of labels; `start_at` skips places already used on the first sheet, `outlines` draws lines to cut along.

    `symbol` is the kind that carries the code: ``qr`` or ``datamatrix``.
    """
    if not 1 <= len(labels) <= _MOST_LABELS:
        raise BadValue("labels", len(labels), say("1 to {most_labels} labels", most_labels=_MOST_LABELS))
    if not 0 <= start_at < grid.count:
        raise BadValue("start_at", start_at, say("0 to {part}, a place on the sheet", part=grid.count - 1))
    canvas, out = open_canvas(grid.page, title or say("Labels"))
    _, page_height = page_size_mm(grid.page)
    for at, label in enumerate(labels, start_at):
        if at > start_at and at % grid.count == 0:
            canvas.showPage()
        left, top = grid.corner_mm(at % grid.count)
        _draw(canvas, label, grid, left * MM, (page_height - top) * MM, outlines, symbol)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def label_warnings(labels: Sequence[LabelText], grid: SheetGrid) -> list[str]:
    """What a person should know before printing: letters that print as '?', and names that had to be cut."""
    told = []
    for number, label in enumerate(labels, 1):
        missing = _missing(label)
        if missing:
            told.append(
                say(
                    "label {number}, {said}: the print font has no {missing}; printed as ?",
                    number=number,
                    said=label.said,
                    missing=" ".join(missing),
                )
            )
        laid = _lay_out(label, grid)
        cut = [
            part
            for part, block in (
                (say("name"), laid.said),
                (say("botanical name"), laid.name),
                (say("date, method and stock lot"), laid.details),
            )
            if block and block.cut
        ]
        if cut:
            told.append(
                say(
                    "label {number}, {said}: too long for this label, its end is cut off: {cut}; a larger label takes it whole",
                    number=number,
                    said=label.said,
                    cut=", ".join(cut),
                )
            )
        if laid.left_out:
            told.append(
                say(
                    "label {number}, {said}: no room on this label for: {left_out}",
                    number=number,
                    said=label.said,
                    left_out=", ".join(laid.left_out),
                )
            )
    return told


def _missing(label: LabelText) -> str:
    """The letters that the label's fonts do not have, each once."""
    details = missing_letters((label.said, label.code, label.date, label.method, label.stock_lot))
    names = [missing_letters([text], _font(text, italic, label.trade)) for text, italic in label.name_runs]
    return "".join(dict.fromkeys("".join([details, *names])))


def _lay_out(label: LabelText, grid: SheetGrid) -> _Drawn:
    """Sizes and lines of every part, so that nothing leaves the label; on a long strip code and details stand beside the name."""
    laid = _laid_out(label, grid)
    if laid.left_out and laid.details:
        laid = _laid_out(replace(label, date="", method="", stock_lot=""), grid)
        return replace(laid, left_out=(say("date, method and stock lot"), *laid.left_out))
    return laid


def _laid_out(label: LabelText, grid: SheetGrid) -> _Drawn:
    pad = _pad_mm(grid)
    height = (grid.label_height_mm - 2 * pad) * MM
    side = min(height, grid.label_width_mm * 0.38 * MM) if label.code else 0.0
    width = (grid.label_width_mm - 2 * pad) * MM - (side + MM if side else 0.0)
    strip = width > 6.0 * height
    aside = width * 0.64 if strip else 0.0
    code_size = _code_size(label.code, width - aside, height)
    left = height - code_size * LINE
    held = (label.date.strip().replace(" ", _HOLD), label.stock_lot.strip().replace(" ", _HOLD), label.method.strip())
    words = f"{_HOLD}· ".join(part for part in held if part)
    details = _fit_details(words, width - aside, left * (1.0 if strip else 0.34)) if words else None
    left = height if strip else left - (details.height if details else 0.0)
    wide = aside - 2 * MM if strip else width
    runs = [(text, _font(text, italic, label.trade)) for text, italic in label.name_runs]
    share = 0.62 if any(text.strip() for text, _ in runs) else 1.0
    said = _fit_said(label.said, wide, left * share)
    left -= said.height
    if share == 1.0:
        return _Drawn(said, None, details, code_size, side, aside)
    if left < _LEAST_NAME:
        return _Drawn(said, None, details, code_size, side, aside, (say("botanical name"),))
    name = fit(runs, wide, left, largest=10.0 if strip else 9.0, smallest=5.5)
    if name.cut:
        name = fit(runs, wide, left, largest=7.0, smallest=5.5, lines=4)
    return _Drawn(said, name, details, code_size, side, aside)


def _pad_mm(grid: SheetGrid) -> float:
    """The blank border of a label; a small one has less to give."""
    return _NARROW_PAD_MM if grid.label_width_mm < 45.0 or grid.label_height_mm < 20.0 else _PAD_MM


def _font(text: str, italic: bool, trade: str) -> str:
    if trade and text.strip() == trade:
        return SERIF
    return ITALIC if italic else PLAIN


def _fit_details(words: str, width: float, height: float) -> Block:
    """What was done, with a dot between parts that share a line and none at a line's end."""
    block = fit([(words, PLAIN)], width, height, largest=7.5, smallest=5.5)
    lines = [(*line[:-1], (line[-1][0].removesuffix(f"{_HOLD}·"), line[-1][1])) for line in block.lines]
    return replace(block, lines=tuple(lines))


def _fit_said(said: str, width: float, height: float) -> Block:
    """The spoken name on one line if that is still large, else on two or three; the running number at its end is never cut off."""
    block = fit([(said, BOLD)], width, height, largest=26.0, smallest=12.0, lines=1)
    if block.cut:
        block = fit([(said, BOLD)], width, height, largest=18.0, smallest=7.0)
    if block.cut:
        block = fit([(said, BOLD)], width, height, largest=12.0, smallest=7.0, lines=3)
    name, _, number = said.rpartition(" ")
    if not block.cut or not number.isdigit():
        return block
    shown = block
    while shown.cut and name:
        name = name[:-1]
        shown = fit([(f"{name.rstrip()}…{_HOLD}{number}", BOLD)], width, height, largest=7.0, smallest=7.0, lines=3)
    return replace(shown, cut=True)


def _code_size(code: str, width: float, height: float) -> float:
    if not code:
        return 0.0
    size = min(13.0, height * 0.24)
    wide = _code_width(code, size)
    return size if wide <= width else size * width / wide


def _code_width(code: str, size: float) -> float:
    shown = grouped(code)
    return text_width(shown, MONO, size) + len(shown) * size * 0.08


def _draw(canvas: Canvas, label: LabelText, grid: SheetGrid, left: float, top: float, outlines: bool, symbol: str) -> None:
    laid = _lay_out(label, grid)
    width, height, pad = grid.label_width_mm * MM, grid.label_height_mm * MM, _pad_mm(grid) * MM
    if outlines:
        canvas.setLineWidth(0.25)
        canvas.setDash(1, 2)
        canvas.rect(left, top - height, width, height)
        canvas.setDash()
    if not label.said.strip():
        _draw_lines(canvas, laid, left + pad, top - pad, width - 2 * pad, height - 2 * pad)
    foot = draw_block(canvas, laid.said, left + pad, top - pad)
    if laid.name:
        foot = draw_block(canvas, laid.name, left + pad, foot)
    if laid.details:
        draw_block(canvas, laid.details, left + pad + laid.aside, top - height + pad + laid.code_size * LINE + laid.details.height)
    if label.code:
        _draw_code(canvas, label.code, left + pad + laid.aside, top - height + pad, laid.code_size)
        middle = top - height / 2.0
        draw_symbol(canvas, label.code, left + width - pad - laid.side, middle - laid.side / 2.0, laid.side, symbol)


def _draw_lines(canvas: Canvas, laid: _Drawn, left: float, top: float, width: float, height: float) -> None:
    """Lines for name and date, written by hand above the code; beside it on a strip."""
    right = left + (laid.aside - 2 * MM if laid.aside else width - laid.side - MM)
    room = height if laid.aside else height - laid.code_size * LINE
    words = (say("name"), say("date")) if room >= _TWO_LINES_MM * MM else (say("name"),)
    canvas.setLineWidth(0.4)
    for at, word in enumerate(words, 1):
        y = top - room * at / len(words) + _CAPTION * LINE
        canvas.line(left, y, right, y)
        draw_block(canvas, fit([(word, PLAIN)], right - left, 2 * _CAPTION, largest=_CAPTION, smallest=_CAPTION, lines=1), left, y)


def _draw_code(canvas: Canvas, code: str, x: float, y: float, size: float) -> None:
    text = canvas.beginText(x, y + size * 0.2)
    text.setFont(MONO, size)
    text.setCharSpace(size * 0.08)
    text.textOut(grouped(code))
    text.setCharSpace(0)
    canvas.drawText(text)
