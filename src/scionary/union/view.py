"""What a drawing of a union shows, in millimetres: the stems cut across, and the face with its living lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from scionary.union.contact import STATIONS, Placement
from scionary.union.flap import bridged_half_width
from scionary.union.joint import Joint
from scionary.union.stems import CutStem, depth_at, line_half_width
from scionary.units import Float

_ARC, _HEIGHTS = 40, 400
Line = tuple[tuple[float, float], ...]
Where = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Piece:
    """A part of a stem in the cross-section.

    Attributes
    ----------
    part : str
        ``stock`` or ``scion``.
    tissue : str
        ``bark`` (drawn first, the wood upon it) or ``wood``.
    outline : tuple of (float, float)
        Corners [mm], x to the right, y upwards from the stock's middle; closed.
    """

    part: str
    tissue: str
    outline: Line


@dataclass(frozen=True)
class Mark:
    """A living line cut across.

    Attributes
    ----------
    part : str
        ``stock`` or ``scion``.
    at : (float, float)
        Where [mm].
    meets : bool
        True when it has a living part of the other within reach, half way up.
    """

    part: str
    at: tuple[float, float]
    meets: bool


@dataclass(frozen=True)
class UnionView:
    """A union as it is drawn; all in millimetres.

    Attributes
    ----------
    pieces : tuple of Piece
        The stems cut across half way up the cut, those that lie behind first.
    marks : tuple of Mark
        Their living lines.
    stock_edges, scion_edges : tuple of line
        Both edges of each face: x to the right, z upwards from the middle of the cut.
    stock_lines, scion_lines : tuple of line
        The living lines on the faces; a flap's edges are the stock's lines where bark is lifted.
    met : tuple of line
        The stretches of the scion's lines that have the stock's within reach.
    bed : (float, float) or None
        From where to where the wood under a flap lies within reach of the face; None where lines meet lines.
    flaps : tuple of line
        The lifted bark in the cross-section.
    length_mm : float
        Length of the cut.
    met_mm : float
        Length of all stretches that meet, of one pair of faces.
    placement : Placement
        How the scion is set.
    """

    pieces: tuple[Piece, ...]
    marks: tuple[Mark, ...]
    stock_edges: tuple[Line, ...]
    scion_edges: tuple[Line, ...]
    stock_lines: tuple[Line, ...]
    scion_lines: tuple[Line, ...]
    met: tuple[Line, ...]
    bed: tuple[float, float] | None
    flaps: tuple[Line, ...]
    length_mm: float
    met_mm: float
    placement: Placement


def union_view(joint: Joint, placement: Placement, tolerance_mm: float) -> UnionView:
    """Lay out the drawing of a union.

    Parameters
    ----------
    joint : Joint
        The two cuts of one pair.
    placement : Placement
        How the scion is set.
    tolerance_mm : float
        Gap that callus is taken to bridge [mm].

    Returns
    -------
    UnionView
        Outlines, lines and what meets.
    """
    z = np.linspace(-0.5, 0.5, _HEIGHTS + 1) * joint.length_mm
    middle = placement.shift_mm + placement.lean_mm * z / joint.length_mm
    stock_half, scion_half = _stock_half(joint, z), line_half_width(joint.scion, z, joint.length_mm)
    reach = _reach(joint, tolerance_mm)
    near = [_near(middle + side * scion_half, stock_half, tolerance_mm, reach) for side in (-1.0, 1.0)]
    met = [run for side, close in zip((-1.0, 1.0), near, strict=True) for run in _runs(middle + side * scion_half, z, close)]
    return UnionView(
        pieces=_pieces(joint, placement),
        marks=_marks(joint, placement, tolerance_mm, reach),
        stock_edges=_pair_of_lines(0.0 * z, _face_half(joint.stock, z, joint.length_mm, joint.opening_mm), z),
        scion_edges=_pair_of_lines(middle, _face_half(joint.scion, z, joint.length_mm, None), z),
        stock_lines=_pair_of_lines(0.0 * z, stock_half, z),
        scion_lines=_pair_of_lines(middle, scion_half, z),
        met=tuple(met),
        bed=None if reach is None else (-reach, reach),
        flaps=_flaps(joint),
        length_mm=float(joint.length_mm),
        met_mm=_met_mm(joint, placement, tolerance_mm),
        placement=placement,
    )


def _met_mm(joint: Joint, placement: Placement, tolerance_mm: float) -> float:
    """Contact without any error of the hand."""
    still = np.zeros((4, 1))
    found = joint.contact(placement.shift_mm, placement.lean_mm, tolerance_mm, (0.0, 0.0), still, STATIONS)
    return float(found[0]) / joint.faces


def _stock_half(joint: Joint, z: Float) -> Float:
    """Half the distance between the stock's lines; the edges of the opening where bark is lifted."""
    if joint.opening_mm is None:
        return line_half_width(joint.stock, z, joint.length_mm)
    return np.full_like(z, float(joint.opening_mm) / 2.0)


