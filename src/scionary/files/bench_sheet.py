"""The sheet for a day at the bench: a row a graft with its reserved code, boxes for its thickness, and where the blade was cleaned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import MM, MONO, PLAIN, caution_word, draw_block, fit, open_canvas, page_size_mm
from scionary.files.sheet_parts import BOX_MM, MARGIN_MM, draw_box, draw_foot, draw_head, draw_upright, draw_words
from scionary.language import mark, say
from scionary.names import grouped

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_LEAST_ROW_MM, _MOST_ROW_MM, _WORDS_MM, _FOOT_MM = 8.0, 11.0, 19.0, 10.0
_NUMBER_MM, _CODE_MM, _WIDE_MM, _CUT_MM, _GAP_MM = 8.0, 36.0, 18.0, 15.0, 2.6
_MOST_ROWS = 100
# Columns after the code: the word over it, how wide its box is.
_OF_THE_CUT = ((mark("Cut"), _CUT_MM), (mark("Lean"), _CUT_MM))
_COLUMNS = (
    (mark("Made"), BOX_MM),
    (mark("Stock"), _WIDE_MM),
    (mark("Scion"), _WIDE_MM),
    *_OF_THE_CUT,
    (mark("As above"), BOX_MM),
    (mark("New blade"), BOX_MM),
    (mark("Disinfected"), BOX_MM),
)


@dataclass(frozen=True)
class BenchSheetText:
    """What a bench sheet says: the codes in their order, what is grafted, and how it is set."""

    code: str
    title: str
    beside: str
    codes: Sequence[str]
    unit: str = "mm"
    caution: str = ""
    printed: str = ""
    page: str = "A4"
    cuts: bool = False  # sheets that were printed before there were boxes for cut and lean are drawn without them

    @property
    def columns(self) -> Sequence[tuple[str, float]]:
        return _COLUMNS if self.cuts else [column for column in _COLUMNS if column not in _OF_THE_CUT]


def bench_sheet(sheet: BenchSheetText) -> bytes:
    """The sheet as a PDF, as many pages as its rows need."""
    if not 1 <= len(sheet.codes) <= _MOST_ROWS:
        raise BadValue("rows", len(sheet.codes), say("1 to {most_rows} grafts on a sheet", most_rows=_MOST_ROWS))
    canvas, out = open_canvas(sheet.page, say("Bench {code}", code=sheet.code))
    done = 0
    while done < len(sheet.codes):
        done = _page(canvas, sheet, done)
    canvas.save()
    return out.getvalue()


def _page(canvas: Canvas, sheet: BenchSheetText, done: int) -> int:
    """One page; gives how many rows are drawn now."""
    width, height = (side * MM for side in page_size_mm(sheet.page))
    left, right, bottom = MARGIN_MM * MM, width - MARGIN_MM * MM, MARGIN_MM * MM
    beside = say("{beside}, continued", beside=sheet.beside) if done else sheet.beside
    first = draw_head(canvas, sheet.code, sheet.title, beside, left, right, height - MARGIN_MM * MM) - _WORDS_MM * MM
    room = first - bottom - _FOOT_MM * MM
    shown = sheet.codes[done : done + int(room / (_LEAST_ROW_MM * MM))]
    row = min(_MOST_ROW_MM * MM, room / len(shown))
    starts = _columns(canvas, sheet, left, first)
    for at, code in enumerate(shown):
        _row(canvas, (done + at + 1, code), left, right, first - at * row, row, list(zip(starts, sheet.columns, strict=True)))
    canvas.line(left, first - len(shown) * row, right, first - len(shown) * row)
    how = f"{_how(sheet)} "
    draw_foot(
        canvas,
        [
            (how, PLAIN),
            caution_word(),
            (say("{caution} Printed {printed}.", caution=say(sheet.caution), printed=sheet.printed), PLAIN),
        ],
        left,
        right,
        bottom,
        8.0 * MM,
    )
    canvas.showPage()
    return done + len(shown)


def _how(sheet: BenchSheetText) -> str:
    """What the boxes mean."""
    if not sheet.cuts:
        return say("“As above”: stock and scion as thick as in the row above. Blade boxes: cleaned before this graft.")
    lean = say("Lean: how far the scion’s top leans across.")
    return say("“As above”: all four sizes as in the row above. {lean} Blade boxes: cleaned before this graft.", lean=lean)


def _columns(canvas: Canvas, sheet: BenchSheetText, left: float, foot: float) -> list[float]:
    """Where each column of boxes begins; its word stands over it."""
    x = left + (_NUMBER_MM + _CODE_MM) * MM
    starts = []
    for words, wide in sheet.columns:
        starts.append(x)
        if wide > BOX_MM:
            over = ", ".join((say(words), sheet.unit))
            draw_words(canvas, over, x + wide * MM / 2.0, foot + 1.0 * MM, (wide + _GAP_MM) * MM - 1.0, 9.5, align=0.5)
        else:
            draw_upright(canvas, say(words), x + BOX_MM * MM / 2.0, foot + 1.0 * MM, (_WORDS_MM - 1.0) * MM)
        x += (wide + _GAP_MM) * MM
    draw_words(canvas, say("Code"), left + _NUMBER_MM * MM, foot + 1.0 * MM, (_CODE_MM - 2.0) * MM, 9.5)
    draw_words(canvas, say("Note"), x + 1.0 * MM, foot + 1.0 * MM, 30.0 * MM, 9.5)
    return starts


def _row(
    canvas: Canvas,
    of: tuple[int, str],
    left: float,
    right: float,
    top: float,
    height: float,
    boxes: Sequence[tuple[float, tuple[str, float]]],
) -> None:
    """The row of a number and its code, with its boxes."""
    number, code = of
    canvas.setLineWidth(0.9 if number % 5 == 1 else 0.25)
    canvas.line(left, top, right, top)
    words = fit([(grouped(code), MONO)], (_CODE_MM - 2.0) * MM, height, largest=15.0, smallest=9.0, lines=1)
    draw_block(canvas, words, left + _NUMBER_MM * MM, top - (height - words.height) / 2.0)
    canvas.setFont(PLAIN, 10.0)
    canvas.drawString(left, top - height / 2.0 - 3.6, str(number))
    for x, (_, wide) in boxes:
        draw_box(canvas, x, top - (height - BOX_MM * MM) / 2.0, wide)
