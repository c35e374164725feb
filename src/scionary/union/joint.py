"""A pair of stems cut for a method: what the geometry needs to know of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import mark, say
from scionary.union.chance import contact_under_errors
from scionary.union.cut import cut_face_width
from scionary.union.flap import flap_arrays
from scionary.union.methods import JoinMethod, Model, Shape
from scionary.union.stems import CutStem, Stem, depth_at, line_half_width, matching_depth_mm
from scionary.units import Float

_THINNEST_WOOD_MM = 0.1  # project default, unsourced: a face on a scion goes at least so far into its wood
ROUGH = 24  # pieces of a sloping line while many placements are compared


@dataclass(frozen=True)
class Joint:
    """Two cut stems and the way in which their faces meet.

    Attributes
    ----------
    stock, scion : CutStem
        The cuts.
    length_mm : float
        Length of the cut [mm].
    faces : int
        Pairs of faces that meet.
    opening_mm : float or None
        Width of the opened bark [mm]; None where lines meet lines.
    flat_bed : bool
        As in `flap_contact`.
    usual_mm : float or None
        Length of cut that the method would want of a straight stock [mm]; None where a person set the length.
    """

    stock: CutStem
    scion: CutStem
    length_mm: Any
    faces: int = 1
    opening_mm: Any = None
    flat_bed: bool = False
    usual_mm: float | None = None

    @property
    def is_straight(self) -> bool:
        """True when all living lines are straight."""
        return self.opening_mm is not None or (self.stock.is_straight and self.scion.is_straight)

    @property
    def apart_mm(self) -> Any:
        """Half the stock's lines' distance less half the scion's, half way up the cut [mm]."""
        return line_half_width(self.stock, 0.0, self.length_mm) - line_half_width(self.scion, 0.0, self.length_mm)

    def contact(self, shift: Any, lean: Any, tolerance: Any, errors: Sequence[Any], points: Float, stations: int = ROUGH) -> Float:
        """Contact of all faces for each placement and each draw of the errors.

        Parameters
        ----------
        shift, lean, tolerance : array_like
            Millimetres; they broadcast.
        errors : sequence of array_like
            Standard deviations across the face and of depths [mm].
        points : ndarray of shape (4, draws)
            Standard normal numbers.
        stations : int
            Pieces of a sloping line.

        Returns
        -------
        ndarray of shape (..., draws)
            Contact [mm].
        """
        if self.opening_mm is None:
            placed = (np.asarray(shift), np.asarray(lean), np.asarray(self.length_mm))
            return self.faces * contact_under_errors(self.stock, self.scion, placed, tolerance, errors, points, stations)
        return self._under_flap(shift, lean, tolerance, errors, points)

    def _under_flap(self, shift: Any, lean: Any, tolerance: Any, errors: Sequence[Any], points: Float) -> Float:
        def behind(value: Any) -> Float:
            return np.asarray(value, dtype=np.float64)[..., np.newaxis]

        end, depth = (behind(error) for error in errors)
        cut = CutStem(*(behind(value) for value in (self.scion.radius_mm, self.scion.bark_mm, self.scion.depth_mm)))
        half = line_half_width(CutStem(cut.radius_mm, cut.bark_mm, cut.depth_mm + depth * points[3]), 0.0, 1.0)
        foot, top = end * points[0], end * points[1]
        placed = (behind(shift) + (foot + top) / 2.0, behind(lean) + top - foot, behind(self.length_mm))
        wood = behind(self.stock.radius_mm) - behind(self.stock.bark_mm)
        line, _, _ = flap_arrays(half, placed, wood, behind(self.opening_mm), behind(tolerance), flat_bed=self.flat_bed)
        return np.asarray(self.faces * np.where(np.isnan(line), 0.0, line))


def planned_joint(method: JoinMethod, stock: Stem, scion: Stem, *, length_mm: float | None = None, depth_mm: float | None = None) -> Joint:
    """Cut two stems as the method wants it.

    Parameters
    ----------
    method : JoinMethod
        The method.
    stock, scion : Stem
        The stems.
    length_mm : float, optional
        Length of the cut [mm]; by default the method's, on a bent stock's side as much shorter, within the method's lengths, as
        keeps the knife in the stem and no deeper at the ends than the method allows.
    depth_mm : float, optional
        Depth of a cut along the stock's side [mm]; by default that whose lines lie as far apart as the scion's, as far as
        the method allows.

    Returns
    -------
    Joint
        Checked cuts.

    Raises
    ------
    BadValue
        When a cut cannot be: deeper than the pith, at its middle or, on the inner side of a bend, at its ends; in the bark alone ...
    """
    length = cut_length_mm(method, scion) if length_mm is None else length_mm
    usual = length if length_mm is None else None
    scion_cut = _scion_cut(method, scion).check(length)
    stock_cut = _stock_cut(method, stock, float(line_half_width(scion_cut, 0.0, length)), depth_mm).check(length)
    if method.shape_of("stock") is Shape.ALONG:
        length = length if usual is None else max(min(length, float(np.floor(_bend_allows_mm(method, stock_cut)))), method.cut_low_mm)
        _ends_before_the_pith(stock_cut, length)
    opening = opening_mm(stock, scion_cut) if method.model is Model.FLAP else None
    return Joint(stock_cut, scion_cut, length, method.faces, opening, method.flat_bed, usual)


def cut_length_mm(method: JoinMethod, scion: Stem) -> float:
    """Length of cut that the method wants.

    Parameters
    ----------
    method : JoinMethod
        The method.
    scion : Stem
        The scion.

    Returns
    -------
    float
        Usual multiple of the scion's thickness, kept within the method's lengths, to the millimetre [mm].
    """
    return float(np.clip(round(method.cut_per_scion * scion.diameter_mm), method.cut_low_mm, method.cut_high_mm))