def _reach(joint: Joint, tolerance_mm: float) -> float | None:
    """How far from the middle a flap's bed lies within reach; None where lines meet lines."""
    if joint.opening_mm is None:
        return None
    side = float(joint.opening_mm) / 2.0
    wood = float(joint.stock.radius_mm) - float(joint.stock.bark_mm)
    return side if joint.flat_bed else min(side, float(bridged_half_width(wood, tolerance_mm)))


def _near(line: Float, stock_half: Float, tolerance_mm: float, reach: float | None) -> Where:
    """Where a line of the scion has something living of the stock within reach."""
    if reach is not None:
        return np.asarray(np.abs(line) <= reach + (tolerance_mm if reach >= stock_half[0] else 0.0))
    with np.errstate(invalid="ignore"):
        return np.asarray(np.minimum(np.abs(line - stock_half), np.abs(line + stock_half)) <= tolerance_mm)


def _face_half(cut: CutStem, z: Float, length_mm: float, opening_mm: float | None) -> Float:
    """Half the width of a face over the bark; NaN where a bend has taken the cut out of the stem."""
    if opening_mm is not None:
        return np.full_like(z, float(opening_mm) / 2.0)
    depth = np.minimum(depth_at(cut, z, length_mm), 2.0 * float(cut.radius_mm))
    depth = np.where(depth > -1e-9, np.maximum(depth, 0.0), np.nan)
    stretched = 1.0 if cut.across_radius_mm is None else float(cut.across_radius_mm) / float(cut.radius_mm)
    return np.asarray(stretched * np.sqrt(depth * (2.0 * float(cut.radius_mm) - depth)))


def _pair_of_lines(middle: Float, half: Float, z: Float) -> tuple[Line, ...]:
    return tuple(line for side in (-1.0, 1.0) for line in _runs(middle + side * half, z, ~np.isnan(half)))


