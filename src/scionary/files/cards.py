"""The card that hangs on a dome: the tray from above, boxes for a pencil, dates with reasons, a caution, the dome's name as a symbol."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import (
    BOLD,
    ITALIC,
    MM,
    PLAIN,
    draw_block,
    draw_caution,
    draw_symbol,
    fit,
    open_canvas,
    page_size_mm,
)
from scionary.files.sheet_parts import draw_code, draw_words
from scionary.files.tray_drawing import (
    BOX_MM,
    Cell,
    PotMark,
    arrange,
    boxes_width,
    draw_box_word,
    draw_boxes,
    draw_pot,
    draw_ring,
    holds_boxes,
)
from scionary.language import mark, say, several

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_MARGIN_MM = 12.0
_MOST_POTS = 60
_TRAY_MM = 105.0
_ROW_MM = 8.2
_LEAST_ROW_MM = 7.2
_DATE_MM = 24.0
_FOOT_MM = 18.0


@dataclass(frozen=True)
class CardDate:
    """A line in the list of dates: when, what to do, and why; what is `late` says so, what `matters` never gives way to the others."""

    date: str
    what: str
    why: str = ""
    late: bool = False
    matters: bool = False


@dataclass(frozen=True)
class DomeCardText:
    """What a dome card says; `beyond` are pots for which the tray has no place."""

    dome: str
    pots: Sequence[PotMark]
    beyond: Sequence[PotMark] = ()
    place: str = ""
    closed: str = ""
    dates: Sequence[CardDate] = ()
    caution: str = ""
    printed: str = ""
    tray_length_mm: float = 521.0  # common practice, no source: a domed tray is about 10.5 × 20.5 in inside
    tray_width_mm: float = 267.0
    front: str = ""  # what lies below the drawing, such as "door side"
    boxes: Sequence[str] = (mark("firm"), mark("not sure"), mark("lost"))
    page: str = "A4"
    marked: str = ""  # what the star behind a name means
    code: str = ""  # under which a kept card is keyed back


def dome_card(card: DomeCardText) -> bytes:
    """The card as a PDF of one page."""
    _check(card)
    canvas, out = open_canvas(card.page, card.dome)
    left, right, top = _sides(card)
    foot = (_MARGIN_MM + _FOOT_MM) * MM
    y = _head(canvas, card, left, right, top)
    y = _tray(canvas, card, left, right, y)
    y = _marked(canvas, card.marked, left, right, _legend(canvas, left, right, y))
    caution_top = draw_caution(canvas, say(card.caution), left, right, foot)
    _dates(canvas, card.dates, left, right, y, caution_top)
    _foot(canvas, card, left, right, foot)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _check(card: DomeCardText) -> None:
    if not card.dome.strip():
        raise BadValue("dome", card.dome, say("a name"))
    count = len(_standing(card))
    if not 1 <= count <= _MOST_POTS:
        raise BadValue("pots", count, say("1 to {most_pots} on a card", most_pots=_MOST_POTS))
    if not 1 <= len(card.boxes) <= 4:
        raise BadValue("boxes", list(card.boxes), say("1 to 4 words"))
    if not (100 <= card.tray_length_mm <= 5000 and 100 <= card.tray_width_mm <= 5000):
        raise BadValue("tray", (card.tray_length_mm, card.tray_width_mm), say("100 to 5000 mm each way"))


def _standing(card: DomeCardText) -> list[PotMark]:
    """All pots with a plant in them, those beyond the tray last."""
    return [*(pot for pot in card.pots if not pot.free), *card.beyond]


def _head(canvas: Canvas, card: DomeCardText, left: float, right: float, top: float) -> float:
    """The dome's name, large; where it stands and since when it is closed."""
    title = fit([(card.dome, BOLD)], (right - left) * 0.55, 34.0, largest=28.0, smallest=12.0, lines=1)
    foot = draw_block(canvas, title, left, top)
    parts = [part for part in (card.place, say("closed {closed}", closed=card.closed) if card.closed else "") if part]
    if parts:
        block = fit([(" · ".join(parts), PLAIN)], (right - left) * 0.43, 30.0, largest=11.0, smallest=6.0)
        draw_block(canvas, block, left + (right - left) * 0.57, top - 4.0)
    return foot - 2.0 * MM


