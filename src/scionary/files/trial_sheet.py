"""The bench sheet of a trial: for each filling of a dome its tray from above with the arm of every place, and the order of grafting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.hatching import hatch_lines
from scionary.files.paper import BOLD, MM, PLAIN, draw_block, draw_caution, draw_symbol, fit, open_canvas, page_size_mm, text_width
from scionary.files.sheet_parts import draw_words
from scionary.files.tray_drawing import BOX_MM
from scionary.language import mark, say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_MARGIN_MM, _FOOT_MM, _TRAY_MM = 12.0, 20.0, 74.0
_LEAST_ROW_MM, _MOST_ROW_MM, _HEAD_MM = 7.4, 11.0, 5.0
_GAP_MM = 1.9
_NOTE_MM = 18.0  # room from which a line for a note is drawn
_BOXES = (mark("made"), mark("not so"))


@dataclass(frozen=True)
class SheetPot:
    """A place of the tray: its number, its arm (a position) and its centre from the tray's upper left corner; free places have no arm."""

    place: int
    x_mm: float
    y_mm: float
    arm: int | None = None


@dataclass(frozen=True)
class SheetTray:
    """A filling of a dome: its name, its tray, and its places in the order of grafting; `beyond` have no room on the drawing."""

    name: str
    stands: str
    length_mm: float
    width_mm: float
    pot_mm: float
    pots: Sequence[SheetPot]
    round_pots: bool = False
    beyond: Sequence[SheetPot] = ()


@dataclass(frozen=True)
class TrialSheetText:
    """What the sheet says; `arms` by their letters."""

    name: str
    question: str
    arms: Sequence[tuple[str, str]]
    trays: Sequence[SheetTray]
    about: str = ""
    caution: str = ""
    printed: str = ""
    page: str = "A4"


def trial_sheet(sheet: TrialSheetText) -> bytes:
    """The sheet as a PDF: a page a filling of a dome, more where its places do not fit on one."""
    if not sheet.trays:
        raise BadValue("trays", 0, say("one or more"))
    canvas, out = open_canvas(sheet.page, sheet.name)
    width, height = (side * MM for side in page_size_mm(sheet.page))
    left, right, foot = _MARGIN_MM * MM, width - _MARGIN_MM * MM, (_MARGIN_MM + _FOOT_MM) * MM
    for tray in sheet.trays:
        rows = [pot for pot in (*tray.pots, *tray.beyond) if pot.arm is not None]
        first = True
        while rows or first:
            y = _head(canvas, sheet, tray, left, right, height - _MARGIN_MM * MM, again=not first)
            if first:
                y = _tray(canvas, sheet, tray, left, right, y)
            rows = _order(canvas, sheet, rows, left, right, y, draw_caution(canvas, say(sheet.caution), left, right, foot))
            _foot(canvas, sheet, left, right, foot)
            canvas.showPage()
            first = False
    canvas.save()
    return out.getvalue()


def _head(canvas: Canvas, sheet: TrialSheetText, tray: SheetTray, left: float, right: float, top: float, *, again: bool) -> float:
    """The dome and the trial, the question, and what each letter means."""
    wide = right - left
    title = fit([(tray.name, BOLD)], wide * 0.5, 30.0, largest=24.0, smallest=11.0, lines=1)
    foot = draw_block(canvas, title, left, top)
    beside = " · ".join(part for part in (sheet.name, tray.stands, say("continued") if again else "") if part)
    block = fit([(beside, PLAIN)], wide * 0.48, 28.0, largest=11.0, smallest=6.0)
    draw_block(canvas, block, left + wide * 0.52, top - 4.0)
    y = foot - 1.0 * MM
    for text, font in ((sheet.question, BOLD), (sheet.about, PLAIN)):
        if text.strip():
            y = draw_block(canvas, fit([(text, font)], wide, 26.0, largest=10.5, smallest=7.0), left, y) - 0.6 * MM
    return _legend(canvas, sheet, left, wide, y - 1.0 * MM)


def _legend(canvas: Canvas, sheet: TrialSheetText, left: float, wide: float, top: float) -> float:
    """Each arm: its letter in its hatching, and its name."""
    half, across = 4.2 * MM, wide / len(sheet.arms)
    for at, (letter, name) in enumerate(sheet.arms):
        x = left + at * across
        _arm(canvas, at, letter, x + half, top - half, half, is_round=False)
        block = fit([(name, BOLD)], across - 2 * half - 4.0 * MM, 2 * half, largest=12.0, smallest=6.0)
        draw_block(canvas, block, x + 2 * half + 2.0 * MM, top - half + block.height / 2.0)
    return top - 2 * half - 2.5 * MM


def _tray(canvas: Canvas, sheet: TrialSheetText, tray: SheetTray, left: float, right: float, top: float) -> float:
    """The tray from above at true proportions, the near side below."""
    scale = min((right - left) / tray.length_mm, _TRAY_MM * MM / tray.width_mm)
    width, height = tray.length_mm * scale, tray.width_mm * scale
    x0 = (left + right - width) / 2.0
    canvas.setLineWidth(1.4)
    canvas.roundRect(x0, top - height, width, height, 4 * MM)
    half = tray.pot_mm * scale / 2.0 - 0.5 * MM
    for pot in tray.pots:
        _pot(canvas, sheet, pot, x0 + pot.x_mm * scale, top - pot.y_mm * scale, half, is_round=tray.round_pots)
    canvas.setFont(PLAIN, 8)
    canvas.drawCentredString((left + right) / 2.0, top - height - 9, say("near side"))
    return top - height - 11.0 - 2.0 * MM


