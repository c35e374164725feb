"""A tray on paper, seen from above and to scale: as a map on one page, or at full size over as many sheets as it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import BOLD, MM, PLAIN, draw_block, fit, open_canvas, page_size_mm, printable
from scionary.files.rulers import draw_ruler, draw_scale_bar
from scionary.files.tray_tiles import Sheets, sheets_needed
from scionary.language import say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

MOST_POTS, MOST_SHEETS = 2_000, 60
_MARGIN_MM = 12.0
_SCALES = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50)
_LEAST_NUMBER = 4.0  # points


@dataclass(frozen=True)
class DrawnPot:
    """A place on the sheet: its number, the middle in mm from the tray's near left corner, its width and shape; `cross` warns."""

    place: int
    x_mm: float
    y_mm: float
    across_mm: float
    round: bool = False
    cross: bool = False


@dataclass(frozen=True)
class TraySheetText:
    """What the sheet says and draws."""

    title: str
    length_mm: float
    width_mm: float
    pots: Sequence[DrawnPot]
    lines: Sequence[str] = ()
    printed: str = ""
    page: str = "A4"
    unit: str = "mm"

    def __post_init__(self) -> None:
        if not (10 <= self.length_mm <= 5000 and 10 <= self.width_mm <= 5000):
            raise BadValue("tray", (self.length_mm, self.width_mm), "10 to 5000 mm each way")
        if len(self.pots) > MOST_POTS:
            raise BadValue("pots", len(self.pots), f"at most {MOST_POTS:,} on a printed tray")


def tray_map(sheet: TraySheetText) -> bytes:
    """The whole tray on one page, at the largest of some round scales."""
    page = _lying(sheet.page) if sheet.length_mm > sheet.width_mm else sheet.page
    canvas, out = open_canvas(page, sheet.title)
    width, height = (side * MM for side in page_size_mm(page))
    left, right, foot, y = _MARGIN_MM * MM, width - _MARGIN_MM * MM, _MARGIN_MM * MM, height - _MARGIN_MM * MM
    y = draw_block(canvas, fit([(sheet.title, BOLD)], right - left, 30.0, largest=20.0, smallest=9.0, lines=2), left, y) - 2 * MM
    y = _words(canvas, sheet.lines, left, right, y)
    room = (right - left) / MM, (y - foot) / MM - 22.0
    scale = next((scale for scale in _SCALES if sheet.length_mm <= room[0] * scale and sheet.width_mm <= room[1] * scale), _SCALES[-1])
    canvas.saveState()
    canvas.translate((left + right - sheet.length_mm / scale * MM) / 2.0, y - 2 * MM - sheet.width_mm / scale * MM)
    _tray(canvas, sheet, MM / scale)
    canvas.restoreState()
    bottom = y - 2 * MM - sheet.width_mm / scale * MM
    canvas.setFont(PLAIN, 8)
    canvas.drawCentredString((left + right) / 2.0, bottom - 4 * MM, printable(say("near side")))
    draw_scale_bar(canvas, left, foot + 5 * MM, scale, sheet.unit)
    canvas.drawRightString(right, foot, printable(f"1 : {scale:g}" + (f" · {sheet.printed}" if sheet.printed else "")))
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _lying(page: str) -> str:
    width, height = page_size_mm(page)
    return f"{height:g}x{width:g}"


def _words(canvas: Canvas, lines: Sequence[str], left: float, right: float, y: float) -> float:
    for words in lines:
        y = draw_block(canvas, fit([(words, PLAIN)], right - left, 30.0, largest=10.5, smallest=7.0), left, y)
    return y - 2 * MM


def tray_full_size(sheet: TraySheetText) -> bytes:
    """The tray at 1 : 1, cut into sheets that overlap; each with marks to lay them together and a ruler to check the printer by."""
    sheets = sheets_needed(sheet.length_mm, sheet.width_mm, sheet.page)
    if sheets.count > MOST_SHEETS:
        raise BadValue("tray", f"{sheets.count} sheets", f"a tray of at most {MOST_SHEETS} sheets at full size; print the map instead")
    canvas, out = open_canvas(sheets.page, sheet.title)
    for row in range(sheets.rows):
        for column in range(sheets.columns):
            _one_sheet(canvas, sheet, sheets, column, row)
            canvas.showPage()
    canvas.save()
    return out.getvalue()


def _one_sheet(canvas: Canvas, sheet: TraySheetText, sheets: Sheets, column: int, row: int) -> None:
    window = sheets.window(column, row)
    canvas.saveState()
    clip = canvas.beginPath()
    clip.rect(window.left_mm * MM, window.foot_mm * MM, window.width_mm * MM, window.height_mm * MM)
    canvas.clipPath(clip, stroke=0)
    canvas.translate((window.left_mm - window.x_mm) * MM, (window.foot_mm - window.y_mm) * MM)
    _tray(canvas, sheet, MM)
    canvas.restoreState()
    sheets.draw_marks(canvas, column, row)
    _sheet_foot(canvas, sheet, sheets, column, row)


def _sheet_foot(canvas: Canvas, sheet: TraySheetText, sheets: Sheets, column: int, row: int) -> None:
    """Which sheet it is, which lie beside it, and the ruler."""
    width = page_size_mm(sheets.page)[0]
    left, right = sheets.margin_mm * MM, (width - sheets.margin_mm) * MM
    draw_ruler(canvas, left, 9.0 * MM, sheet.unit)
    name = say(
        "Sheet {name}: column {column} of {columns}, row {row} of {rows} from the near side",
        name=sheets.name(column, row),
        column=column + 1,
        columns=sheets.columns,
        row=row + 1,
        rows=sheets.rows,
    )
    sheets.draw_overview(canvas, right, 5.0 * MM, column, row)
    head = right - 24 * MM - (left + 112 * MM)
    x = left + 110 * MM
    y = draw_block(canvas, fit([(name, BOLD)], head, 20.0, largest=8.0, smallest=5.0), x, 18.0 * MM)
    draw_block(canvas, fit([(sheet.title, PLAIN)], head, 20.0, largest=7.0, smallest=5.0), x, y)


def _tray(canvas: Canvas, sheet: TraySheetText, per_mm: float) -> None:
    """The tray with its near left corner at the origin."""
    canvas.setLineWidth(1.2)
    canvas.rect(0, 0, sheet.length_mm * per_mm, sheet.width_mm * per_mm)
    for pot in sheet.pots:
        _pot(canvas, pot, per_mm)


def _pot(canvas: Canvas, pot: DrawnPot, per_mm: float) -> None:
    """The rim, a small ring where the stem stands, the place's number below it."""
    x, y, half = pot.x_mm * per_mm, pot.y_mm * per_mm, pot.across_mm * per_mm / 2.0
    canvas.setLineWidth(0.7)
    if pot.round:
        canvas.circle(x, y, half - 0.2)
    else:
        canvas.rect(x - half + 0.2, y - half + 0.2, 2 * half - 0.4, 2 * half - 0.4)
    stem = min(half * 0.16, 4.0 * MM)
    canvas.setLineWidth(max(stem * 0.25, 0.3))
    canvas.circle(x, y, stem)
    if pot.cross:
        reach = half * 0.6 if pot.round else half * 0.8
        canvas.setLineWidth(0.5)
        canvas.line(x - reach, y - reach, x + reach, y + reach)
        canvas.line(x - reach, y + reach, x + reach, y - reach)
    size = min(half * 0.5, 16.0)
    if size >= _LEAST_NUMBER:
        canvas.setFont(BOLD, size)
        canvas.drawCentredString(x, y - stem - size * 1.05, str(pot.place))
