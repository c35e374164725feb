"""A go/no-go gauge card for stems, to scale, with a ruler that shows whether the printer kept the scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import BOLD, MM, PLAIN, draw_block, draw_caution, fit, open_canvas, page_size_mm
from scionary.language import mark, say
from scionary.union.measuring import SIXTY_FOURTH_MM
from scionary.units import MM_PER_INCH

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

SLOT_DEEP_MM = 16.0
RULER_MM = 150
_MARGIN_MM, _LEAST_PITCH_MM, _BETWEEN_MM, _CARD_MM = 12.0, 10.0, 5.0, 58.0
_CAUTION = mark("cut the slots on a board, away from hand and body, with a sharp blade and a cut-resistant glove; stop when tired.")
_HOW = mark(
    "Print at actual size (100 %), not fitted to the page. Lay a ruler on the scale below: if 100 mm are not 100 mm, throw the card "
    "away. Glue it to stiff card or plastic, cut the frame out, then cut away all that is black. A stem is as thick as the narrowest slot "
    "that it slips into without force; try it both ways round, since stems are often oval."
)


def gauge_card(slots_mm: Sequence[float], *, page: str = "A4") -> bytes:
    """The card as a PDF of one page; slots are black boxes of the stems' thickness."""
    rows = _rows(slots_mm, page_size_mm(page)[0] - 2 * _MARGIN_MM)
    canvas, out = open_canvas(page, say("Gauge card for stems"))
    width, height = (side * MM for side in page_size_mm(page))
    left, right, top = _MARGIN_MM * MM, width - _MARGIN_MM * MM, height - _MARGIN_MM * MM
    title = fit([(say("Gauge card for stems"), BOLD)], right - left, 12.0 * MM, largest=20.0, smallest=12.0, lines=1)
    y = draw_block(canvas, title, left, top) - 1.5 * MM
    y = draw_block(canvas, fit([(say(_HOW), PLAIN)], right - left, 22.0 * MM, largest=10.0, smallest=7.0, lines=5), left, y) - 6.0 * MM
    foot = draw_caution(canvas, say(_CAUTION), left, right, _MARGIN_MM * MM)
    y = _rulers(canvas, left, y)
    for at in range(0, len(rows), 2):
        _card(canvas, rows[at : at + 2], left, right, y)
        y -= (_CARD_MM + 4.0) * MM
    if y < foot:
        raise BadValue("slots_mm", len(slots_mm), say("fewer slots: the page {page} has no room for so many", page=page))
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _rows(slots_mm: Sequence[float], room_mm: float) -> list[list[float]]:
    """Slots in rows as wide as the card."""
    if not slots_mm or not all(0.5 <= slot <= 60.0 for slot in slots_mm):
        raise BadValue("slots_mm", list(slots_mm)[:10], say("one slot or more, each 0.5 to 60 mm"))
    rows: list[list[float]] = [[]]
    used = _BETWEEN_MM
    for slot in slots_mm:
        if used + _pitch(slot) > room_mm and rows[-1]:
            rows.append([])
            used = _BETWEEN_MM
        rows[-1].append(slot)
        used += _pitch(slot)
    return rows


def _pitch(slot_mm: float) -> float:
    """Width that a slot takes with the wall beside it and its number."""
    return max(slot_mm + _BETWEEN_MM, _LEAST_PITCH_MM)


def _card(canvas: Canvas, rows: Sequence[Sequence[float]], left: float, right: float, top: float) -> None:
    """A frame with slots open to its upper edge, and a second row open to its lower edge."""
    height = (_CARD_MM if len(rows) > 1 else _CARD_MM / 2.0) * MM
    canvas.setLineWidth(0.6)
    canvas.setDash(3, 2)
    canvas.rect(left, top - height, right - left, height)
    canvas.setDash()
    for at, row in enumerate(rows):
        x = left + _BETWEEN_MM * MM
        for slot in row:
            _slot(canvas, slot, x + (_pitch(slot) - slot) / 2.0 * MM, top - height if at else top, upward=bool(at))
            x += _pitch(slot) * MM


def _slot(canvas: Canvas, slot_mm: float, x: float, edge: float, *, upward: bool) -> None:
    """A black box, exactly as wide as its stem, with its thickness in mm and 64ths of an inch."""
    deep = SLOT_DEEP_MM * MM
    canvas.rect(x, edge if upward else edge - deep, slot_mm * MM, deep, stroke=0, fill=1)
    middle = x + slot_mm / 2.0 * MM
    near, far = (edge + deep + 2.0 * MM, edge + deep + 6.0 * MM) if upward else (edge - deep - 4.4 * MM, edge - deep - 8.0 * MM)
    canvas.setFont(BOLD, 9.0)
    canvas.drawCentredString(middle, far if upward else near, f"{slot_mm:g}")
    canvas.setFont(PLAIN, 6.5)
    canvas.drawCentredString(middle, near if upward else far, f"{round(slot_mm / SIXTY_FOURTH_MM)}/64")


def _rulers(canvas: Canvas, left: float, top: float) -> float:
    """Millimetres and inches, back to back; gives the foot."""
    base = top - 9.0 * MM
    canvas.setLineWidth(0.3)
    canvas.line(left, base, left + RULER_MM * MM, base)
    canvas.setFont(PLAIN, 7.0)
    for at in range(RULER_MM + 1):
        canvas.line(left + at * MM, base, left + at * MM, base + (5.0 if at % 10 == 0 else 3.5 if at % 5 == 0 else 2.2) * MM)
        if at % 10 == 0:
            canvas.drawCentredString(left + at * MM, base + 6.0 * MM, f"{at}")
    canvas.drawString(left + (RULER_MM + 3.0) * MM, base + 2.0 * MM, "mm")
    for at in range(int(RULER_MM / MM_PER_INCH * 16) + 1):
        x, deep = left + at / 16.0 * MM_PER_INCH * MM, (5.0 if at % 16 == 0 else 3.5 if at % 8 == 0 else 2.2)
        canvas.line(x, base, x, base - deep * MM)
        if at % 16 == 0:
            canvas.drawCentredString(x, base - 8.0 * MM, f"{at // 16}")
    canvas.drawString(left + (RULER_MM + 3.0) * MM, base - 5.0 * MM, say("inches, in 16ths"))
    return base - 14.0 * MM
