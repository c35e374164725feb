"""A season's weeks on paper, black on white: the domes week by week, then what to graft, cut and order, with boxes to tick."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import BOLD, MM, PLAIN, Block, draw_block, draw_caution, fit, open_canvas, page_size_mm
from scionary.files.sheet_parts import BOX_MM, draw_box
from scionary.files.teaching_sheet import CAUTION
from scionary.language import say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_MARGIN_MM, _NAMES_MM, _WEEK_MM, _ROW_MM, _HEAD_MM = 12.0, 30.0, 12.0, 19.0, 16.0
_DOME_MM, _FULL_MM, _BEND_MM, _DAYS_MM, _HOURS_MM, _FOOT_MM = 13.0, 5.0, 5.0, 5.0, 14.0, 18.0
_LINE_MM, _TITLE_MM = 8.0, 9.0
_LEAST_PT, _LEAST_IN_LISTS_PT = 6.5, 8.0
_MOST_LINES = 5000
_GREY = 0.86


@dataclass(frozen=True)
class SheetFilling:
    """What stands in a dome: from which week (a place among the weeks, from 0) for how many, how full from 0 to 1.

    `before` was made before the plan; `age` is the week that the grafts are in at first, from 1, and 0 where nothing stands.
    """

    dome: int
    first: int
    weeks: int
    share: float
    label: str
    count: str
    age: int
    before: bool = False


@dataclass(frozen=True)
class SheetWeek:
    """A column: its day, and its hours at the bench in words."""

    day: str
    hours: str


@dataclass(frozen=True)
class SheetSection:
    """A list with its heading; each line has a box to tick, unless it only tells."""

    title: str
    lines: tuple[str, ...]
    boxes: bool = True


@dataclass(frozen=True)
class WeeksSheet:
    """All that is printed."""

    title: str
    about: str
    domes: tuple[str, ...]
    weeks: tuple[SheetWeek, ...]
    fillings: tuple[SheetFilling, ...]
    sections: tuple[SheetSection, ...]
    page: str = "A4"


def weeks_sheet(sheet: WeeksSheet) -> bytes:
    """The PDF: as many pages of weeks and domes as are needed, then the lists."""
    count = sum(len(section.lines) for section in sheet.sections)
    if count > _MOST_LINES:
        raise BadValue("lines", count, say("at most {most} lines", most=_MOST_LINES))
    _, pages = _drawn(sheet, 0)
    return _drawn(sheet, pages)[0]


def _drawn(sheet: WeeksSheet, pages: int) -> tuple[bytes, int]:
    """The PDF and how many pages it has; these stand on each page once they are known."""
    canvas, out = open_canvas(sheet.page, sheet.title)
    width, height = (side * MM for side in page_size_mm(sheet.page))
    across = int((width / MM - 2 * _MARGIN_MM - _NAMES_MM) / _WEEK_MM)
    down = int((height / MM - 2 * _MARGIN_MM - _HEAD_MM - _DAYS_MM - _HOURS_MM) / _ROW_MM)
    y = 0.0
    for first in range(0, len(sheet.weeks), across):
        for upper in range(0, len(sheet.domes), down):
            need = (_DAYS_MM + _HOURS_MM + _ROW_MM * len(sheet.domes[upper : upper + down])) * MM
            if y - need < _MARGIN_MM * MM:
                y = _next_page(canvas, sheet, width, height, again=bool(y), pages=pages)
            _weeks_block(canvas, sheet, (first, first + across), (upper, upper + down), y)
            y -= need
    if y:
        canvas.showPage()
    _lists(canvas, sheet, width, height, pages)
    count = canvas.getPageNumber() - 1
    canvas.save()
    return out.getvalue(), count


def _head(canvas: Canvas, sheet: WeeksSheet, width: float, height: float, pages: int) -> None:
    room, top = width - 2 * _MARGIN_MM * MM, height - _MARGIN_MM * MM
    canvas.setFont(PLAIN, 8.5)
    number = say("Page {page} of {pages}", page=canvas.getPageNumber(), pages=pages)
    canvas.drawRightString(width - _MARGIN_MM * MM, (_MARGIN_MM - 3.3) * MM, number)
    foot = draw_block(canvas, fit([(sheet.title, BOLD)], room, 22.0, largest=17.0, smallest=9.0, lines=1), _MARGIN_MM * MM, top)
    draw_block(canvas, fit([(sheet.about, PLAIN)], room, 24.0, largest=10.0, smallest=6.5), _MARGIN_MM * MM, foot - 1 * MM)


def _next_page(canvas: Canvas, sheet: WeeksSheet, width: float, height: float, *, again: bool, pages: int) -> float:
    """Begin a page; gives where its first line stands."""
    if again:
        canvas.showPage()
    _head(canvas, sheet, width, height, pages)
    return height - (_MARGIN_MM + _HEAD_MM) * MM


def _weeks_block(canvas: Canvas, sheet: WeeksSheet, weeks: tuple[int, int], domes: tuple[int, int], top: float) -> None:
    """Some weeks of some domes, below one another."""
    left = (_MARGIN_MM + _NAMES_MM) * MM
    shown = sheet.weeks[weeks[0] : weeks[1]]
    for at, week in enumerate(shown):
        _words(canvas, week.day, left + at * _WEEK_MM * MM, top, _WEEK_MM - 1.0, font=BOLD, smallest=4.0)
    y = top - _DAYS_MM * MM
    for at, name in enumerate(sheet.domes[domes[0] : domes[1]]):
        foot = y - (at + 1) * _ROW_MM * MM + 4.5 * MM
        _words(canvas, name, _MARGIN_MM * MM, foot + 8 * MM, _NAMES_MM - 2, font=BOLD, largest=11.0)
        canvas.setLineWidth(0.3)
        canvas.line(_MARGIN_MM * MM, foot, left + len(shown) * _WEEK_MM * MM, foot)
        for each in sheet.fillings:
            if each.dome == domes[0] + at and each.first < weeks[1] and each.first + each.weeks > weeks[0]:
                _dome(canvas, each, weeks, left, foot)
    foot = y - len(sheet.domes[domes[0] : domes[1]]) * _ROW_MM * MM
    _words(canvas, say("Bench hours"), _MARGIN_MM * MM, foot, _NAMES_MM - 2)
    for at, week in enumerate(shown):
        _words(canvas, week.hours, left + at * _WEEK_MM * MM, foot, _WEEK_MM - 1.0)


def _dome(canvas: Canvas, filling: SheetFilling, weeks: tuple[int, int], left: float, foot: float) -> None:
    """The dome over its weeks, as far as they stand on this page, grey as high as it is full."""
    begins, ends = max(filling.first, weeks[0]), min(filling.first + filling.weeks, weeks[1])
    x, right = left + (begins - weeks[0]) * _WEEK_MM * MM + 1.0, left + (ends - weeks[0]) * _WEEK_MM * MM - 1.0
    canvas.setFillGray(_GREY)
    canvas.rect(x, foot, right - x, filling.share * _FULL_MM * MM, stroke=0, fill=1)
    canvas.setFillGray(0.0)
    canvas.setLineWidth(1.0)
    canvas.setDash([3, 2] if filling.before or not filling.age else [])
    bend, top = min(_BEND_MM * MM, (right - x) / 2), foot + _DOME_MM * MM
    path = canvas.beginPath()
    path.moveTo(x, foot)
    path.lineTo(x, top - bend)
    path.curveTo(x, top - bend / 2, x + bend / 2, top, x + bend, top)
    path.lineTo(right - bend, top)
    path.curveTo(right - bend / 2, top, right, top - bend / 2, right, top - bend)
    path.lineTo(right, foot)
    path.close()
    canvas.drawPath(path)
    canvas.setDash([])
    inset = 1.5 if ends - begins > 1 else 0.5
    room = (right - x) / MM - inset - 0.5
    if ends - begins > 1 or filling.weeks == 1:
        _words(canvas, filling.label, x + inset * MM, top - 1.2 * MM, room - 1.0, largest=8.0, lines=2)
    _words(canvas, filling.count, x + inset * MM, foot + 4.6 * MM, room, font=BOLD, largest=10.0, smallest=5.0)
    for at in range(begins, ends) if filling.age else ():
        _words(
            canvas, str(filling.age + at - filling.first), left + (at - weeks[0] + 0.42) * _WEEK_MM * MM, foot - 0.4 * MM, 7.0, largest=7.5
        )


def _words(
    canvas: Canvas,
    words: str,
    x: float,
    top: float,
    room_mm: float,
    *,
    font: str = PLAIN,
    largest: float = 8.0,
    smallest: float = _LEAST_PT,
    lines: int = 1,
) -> None:
    if words.strip():
        height = largest * 1.3 * lines
        draw_block(canvas, fit([(words, font)], room_mm * MM, height, largest=largest, smallest=smallest, lines=lines), x, top)


def _lists(canvas: Canvas, sheet: WeeksSheet, width: float, height: float, pages: int) -> None:
    """The lists below one another, on as many pages as they need, all lines of one size."""
    left, right, bottom = _MARGIN_MM * MM, width - _MARGIN_MM * MM, (_MARGIN_MM + _FOOT_MM) * MM
    room = right - left - (BOX_MM + 2.5) * MM
    sizes = [_in_list(line, room, 11.0).size for section in sheet.sections for line in section.lines]
    size = max(min(sizes, default=11.0), _LEAST_IN_LISTS_PT)
    y = 0.0
    for section in sheet.sections:
        for at, line in enumerate(section.lines):
            need = (_LINE_MM + (0.0 if at else _TITLE_MM)) * MM
            if y - need < bottom:
                if y:
                    draw_caution(canvas, say(CAUTION), left, right, _MARGIN_MM * MM)
                y = _next_page(canvas, sheet, width, height, again=bool(y), pages=pages)
            if not at:
                draw_block(canvas, fit([(section.title, BOLD)], right - left, 16.0, largest=12.0, smallest=8.0, lines=1), left, y - 3 * MM)
                y -= _TITLE_MM * MM
            _line(canvas, line, left, right, y, box=section.boxes, size=size)
            y -= _LINE_MM * MM
    if y:
        draw_caution(canvas, say(CAUTION), left, right, _MARGIN_MM * MM)
        canvas.showPage()


def _in_list(words: str, room: float, size: float) -> Block:
    return fit([(words, PLAIN)], room, (_LINE_MM - 0.6) * MM, largest=size, smallest=6.0)


def _line(canvas: Canvas, words: str, left: float, right: float, top: float, *, box: bool, size: float) -> None:
    start = left + (BOX_MM + 2.5) * MM if box else left
    if box:
        draw_box(canvas, left, top - (_LINE_MM - BOX_MM) / 2 * MM)
    block = _in_list(words, right - start, size)
    draw_block(canvas, block, start, top - (_LINE_MM * MM - block.height) / 2)
    canvas.setLineWidth(0.25)
    canvas.line(left, top - _LINE_MM * MM, right, top - _LINE_MM * MM)
