"""A union as SVG paths: the stems cut across and the face, to scale, for a phone's width."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from scionary.language import say
from scionary.union.view import Line, Piece, UnionView

PHONE = 306.0  # drawing units, as many as pixels on a small phone
_CROSS_MOST, _FACE_MOST = 240.0, 400.0  # heights
_PAD, _HEAD, _GAP = 10.0, 18.0, 16.0
_BARS_MM = (1.0, 2.0, 5.0, 10.0, 20.0)


@dataclass(frozen=True)
class Area:
    """A part of a stem: its class in the stylesheet and its outline."""

    kind: str
    path: str


@dataclass(frozen=True)
class Dot:
    """A living line cut across."""

    kind: str
    x: float
    y: float


@dataclass(frozen=True)
class Label:
    """A word beside or on a part."""

    words: str
    x: float
    y: float
    end: str  # "middle", or "" for words that begin here


@dataclass(frozen=True)
class Scale:
    """A bar that says how long a millimetre is."""

    x1: float
    x2: float
    y: float
    words: str

    @property
    def text_y(self) -> float:
        return round(self.y - 4.0, 1)


@dataclass(frozen=True)
class CrossDrawing:
    """The stems cut across half way up."""

    height: float
    areas: Sequence[Area]
    face: str
    flaps: str
    dots: Sequence[Dot]
    labels: Sequence[Label]
    scale: Scale
    words: str


@dataclass(frozen=True)
class FaceDrawing:
    """One look at the face: outlines and lines as paths, and what stands over it."""

    title: str
    middle: float
    stock_face: str
    scion_face: str
    bed: str
    stock_lines: str
    scion_lines: str
    met: str
    words: str


@dataclass(frozen=True)
class DrawnUnion:
    """All of it."""

    cross: CrossDrawing
    faces: Sequence[FaceDrawing]
    height: float
    scale: Scale
    under_bark: bool


def drawn_union(views: Sequence[tuple[str, UnionView]], width: float = PHONE) -> DrawnUnion:
    """Lay out the last view's cross-section, and the faces of all side by side: such as before leaning, and leaning."""
    last = views[-1][1]
    per_mm = _face_scale([view for _, view in views], width)
    wide = sum(high - low for low, high in (_extent(view) for _, view in views)) * per_mm + _GAP * (len(views) - 1)
    faces, left = [], (width - wide) / 2.0
    for title, view in views:
        low, high = _extent(view)
        faces.append(_face(title, view, per_mm, left - low * per_mm))
        left += (high - low) * per_mm + _GAP
    height = _HEAD + max(view.length_mm for _, view in views) * per_mm + 34.0
    return DrawnUnion(
        cross=_cross(last, width),
        faces=faces,
        height=round(height, 1),
        scale=_bar(per_mm, _PAD, height - 6.0),
        under_bark=last.bed is not None,
    )


def _extent(view: UnionView) -> tuple[float, float]:
    """From the leftmost to the rightmost of what a face shows, in mm."""
    across = [x for line in (*view.stock_edges, *view.scion_edges) for x, _ in line]
    return min(across), max(across)


def _face_scale(views: Sequence[UnionView], width: float) -> float:
    wide = sum(high - low for low, high in map(_extent, views))
    return min((width - 2 * _PAD - _GAP * (len(views) - 1)) / wide, _FACE_MOST / max(view.length_mm for view in views), 40.0)


def _face(title: str, view: UnionView, per_mm: float, zero: float) -> FaceDrawing:
    """The stock's face with the scion's upon it, as one looks at the cut."""
    top = _HEAD + view.length_mm * per_mm / 2.0

    def placed(lines: Iterable[Line]) -> list[list[tuple[float, float]]]:
        return [[(zero + x * per_mm, top - z * per_mm) for x, z in line] for line in lines]

    low, high = _extent(view)
    bed = "" if view.bed is None else _ribbon(placed([_upright(x, view.length_mm) for x in view.bed]))
    return FaceDrawing(
        title=title,
        middle=round(zero + (low + high) / 2.0 * per_mm, 1),
        stock_face=_ribbon(placed(view.stock_edges)),
        scion_face=_ribbon(placed(view.scion_edges)),
        bed=bed,
        stock_lines=_paths(placed(view.stock_lines)),
        scion_lines=_paths(placed(view.scion_lines)),
        met=_paths(placed(view.met)),
        words=face_words(title, view),
    )