def _tray(canvas: Canvas, card: DomeCardText, left: float, right: float, top: float) -> float:
    """The tray at true proportions; where its pots are too small for boxes these stand in a list below."""
    frame, cells = _laid_out(card, left, right, top, _TRAY_MM)
    listed = boxes_are_listed(card, cells)
    if listed:
        frame, cells = _laid_out(card, left, right, top, _listed_tray_mm(len(_standing(card))))
    canvas.setLineWidth(1.4)
    canvas.roundRect(frame.left, top - frame.height, frame.width, frame.height, 5 * MM)
    for pot, cell in zip(card.pots, cells, strict=True):
        draw_pot(canvas, pot, cell, () if listed else [say(word) for word in card.boxes])
    y = top - frame.height
    if card.front:
        draw_words(canvas, say(card.front), (left + right) / 2.0, y - 9, right - left, 8.0, align=0.5)
        y -= 11
    return _listed(canvas, card, left, right - left, y - 2.0 * MM) if listed else y - 1.0 * MM


def boxes_are_listed(card: DomeCardText, cells: Sequence[Cell] | None = None) -> bool:
    """Whether the boxes stand in a list below the tray, since its pots have no room for them or some pots no place."""
    if cells is None:
        _, cells = _laid_out(card, *_sides(card), _TRAY_MM)
    return bool(card.beyond) or not holds_boxes(cells, len(card.boxes))


def _sides(card: DomeCardText) -> tuple[float, float, float]:
    """Left, right and top of what is drawn."""
    width, height = (side * MM for side in page_size_mm(card.page))
    return _MARGIN_MM * MM, width - _MARGIN_MM * MM, height - _MARGIN_MM * MM


def _laid_out(card: DomeCardText, left: float, right: float, top: float, most_mm: float) -> tuple[Cell, list[Cell]]:
    """The tray's frame in the middle of the page, at most so high, and the places in it."""
    scale = min((right - left) / card.tray_length_mm, most_mm * MM / card.tray_width_mm)
    width, height, pad = card.tray_length_mm * scale, card.tray_width_mm * scale, 2.0 * MM
    frame = Cell((left + right - width) / 2.0, top, width, height)
    inside = (frame.left + pad, top - pad, width - 2 * pad, height - 2 * pad)
    return frame, arrange(card.pots, card.tray_length_mm, card.tray_width_mm, *inside)


def _listed_tray_mm(pots: int) -> float:
    """Height of a tray whose pots are listed below it: less for many, so that the dates keep their room."""
    return 66.0 if pots <= 12 else 54.0