def _pot(canvas: Canvas, sheet: TrialSheetText, pot: SheetPot, x: float, y: float, half: float, *, is_round: bool) -> None:
    if pot.arm is None:
        canvas.setDash(2, 2)
        canvas.setLineWidth(0.5)
        _edge(canvas, x, y, half, is_round=is_round)
        canvas.setDash()
    else:
        _arm(canvas, pot.arm, sheet.arms[pot.arm][0], x, y, half, is_round=is_round)
    size = max(4.5, min(8.0, half / 2.6))
    number = str(pot.place)
    wide = text_width(number, PLAIN, size) + 1.6
    at_x, at_y = (x - wide / 2.0, y + half - size * 1.5) if is_round else (x - half + 0.8, y + half - size - 0.8)
    canvas.setFillGray(1)
    canvas.rect(at_x, at_y - 0.8, wide, size + 0.8, stroke=0, fill=1)
    canvas.setFillGray(0)
    canvas.setFont(PLAIN, size)
    canvas.drawString(at_x + 0.8, at_y + 0.4, number)


def _arm(canvas: Canvas, arm: int, letter: str, x: float, y: float, half: float, *, is_round: bool) -> None:
    """A pot with the hatching of its arm, and the letter on a white ground."""
    canvas.setLineWidth(0.45)
    for x1, y1, x2, y2 in hatch_lines(arm, half, _GAP_MM * MM, is_round=is_round):
        canvas.line(x + x1, y + y1, x + x2, y + y2)
    canvas.setLineWidth(0.9)
    _edge(canvas, x, y, half, is_round=is_round)
    size = max(6.0, min(24.0, half * 1.05))
    canvas.setFillGray(1)
    canvas.circle(x, y, size * 0.62, stroke=0, fill=1)
    canvas.setFillGray(0)
    canvas.setFont(BOLD, size)
    canvas.drawCentredString(x, y - size * 0.36, letter)


def _edge(canvas: Canvas, x: float, y: float, half: float, *, is_round: bool) -> None:
    if is_round:
        canvas.circle(x, y, half)
    else:
        canvas.rect(x - half, y - half, 2 * half, 2 * half)


def _order(
    canvas: Canvas, sheet: TrialSheetText, rows: Sequence[SheetPot], left: float, right: float, top: float, bottom: float
) -> list[SheetPot]:
    """Places in the order of grafting, in columns, each with boxes and a line for a pencil; what does not fit is given back."""
    columns = 3 if len(rows) > 16 else 2
    across, head, room = (right - left) / columns, _HEAD_MM * MM, top - _HEAD_MM * MM - bottom
    each = max(1, int(room / (_LEAST_ROW_MM * MM)))
    shown, left_over = rows[: each * columns], list(rows[each * columns :])
    deep = max(1, min(each, -(-len(shown) // columns)))
    row = min(_MOST_ROW_MM * MM, room / deep)
    for column in range(-(-len(shown) // deep)):
        _column_head(canvas, left + column * across, across, top)
    for at, pot in enumerate(shown):
        _line(canvas, sheet, pot, left + at // deep * across, across, top - head - at % deep * row)
    return left_over


def _box_at(x: float, across: float, box: int) -> float:
    return x + across - (4.0 + (len(_BOXES) - box) * (BOX_MM + 2.0)) * MM + 2.0 * MM


def _column_head(canvas: Canvas, x: float, across: float, top: float) -> None:
    first, pitch = _box_at(x, across, 0), (BOX_MM + 2.0) * MM
    draw_words(canvas, say("Place, what it gets"), x, top - 8.0, first - x - 2.0 * MM, 7.0)
    for box, word in enumerate(_BOXES):
        draw_words(canvas, say(word), first + box * pitch + BOX_MM * MM / 2.0, top - 8.0, pitch - 0.5, 7.0, align=0.5)


def _line(canvas: Canvas, sheet: TrialSheetText, pot: SheetPot, x: float, across: float, top: float) -> None:
    letter, name = sheet.arms[pot.arm or 0]
    wide = _box_at(x, across, 0) - x - 2.0 * MM
    box = BOX_MM * MM
    block = fit([(f"{pot.place}  ", PLAIN), (letter, BOLD), (f"  {name}", PLAIN)], wide, box, largest=11.0, smallest=5.5)
    draw_block(canvas, block, x, top - (box - block.height) / 2.0)
    written = max((sum(text_width(text, font, block.size) for text, font in line) for line in block.lines), default=0.0)
    if wide - written > _NOTE_MM * MM:
        canvas.setLineWidth(0.3)
        canvas.line(x + written + 2.0 * MM, top - box, x + wide, top - box)
    canvas.setLineWidth(0.9)
    for at in range(len(_BOXES)):
        canvas.rect(_box_at(x, across, at), top - box, box, box)


def _foot(canvas: Canvas, sheet: TrialSheetText, left: float, right: float, top: float) -> None:
    """How to key the sheet back; the symbol holds the trial's name."""
    side = (_FOOT_MM - 2.0) * MM
    draw_symbol(canvas, sheet.name, right - side, top - side - 1.0 * MM, side)
    printed = say(" Printed {printed}.", printed=sheet.printed) if sheet.printed else ""
    words = say(
        "Graft place by place in this order, and write the grafts down at the bench into this dome in the "
        "same order: the book then knows what each one got. A graft that fails under the knife is made again "
        "at the same place. What did not go as laid out: tick “not so” and note it under Findings, Trials, "
        "{sheet}, before its outcome is seen.{printed}",
        sheet=sheet.name,
        printed=printed,
    )
    block = fit([(words, PLAIN)], right - left - side - 4.0 * MM, side, largest=8.5, smallest=6.0, lines=6)
    draw_block(canvas, block, left, top - side / 2.0 - 1.0 * MM + block.height / 2.0)
