"""A printed sheet that teaches one union: what to do, the stems cut across and the faces, to scale, in black on white."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scionary.errors import BadValue
from scionary.files.paper import BOLD, ITALIC, MM, PLAIN, draw_block, draw_caution, fit, open_canvas, page_size_mm, printable
from scionary.language import mark, say
from scionary.union.view import Line, Piece, UnionView

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

CAUTION = mark(
    "cut away from hand and body, with a guard or a cut-resistant glove and a fresh, sharp blade; stop when tired or cold. "
    "Alcohol burns: keep it from flame, let it dry, wipe bark and blade, never a cut face."
)
_LIVING = mark("The living line (cambium) is the slick layer between green bark and white wood: only there can two stems grow together.")
_MARGIN_MM, _CROSS_MM, _FACE_MM, _MOST_VIEWS = 14.0, 72.0, 112.0, 3
_BELOW_MM = 44.0  # for the key, notes and caution
_SCALES = (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.5, 1.0, 0.5)
_GREY = 0.72
Point = tuple[float, float]


@dataclass(frozen=True)
class TeachingSheet:
    """What the sheet says; the last view is the one that is recommended, and the one that is cut across."""

    title: str
    steps: Sequence[str]
    views: Sequence[tuple[str, UnionView]]
    notes: Sequence[str] = ()
    page: str = "A4"


def teaching_sheet(sheet: TeachingSheet) -> bytes:
    """The sheet as a PDF of one page."""
    if not 1 <= len(sheet.views) <= _MOST_VIEWS:
        raise BadValue("views", len(sheet.views), say("1 to {most} on a sheet", most=_MOST_VIEWS))
    if not sheet.title.strip():
        raise BadValue("title", sheet.title, say("a title"))
    canvas, out = open_canvas(sheet.page, sheet.title)
    width, height = (side * MM for side in page_size_mm(sheet.page))
    left, right, top = _MARGIN_MM * MM, width - _MARGIN_MM * MM, height - _MARGIN_MM * MM
    y = draw_block(canvas, fit([(sheet.title, BOLD)], right - left, 12.0 * MM, largest=20.0, smallest=10.0), left, top) - 2.0 * MM
    y = _sentences(canvas, [f"{at}. {step}" for at, step in enumerate(sheet.steps, 1)], left, right, y, 11.0)
    y = _cross(canvas, sheet.views[-1][1], left, right, y - 2.0 * MM)
    y = _faces(canvas, sheet.views, left, right, y - 3.0 * MM)
    y = _key(canvas, sheet.views[-1][1], left, right, y - 3.0 * MM)
    _sentences(canvas, [say(_LIVING), *sheet.notes], left, right, y - 1.0 * MM, 8.5)
    draw_caution(canvas, say(CAUTION), left, right, _MARGIN_MM * MM)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _sentences(canvas: Canvas, sentences: Iterable[str], left: float, right: float, top: float, size: float) -> float:
    for sentence in sentences:
        block = fit([(sentence, PLAIN)], right - left, 12.0 * MM, largest=size, smallest=6.0, lines=3)
        top = draw_block(canvas, block, left, top) - 0.6 * MM
    return top


def _scale(wide_mm: float, tall_mm: float, room_wide_mm: float, room_tall_mm: float) -> float:
    """The largest round scale that fits."""
    return next((scale for scale in _SCALES if wide_mm * scale <= room_wide_mm and tall_mm * scale <= room_tall_mm), _SCALES[-1])


def _cross(canvas: Canvas, view: UnionView, left: float, right: float, top: float) -> float:
    """The stems cut across: bark black, the wood of the stock white, that of the scion grey; living lines ringed."""
    xs = [x for piece in view.pieces for x, _ in piece.outline]
    ys = [y for piece in view.pieces for _, y in piece.outline]
    scale = _scale(max(xs) - min(xs), max(ys) - min(ys), (right - left) / MM - 60.0, _CROSS_MM - 8.0)
    zero, high = (left + right) / 2.0 - (max(xs) + min(xs)) / 2.0 * scale * MM, top - 6.0 * MM

    def at(point: Point) -> Point:
        return zero + point[0] * scale * MM, high - (max(ys) - point[1]) * scale * MM

    _caption(canvas, say("Cut across half way up the cut, {scale} times its size", scale=f"{scale:g}"), left, top)
    dots = say("Full dot: a living line that meets; ring: one that does not")
    draw_block(canvas, fit([(dots, ITALIC)], 28.0 * MM, 24.0 * MM, largest=9.0, smallest=5.0, lines=6), left, top - 8.0 * MM)
    for piece in view.pieces:
        canvas.setFillGray(0.25 if piece.tissue == "bark" else 1.0 if piece.part == "stock" else 0.86)
        _polygon(canvas, [at(point) for point in piece.outline], fill=True)
    canvas.setStrokeGray(0.25)
    _lines(canvas, view.flaps, at, 1.6 * MM)
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.6)
    for line in view.marks:
        canvas.setFillGray(0.0 if line.meets else 1.0)
        x, y = at(line.at)
        canvas.circle(x, y, 1.5 * MM if line.meets else 1.1 * MM, stroke=1, fill=1)
    canvas.setFillGray(0.0)
    canvas.setFont(BOLD, 10.0)
    for part, word in (("scion", say("scion")), ("stock", say("stock"))):
        tallest = max((piece for piece in view.pieces if piece.part == part), key=_height)
        x, y = at((max(xs), (tallest.outline[0][1] + tallest.outline[len(tallest.outline) // 2][1]) / 2.0))
        canvas.drawString(x + 4.0 * MM, y - 1.2 * MM, printable(word))
    return high - (max(ys) - min(ys)) * scale * MM


def _height(piece: Piece) -> float:
    heights = [y for _, y in piece.outline]
    return max(heights) - min(heights)


def _caption(canvas: Canvas, words: str, left: float, top: float) -> None:
    canvas.setFont(ITALIC, 9.0)
    canvas.drawString(left, top - 3.2 * MM, printable(words))


def _faces(canvas: Canvas, views: Sequence[tuple[str, UnionView]], left: float, right: float, top: float) -> float:
    """All faces at one scale, side by side, their titles above."""
    extents = [_extent(view) for _, view in views]
    gap_mm, length_mm = 8.0, max(view.length_mm for _, view in views)
    room_mm = (right - left) / MM - gap_mm * (len(views) - 1)
    tall_mm = min(_FACE_MM, top / MM - _BELOW_MM) - 12.0
    scale = _scale(sum(high - low for low, high in extents), length_mm, room_mm, tall_mm)
    wide = sum(high - low for low, high in extents) * scale * MM + gap_mm * MM * (len(views) - 1)
    seen = say("The face of the cut as you look at it, {scale} times its size; the foot of the scion is below", scale=f"{scale:g}")
    _caption(canvas, seen, left, top)
    x, head = (left + right - wide) / 2.0, top - 11.0 * MM
    for (title, view), (low, high) in zip(views, extents, strict=True):
        canvas.setFont(BOLD, 9.0)
        canvas.drawCentredString(x + (high - low) / 2.0 * scale * MM, head + 1.5 * MM, printable(title))
        _face(canvas, view, _placer(x - low * scale * MM, head - view.length_mm / 2.0 * scale * MM, scale))
        x += (high - low) * scale * MM + gap_mm * MM
    return head - length_mm * scale * MM


def _placer(zero: float, middle: float, scale: float) -> Callable[[Point], Point]:
    def at(point: Point) -> Point:
        return zero + point[0] * scale * MM, middle + point[1] * scale * MM

    return at


def _extent(view: UnionView) -> tuple[float, float]:
    across = [x for line in (*view.stock_edges, *view.scion_edges) for x, _ in line]
    return min(across), max(across)


def _face(canvas: Canvas, view: UnionView, at: Callable[[Point], Point]) -> None:
    """Outlines thin, contact as a grey band, the stock's lines whole, the scion's dashed."""
    canvas.setLineWidth(0.4)
    canvas.setLineJoin(1)
    for edges in (view.stock_edges, view.scion_edges):
        if len(edges) == 2:
            _polygon(canvas, [at(point) for point in (*edges[0], *reversed(edges[1]))], fill=False)
    canvas.setStrokeGray(_GREY)
    _lines(canvas, view.met, at, 3.0 * MM)
    canvas.setStrokeGray(0.0)
    _lines(canvas, view.stock_lines, at, 1.2)
    canvas.setDash(4, 2.5)
    _lines(canvas, view.scion_lines, at, 1.2)
    canvas.setDash()


def _lines(canvas: Canvas, lines: Iterable[Line], at: Callable[[Point], Point], wide: float) -> None:
    canvas.setLineWidth(wide)
    for line in lines:
        path = canvas.beginPath()
        last = at(line[0])
        path.moveTo(*last)
        for point in line[1:]:
            here = at(point)
            if point == line[-1] or math.dist(here, last) > wide / 2:  # a stroke shows no bend that is finer than itself
                path.lineTo(*here)
                last = here
        canvas.drawPath(path, stroke=1, fill=0)


def _polygon(canvas: Canvas, points: Sequence[Point], *, fill: bool) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=int(not fill), fill=int(fill))


def _key(canvas: Canvas, view: UnionView, left: float, right: float, top: float) -> float:
    """What the lines mean."""
    stock = say("edge of the opened bark") if view.bed is not None else say("the stock's living line")
    x, y = left, top - 3.0 * MM
    rows = ((stock, 0.0, (), 1.2), (say("the scion's living line"), 0.0, (4, 2.5), 1.2), (say("here they meet"), _GREY, (), 3.0 * MM))
    for words, grey, dash, wide in rows:
        canvas.setStrokeGray(grey)
        canvas.setDash(*dash)
        canvas.setLineWidth(wide)
        canvas.line(x, y, x + 10.0 * MM, y)
        canvas.setFont(PLAIN, 8.5)
        canvas.drawString(x + 12.0 * MM, y - 1.0 * MM, words)
        x += (right - left) / 3.0
    canvas.setStrokeGray(0.0)
    canvas.setDash()
    return y - 4.0 * MM