def _listed(canvas: Canvas, card: DomeCardText, left: float, width: float, top: float) -> float:
    """Places and names with boxes in columns, in the order of the pots; the words for the boxes stand once over each column."""
    pots = _standing(card)
    columns = 3 if len(pots) > 8 else 2
    rows = -(-len(pots) // columns)
    across, down = width / columns, min(BOX_MM + 1.6, 110.0 / rows) * MM
    wide = across - boxes_width(card.boxes) - 4.0 * MM
    for column in range(-(-len(pots) // rows)):
        for at, word in enumerate(card.boxes):
            middle = left + column * across + wide + 1.0 * MM + (at * (BOX_MM + 1.5) + BOX_MM / 2.0) * MM
            draw_box_word(canvas, say(word), middle, top)
    top -= 5.6 * MM
    for at, pot in enumerate(pots):
        x, y = left + at // rows * across, top - at % rows * down
        place = f"{pot.place} " if pot.place else "– " if pot in card.beyond else ""
        block = fit([(place, PLAIN), (pot.said, BOLD)], wide, BOX_MM * MM, largest=10.5, smallest=5.0)
        draw_block(canvas, block, x, y - (BOX_MM * MM - block.height) / 2.0)
        draw_boxes(canvas, card.boxes, x + wide + 1.0 * MM, y, named=False)
    return top - rows * down - 1.0 * MM


def _legend(canvas: Canvas, left: float, right: float, top: float) -> float:
    """How to read a ring, in one line with a small one."""
    radius = 2.6 * MM
    draw_ring(canvas, PotMark("", (0.35, 0.6, 0.8)), left + 1.4 * radius, top - 1.4 * radius, radius)
    words = say("How far round: chance of life. Black is sure, hatched is possible, the tick is the best guess. × dead, ? not known.")
    block = fit([(words, PLAIN)], right - left - 4 * radius, 2.6 * radius, largest=8.0, smallest=6.0)
    draw_block(canvas, block, left + 3.4 * radius, top - 1.4 * radius + block.height / 2.0)
    return top - 3.6 * radius


def _marked(canvas: Canvas, words: str, left: float, right: float, top: float) -> float:
    """What is to know of single plants, whose names carry a star."""
    if not words:
        return top
    block = fit([("* ", BOLD), (words, PLAIN)], right - left, 9.0 * MM, largest=9.0, smallest=5.5, lines=3)
    return draw_block(canvas, block, left, top) - 2.0 * MM


def _dates(canvas: Canvas, dates: Sequence[CardDate], left: float, right: float, top: float, bottom: float) -> None:
    """Dates with a box each, what and why; those for which there is no room are counted, never dropped in silence."""
    room = top - bottom
    row = min(max(_ROW_MM * MM, 0.75 * room / max(len(dates), 1)), 12.0 * MM)
    if len(dates) * row > room:
        row = _LEAST_ROW_MM * MM
    fitting = max(0, int(room / row))
    shown = _kept(dates, len(dates) if len(dates) <= fitting else max(0, fitting - 1))
    y = top
    for line in shown:
        _date(canvas, line, left, right, y, row)
        y -= row
    left_out = len(dates) - len(shown)
    if left_out:
        words = several(left_out, "and {count} more date, on the dome's page", "and {count} more dates, on the dome's page")
        draw_words(canvas, words, left, y - 9, right - left, 9.0, font=ITALIC)
        return
    _notes(canvas, left, right, y - 2.0 * MM, bottom)


def _kept(dates: Sequence[CardDate], room: int) -> list[CardDate]:
    """As many dates as there is room for, in their order: first what matters, then what is late, then what comes soonest."""
    ranked = sorted(range(len(dates)), key=lambda at: (not dates[at].matters, not dates[at].late, at))
    return [dates[at] for at in sorted(ranked[:room])]


def _date(canvas: Canvas, line: CardDate, left: float, right: float, top: float, row: float) -> None:
    box, scale = min(BOX_MM * MM, row - 0.6 * MM), min(row / (_ROW_MM * MM), 1.25)
    canvas.setLineWidth(0.9)
    canvas.rect(left, top - box, box, box)
    date = fit([(line.date, BOLD)], _DATE_MM * MM, row, largest=10.0, smallest=5.0, lines=1)
    middle = top - box / 2.0
    draw_block(canvas, date, left + box + 2.0 * MM, middle + date.height / 2.0)
    start = left + box + (_DATE_MM + 4.0) * MM
    late = [(say("LATE:") + " ", BOLD)] if line.late else []
    why = [(f" – {line.why}", PLAIN)] if line.why.strip() else []
    lines = 3 if row > 11.0 * MM else 2  # a long reason takes a third line rather than small letters
    block = fit([*late, (line.what, BOLD), *why], right - start, row, largest=9.5 * scale, smallest=5.5, lines=lines)
    draw_block(canvas, block, start, middle + block.height / 2.0)


def _notes(canvas: Canvas, left: float, right: float, top: float, bottom: float) -> None:
    """Lines for a pencil in the room that is left."""
    if top - bottom < 14.0 * MM:
        return
    draw_words(canvas, say("Notes"), left, top - 9, right - left, 8.0)
    canvas.setLineWidth(0.3)
    y = top - 12.0 * MM
    while y > bottom + 2.0 * MM:
        canvas.line(left, y, right, y)
        y -= 9.0 * MM


def _foot(canvas: Canvas, card: DomeCardText, left: float, right: float, top: float) -> None:
    """How to key the card back; the symbol holds the card's own code, or the dome's name where the card is not kept."""
    if card.code:
        _foot_with_code(canvas, card, left, right, top)
        return
    side = (_FOOT_MM - 2.0) * MM
    draw_symbol(canvas, card.dome, right - side, top - side - 1.0 * MM, side)
    middle = top - side / 2.0
    printed = say(" Printed {printed}.", printed=card.printed) if card.printed else ""
    words = say(" open {dome} → Walk the round. The symbol holds the dome's name.{printed}", dome=card.dome, printed=printed)
    block = fit(
        [(say("To key this card back:"), BOLD), (words, PLAIN)], right - left - side - 6.0 * MM, side, largest=10.0, smallest=6.0, lines=3
    )
    draw_block(canvas, block, left, middle + block.height / 2.0)


def _foot_with_code(canvas: Canvas, card: DomeCardText, left: float, right: float, top: float) -> None:
    x = draw_code(canvas, card.code, right, top - 0.5 * MM)
    printed = say(" Printed {printed}.", printed=card.printed) if card.printed else ""
    words = say(" Domes → Key a sheet in, and give its code, or hold the symbol before the camera.{printed}", printed=printed)
    height = (_FOOT_MM - 2.0) * MM
    runs = [(say("To key this card back:"), BOLD), (words, PLAIN)]
    block = fit(runs, x - left - 4.0 * MM, height, largest=10.0, smallest=6.0, lines=3)
    draw_block(canvas, block, left, top - height / 2.0 + block.height / 2.0)