def opening_mm(stock: Stem, scion_cut: CutStem) -> float:
    """How far bark is opened for a scion: as wide as its face.

    Parameters
    ----------
    stock : Stem
        The stock.
    scion_cut : CutStem
        The scion and its face.

    Returns
    -------
    float
        Width [mm], at most that of the stock's wood.
    """
    return min(face_width_mm(scion_cut), 2.0 * stock.wood_mm)


def face_width_mm(cut: CutStem) -> float:
    """Width of a cut's face half way up.

    Parameters
    ----------
    cut : CutStem
        One cut on one stem, round or oval.

    Returns
    -------
    float
        Width over the bark [mm].
    """
    stretched = 1.0 if cut.across_radius_mm is None else float(cut.across_radius_mm) / float(cut.radius_mm)
    return stretched * float(cut_face_width(float(cut.radius_mm), float(cut.depth_mm)))


def _bend_allows_mm(method: JoinMethod, cut: CutStem) -> float:
    """Longest cut along a stock's side whose face is as long, or that is no deeper at its ends than the method allows."""
    bend, depth, radius = float(cut.bend_radius_mm), float(cut.depth_mm), float(cut.radius_mm)
    if bend > 0.0:
        return face_length_mm(cut, float("inf"))
    off, deeper = radius - depth + bend, max(2.0 * method.deepest_share * radius - depth, 0.0)
    return 2.0 * float(np.sqrt(max((deeper - off) ** 2 - off**2, 0.0)))


def face_length_mm(cut: CutStem, length_mm: float) -> float:
    """How long a flat cut's face is: on the outer side of a bend the knife leaves the stem before the cut's length.

    Parameters
    ----------
    cut : CutStem
        One cut on one stem.
    length_mm : float
        Length of the cut [mm].

    Returns
    -------
    float
        Length of the face [mm]: 2 √(d (2 (ρ + R) − d)) on a ring's outer side, at most the cut's length.
    """
    bend, depth = float(cut.bend_radius_mm), float(cut.depth_mm)
    if not 0.0 < bend < float("inf"):
        return float(length_mm)
    return min(float(length_mm), 2.0 * float(np.sqrt(depth * (2.0 * (bend + float(cut.radius_mm)) - depth))))


def _scion_cut(method: JoinMethod, scion: Stem) -> CutStem:
    """Down to the share that the method wants; a wedge or slope deepens towards the scion's foot, a notch upwards."""
    shape = method.shape_of("scion")
    if shape is Shape.SLOPE_THROUGH:
        return scion.cut(scion.radius_mm, scion.diameter_mm)
    if shape is Shape.SLOPE_TO_PITH:
        return scion.cut(scion.radius_mm / 2.0, scion.radius_mm)
    if shape is Shape.NOTCH:
        return scion.cut(scion.radius_mm / 2.0, -scion.radius_mm)
    return scion.cut(max(method.scion_depth_share * scion.diameter_mm, scion.bark + _THINNEST_WOOD_MM))


def _stock_cut(method: JoinMethod, stock: Stem, half_mm: float, depth_mm: float | None) -> CutStem:
    """As the method wants it; a cut along the side as deep as makes its lines lie like the scion's."""
    shape = method.shape_of("stock")
    if shape is Shape.SLOPE_THROUGH:
        return stock.cut(stock.radius_mm, -stock.diameter_mm)
    if shape is Shape.SLOPE_TO_PITH:
        return stock.cut(stock.radius_mm / 2.0, -stock.radius_mm)
    if shape is Shape.SPLIT:
        return stock.cut(stock.radius_mm)
    if shape is Shape.LIFTED:
        return stock.cut(stock.bark + _THINNEST_WOOD_MM)
    return stock.cut(side_depth_mm(method, stock, half_mm) if depth_mm is None else _before_the_pith(stock, depth_mm))


def side_depth_mm(method: JoinMethod, stock: Stem, half_mm: float) -> float:
    """Depth of a cut along the stock's side.

    Parameters
    ----------
    method : JoinMethod
        The method.
    stock : Stem
        The stock.
    half_mm : float
        Half the distance between the scion's lines [mm].

    Returns
    -------
    float
        Depth [mm]: so that the stock's lines lie as far apart as the scion's, but through at least the least wood and no
        deeper than the method allows.
    """
    least = stock.bark + method.least_wood_mm
    most = max(method.deepest_share * stock.diameter_mm, least)
    return float(np.clip(matching_depth_mm(stock, half_mm), least, most))


def _before_the_pith(stock: Stem, depth_mm: float) -> float:
    if depth_mm > stock.radius_mm:
        raise BadValue(
            "depth_mm",
            depth_mm,
            say("up to the pith, {pith} mm: a side cut that goes deeper severs the stock", pith=f"{stock.radius_mm:g}"),
        )
    return depth_mm


def _ends_before_the_pith(cut: CutStem, length_mm: float) -> None:
    """A flat cut on the inner side of a bend is deepest at its ends."""
    ends, middle = (float(depth_at(cut, z, length_mm)) for z in (length_mm / 2.0, 0.0))
    if ends > float(cut.radius_mm) and ends > middle:
        words = mark("up to the pith, {pith} mm: a flat cut of {length} mm on the inner side of this bend goes {ends} mm deep at its ends")
        words = say(words, pith=f"{float(cut.radius_mm):g}", length=f"{length_mm:g}", ends=f"{ends:.1f}")
        raise BadValue("depth_mm", round(ends, 1), words)
