"""The sheet for a walk past domes: a row a plant, a box for each thing that can be seen, and what is done to the whole dome."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import BOLD, MM, PLAIN, caution_word, draw_block, fit, open_canvas, page_size_mm
from scionary.files.sheet_parts import (
    BOX_MM,
    MARGIN_MM,
    draw_box,
    draw_boxes_in_line,
    draw_foot,
    draw_head,
    draw_line_for,
    draw_upright,
    draw_words,
)
from scionary.language import say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_PITCH_MM, _CAUSE_MM, _WORDS_MM = 8.8, 25.0, 17.5
_LEAST_ROW_MM, _MOST_ROW_MM = 7.0, 9.5
_WHOLE_MM, _FOOT_MM, _LINE_MM = 24.5, 6.0, 7.6
_TREATED_MM = 45.0  # room that stays for what it was treated with
_GUIDE = 5  # every so many rows a heavier line, for the eye
_MOST_ROWS = 500


@dataclass(frozen=True)
class RoundRow:
    """A plant: its name as it is said, its place in the dome (0 for none), what must be known of it, and the boxes that it lacks."""

    said: str
    place: int = 0
    beside: str = ""
    without: Sequence[str] = ()


@dataclass(frozen=True)
class RoundDome:
    """A dome with its rows in their order."""

    name: str
    stands: str
    rows: Sequence[RoundRow]


@dataclass(frozen=True)
class RoundSheetText:
    """What a round sheet says; behind the last box is room for a cause.

    `boxes` and `whole` are (answer, word), `vents` (per cent open, word).
    """

    code: str
    domes: Sequence[RoundDome]
    boxes: Sequence[tuple[str, str]]
    whole: Sequence[tuple[str, str]]
    vents: Sequence[tuple[int, str]]
    caution: str = ""
    printed: str = ""
    page: str = "A4"


def round_sheet(sheet: RoundSheetText) -> bytes:
    """The sheet as a PDF, a page or more a dome."""
    if not 1 <= sum(len(dome.rows) for dome in sheet.domes) <= _MOST_ROWS:
        raise BadValue("rows", sum(len(dome.rows) for dome in sheet.domes), say("1 to {most_rows} plants on a sheet", most_rows=_MOST_ROWS))
    canvas, out = open_canvas(sheet.page, say("Round {code}", code=sheet.code))
    for dome in sheet.domes:
        rows = list(dome.rows)
        again = False
        while rows:
            rows = _page(canvas, sheet, dome, rows, again=again)
            again = True
    canvas.save()
    return out.getvalue()


def _page(canvas: Canvas, sheet: RoundSheetText, dome: RoundDome, rows: list[RoundRow], *, again: bool) -> list[RoundRow]:
    """One page; gives the rows for which it has no room."""
    width, height = (side * MM for side in page_size_mm(sheet.page))
    left, right, bottom = MARGIN_MM * MM, width - MARGIN_MM * MM, MARGIN_MM * MM
    beside = " · ".join(part for part in (dome.stands, say("continued") if again else "", say("day of the walk: __________")) if part)
    top = draw_head(canvas, sheet.code, say("{dome}: round", dome=dome.name), beside, left, right, height - MARGIN_MM * MM)
    first = top - _WORDS_MM * MM
    room = first - bottom - _FOOT_MM * MM
    fits = int(room / (_LEAST_ROW_MM * MM))
    last = len(rows) * _LEAST_ROW_MM * MM + _WHOLE_MM * MM <= room
    shown = rows if last else rows[: min(fits, len(rows) - 1)]
    row = min(_MOST_ROW_MM * MM, (room - (_WHOLE_MM * MM if last else 0.0)) / len(shown))
    starts = _columns(canvas, sheet, right, first)
    for at, line in enumerate(shown):
        _row(canvas, sheet, line, left, right, first - at * row, row, starts, heavy=at % _GUIDE == 0)
    if last:
        _whole(canvas, sheet, left, right, first - len(shown) * row - 2.0 * MM)
    printed = say(" Printed {printed}.", printed=sheet.printed) if sheet.printed else ""
    draw_foot(canvas, [caution_word(), (f"{say(sheet.caution)}{printed}", PLAIN)], left, right, bottom, _FOOT_MM * MM - 2.0)
    canvas.showPage()
    return rows[len(shown) :]


def _columns(canvas: Canvas, sheet: RoundSheetText, right: float, foot: float) -> list[float]:
    """Where each column of boxes begins; its word stands over it."""
    begin = right - (_CAUSE_MM + len(sheet.boxes) * _PITCH_MM) * MM
    starts = [begin + at * _PITCH_MM * MM for at in range(len(sheet.boxes))]
    for x, (_, words) in zip(starts, sheet.boxes, strict=True):
        draw_upright(canvas, say(words), x + BOX_MM * MM / 2.0, foot + 1.0 * MM, (_WORDS_MM - 1.0) * MM)
    x = starts[-1] + _PITCH_MM * MM
    draw_words(canvas, say("its cause"), x, foot + 1.0 * MM, right - x, 8.5)
    return starts


def _row(
    canvas: Canvas,
    sheet: RoundSheetText,
    line: RoundRow,
    left: float,
    right: float,
    top: float,
    height: float,
    starts: Sequence[float],
    *,
    heavy: bool,
) -> None:
    canvas.setLineWidth(0.9 if heavy else 0.25)
    canvas.line(left, top, right, top)
    box_top = top - (height - BOX_MM * MM) / 2.0
    place = [(f"{line.place}  ", PLAIN)] if line.place else []
    beside = [(f"  {line.beside}", PLAIN)] if line.beside else []
    words = fit([*place, (line.said, BOLD), *beside], starts[0] - left - 2.0 * MM, height - 1.0, largest=12.5, smallest=6.0)
    draw_block(canvas, words, left, top - (height - words.height) / 2.0)
    for x, (said, _) in zip(starts, sheet.boxes, strict=True):
        if said not in line.without:
            draw_box(canvas, x, box_top)


def _whole(canvas: Canvas, sheet: RoundSheetText, left: float, right: float, top: float) -> None:
    """What is done to the whole dome, and a line for a note."""
    canvas.setLineWidth(0.9)
    canvas.line(left, top + 2.0 * MM, right, top + 2.0 * MM)
    draw_boxes_in_line(canvas, [say(words) for _, words in sheet.whole], left, top, right)
    second = top - _LINE_MM * MM
    draw_words(canvas, say("Vents now:"), left, second - BOX_MM * MM / 2.0 - 3.4, 20.0 * MM, 9.5)
    vents = [say(words) for _, words in sheet.vents]
    x = draw_boxes_in_line(canvas, vents, left + 21.0 * MM, second, right - _TREATED_MM * MM, gap_mm=3.0)
    draw_line_for(canvas, say("Treated with"), x + 2.0 * MM, right, second - BOX_MM * MM)
    draw_line_for(canvas, say("Note"), left, right, second - 2.0 * BOX_MM * MM - 1.6 * MM)