def _upright(x: float, length_mm: float) -> Line:
    return ((x, -length_mm / 2.0), (x, length_mm / 2.0))


def face_words(title: str, view: UnionView) -> str:
    """What a face shows, for those who hear it."""
    return say(
        "{title}: the scion's two living lines on the stock's, {length} mm long; {met} mm of them meet",
        title=title,
        length=f"{view.length_mm:.0f}",
        met=f"{view.met_mm:.0f}",
    )


def cross_words(view: UnionView) -> str:
    """What the cross-section shows, for those who hear it."""
    met = {mark.at[0] for mark in view.marks if mark.part == "scion" and mark.meets}
    if len(met) == 0:
        return say("Stock and scion cut across, half way up: neither of the scion's two living lines meets the stock's living part")
    if len(met) == 1:
        return say("Stock and scion cut across, half way up: one of the scion's two living lines meets the stock's living part")
    return say("Stock and scion cut across, half way up: both living lines of the scion meet the stock's living part")


def _cross(view: UnionView, width: float) -> CrossDrawing:
    xs = [x for piece in view.pieces for x, _ in piece.outline]
    ys = [y for piece in view.pieces for _, y in piece.outline]
    per_mm = min((width - 2 * _PAD) / (max(xs) - min(xs)), (_CROSS_MOST - 2 * _PAD) / (max(ys) - min(ys)), 40.0)
    zero, top = width / 2.0 - (max(xs) + min(xs)) / 2.0 * per_mm, _PAD + max(ys) * per_mm

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return zero + point[0] * per_mm, top - point[1] * per_mm

    height = top - min(ys) * per_mm + 28.0
    areas = [Area(f"union-{piece.part}-{piece.tissue}", _paths([[at(point) for point in piece.outline]]) + "Z") for piece in view.pieces]
    dots = [
        Dot("union-met-dot" if mark.meets else f"union-{mark.part}-dot", *(round(value, 1) for value in at(mark.at))) for mark in view.marks
    ]
    heights = sorted({mark.at[1] for mark in view.marks})
    face = _paths([[at((min(xs), height_mm)), at((max(xs), height_mm))] for height_mm in heights])
    flaps = _paths([[at(point) for point in flap] for flap in view.flaps])
    labels = [_label(view, part, word, at) for part, word in (("stock", say("stock")), ("scion", say("scion")))]
    return CrossDrawing(round(height, 1), areas, face, flaps, dots, labels, _bar(per_mm, _PAD, height - 6.0), cross_words(view))


def _label(view: UnionView, part: str, word: str, at: Callable[[tuple[float, float]], tuple[float, float]]) -> Label:
    """The word upon the part's wood where there is room, else to the right of it."""
    wood = max((piece for piece in view.pieces if (piece.part, piece.tissue) == (part, "wood")), key=_height)
    xs, ys = zip(*(at(point) for point in wood.outline), strict=True)
    if max(xs) - min(xs) > 44.0 and max(ys) - min(ys) > 20.0:
        return Label(word, round((max(xs) + min(xs)) / 2.0, 1), round((max(ys) + min(ys)) / 2.0 + 4.0, 1), "middle")
    return Label(word, round(max(xs) + 24.0, 1), round((max(ys) + min(ys)) / 2.0 - 4.0, 1), "")


def _height(piece: Piece) -> float:
    heights = [y for _, y in piece.outline]
    return max(heights) - min(heights)


def _bar(per_mm: float, x: float, y: float) -> Scale:
    """A bar of whole millimetres, some fifty units long."""
    length = max((size for size in _BARS_MM if size * per_mm <= 90.0), default=_BARS_MM[0])
    return Scale(round(x, 1), round(x + length * per_mm, 1), round(y, 1), f"{length:g} mm")


def _ribbon(edges: Sequence[Sequence[tuple[float, float]]]) -> str:
    """The surface between two edges."""
    if len(edges) < 2:
        return ""
    return _paths([[*edges[0], *reversed(edges[1])]]) + "Z"


def _paths(lines: Iterable[Sequence[tuple[float, float]]]) -> str:
    return "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in line) for line in lines)