def _runs(x: Float, z: Float, wanted: Where) -> list[Line]:
    """The stretches of a line where something holds; a straight one as its two ends."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], wanted, [False]]).astype(np.int8)))
    runs = []
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        if stop - start < 2:
            continue
        at = np.arange(start, stop)
        straight = np.allclose(x[at], np.interp(z[at], z[[start, stop - 1]], x[[start, stop - 1]]), atol=1e-6)
        each = max(1, len(at) // 40)  # at its ends a line bends most: there every point is kept
        kept = at[[0, -1]] if straight else np.unique(np.concatenate([at[:each], at[::each], at[-each:]]))
        runs.append(tuple((float(x[one]), float(z[one])) for one in kept))
    return runs


def _pieces(joint: Joint, placement: Placement) -> tuple[Piece, ...]:
    """The stock below its face and the scion above; of two pairs of faces, one stem between the halves of the other."""
    if joint.faces == 2:
        return _wedged(joint, placement)
    plane = _planes(joint)[0]
    centre = (float(placement.shift_mm), plane + float(joint.scion.radius_mm) - float(joint.scion.depth_mm))
    found = []
    for tissue in ("bark", "wood"):
        whole = tissue == "wood" and joint.opening_mm is not None
        found.append(Piece("stock", tissue, _clipped(joint.stock, tissue, (0.0, 0.0), -np.inf, np.inf if whole else plane)))
        found.append(Piece("scion", tissue, _clipped(joint.scion, tissue, centre, plane, np.inf)))
    return tuple(found)


def _wedged(joint: Joint, placement: Placement) -> tuple[Piece, ...]:
    """A scion's wedge in a split stock, or a stock's wedge in a notched scion."""
    low, high = _planes(joint)
    below, above = ("stock", joint.stock, 0.0), ("scion", joint.scion, float(placement.shift_mm))
    (inner_part, inner, inner_x), (outer_part, outer, outer_x) = (below, above) if np.any(joint.stock.deeper_mm) else (above, below)
    off = float(outer.radius_mm) - float(outer.depth_mm)
    found = []
    for tissue in ("bark", "wood"):
        found.append(Piece(outer_part, tissue, _clipped(outer, tissue, (outer_x, low + off), -np.inf, low)))
        found.append(Piece(outer_part, tissue, _clipped(outer, tissue, (outer_x, high - off), high, np.inf)))
        found.append(Piece(inner_part, tissue, _clipped(inner, tissue, (inner_x, 0.0), low, high)))
    return tuple(found)


def _flaps(joint: Joint) -> tuple[Line, ...]:
    """Bark that is bent away on both sides of the opening, along the scion's flanks."""
    if joint.opening_mm is None:
        return ()
    side, plane = float(joint.opening_mm) / 2.0, _planes(joint)[0]
    out, up = 0.35 * float(joint.scion.radius_mm), 0.6 * float(joint.scion.radius_mm)
    return tuple(
        ((sign * side, plane), (sign * (side + 0.3 * out), plane + 0.6 * up), (sign * (side + out), plane + up)) for sign in (-1.0, 1.0)
    )


def _planes(joint: Joint) -> tuple[float, ...]:
    """Heights of the faces above the middle of the stock, or of the wedge where there are two."""
    if joint.faces == 2:
        inner = joint.stock if np.any(joint.stock.deeper_mm) else joint.scion
        half = float(inner.radius_mm) - float(inner.depth_mm)
        return (-half, half)
    radius = float(joint.stock.radius_mm)
    return (radius - (float(joint.stock.bark_mm) if joint.opening_mm is not None else float(joint.stock.depth_mm)),)


def _clipped(cut: CutStem, tissue: str, centre: tuple[float, float], low: float, high: float) -> Line:
    """A round or oval outline between two heights."""
    bark = 0.0 if tissue == "bark" else float(cut.bark_mm)
    tall = float(cut.radius_mm) - bark
    wide = (float(cut.radius_mm) if cut.across_radius_mm is None else float(cut.across_radius_mm)) - bark
    least, most = (float(np.clip((limit - centre[1]) / tall, -1.0, 1.0)) for limit in (low, high))
    rising = np.linspace(np.arcsin(least), np.arcsin(most), _ARC)
    right = np.column_stack([centre[0] + wide * np.cos(rising), centre[1] + tall * np.sin(rising)])
    left = right[::-1] * (-1.0, 1.0) + (2.0 * centre[0], 0.0)
    return tuple((float(x), float(y)) for x, y in np.concatenate([right, left]))


def _marks(joint: Joint, placement: Placement, tolerance_mm: float, reach: float | None) -> tuple[Mark, ...]:
    """Living lines half way up, and whether each meets one of the other stem."""
    found = []
    z = np.zeros(1)
    halves = {"stock": _stock_half(joint, z)[0], "scion": line_half_width(joint.scion, z, joint.length_mm)[0]}
    places = {"stock": [-halves["stock"], halves["stock"]], "scion": [placement.shift_mm + side * halves["scion"] for side in (-1.0, 1.0)]}
    for part, other in (("stock", "scion"), ("scion", "stock")):
        for x in places[part]:
            meets = min(abs(x - there) for there in places[other]) <= tolerance_mm
            if part == "scion" and reach is not None:
                meets = bool(abs(x) <= reach) or meets
            found += [Mark(part, (float(x), plane), bool(meets)) for plane in _planes(joint)]
    return tuple(found)
