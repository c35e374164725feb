"""How much of a scion's living lines meets the stock's."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.language import say
from scionary.union.stems import LONGEST_CUT_MM, CutStem, line_half_width
from scionary.union.stretches import stretches
from scionary.units import Float, check_range, like_input, refuse_where

STATIONS = 400  # pieces into which a line that is not straight is taken
_PARALLEL_MM = 1e-9  # lines that part by less than this along the cut are parallel; parallel ones within so much of a reach are in it
_BLOCK = 16_384  # placements taken at once, so that they stay in the processor's cache
_MOST_SIDEWAYS_MM = 1e4


class Way(StrEnum):
    """How a scion is set on its stock."""

    ONE_SIDE = "one_side"
    BOTH_SIDES = "both_sides"
    CROSSED = "crossed"


@dataclass(frozen=True)
class Placement:
    """Where a scion is set on the stock's face. The first three are floats or arrays that broadcast.

    Attributes
    ----------
    shift_mm : float or array_like
        How far the middle of the scion's face lies to the right of the middle of the stock's, half way up the cut [mm].
    lean_mm : float or array_like
        How far the top of the scion's cut lies further right than its foot [mm]; below 0 it leans left.
    length_mm : float or array_like
        Length of the cut along the stock [mm], above 0.
    way : Way or None
        Which way of setting this is, when it was chosen.
    chance : float
        Chance of the contact that was wanted, when it was worked out; else NaN.
    contact_mm : float
        Mean contact under the errors of the hand [mm], when it was worked out; else NaN.
    """

    shift_mm: Any = 0.0
    lean_mm: Any = 0.0
    length_mm: Any = 25.0
    way: Way | None = None
    chance: float = float("nan")
    contact_mm: float = float("nan")

    @property
    def lean_deg(self) -> Any:
        """The lean as an angle [degrees]."""
        return like_input(np.degrees(np.arctan2(self.lean_mm, self.length_mm)), self.lean_mm, self.length_mm)

    @property
    def foot_mm(self) -> Any:
        """How far right of the middle the foot of the scion's cut lies [mm]."""
        return self.shift_mm - self.lean_mm / 2.0

    @property
    def top_mm(self) -> Any:
        """How far right of the middle the top of the scion's cut lies [mm]."""
        return self.shift_mm + self.lean_mm / 2.0

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            Fields and ends, ready for JSON when they are numbers.
        """
        names = ("shift_mm", "lean_mm", "length_mm", "foot_mm", "top_mm", "lean_deg")
        plain = {name: float(getattr(self, name)) for name in names}
        known = {name: None if np.isnan(value) else value for name, value in (("chance", self.chance), ("contact_mm", self.contact_mm))}
        return {**plain, "way": self.way.value if self.way else None, **known}


def leaning(angle_deg: float, *, length_mm: float, shift_mm: float = 0.0) -> Placement:
    """Make a placement whose lean is known as an angle.

    Parameters
    ----------
    angle_deg : float
        Lean [degrees], within 89.
    length_mm, shift_mm : float
        As in `Placement` [mm].

    Returns
    -------
    Placement
        The same lean in millimetres.
    """
    check_range("angle_deg", angle_deg, -89.0, 89.0, "degrees")
    return Placement(shift_mm, length_mm * float(np.tan(np.radians(angle_deg))), length_mm)


def contact_length(stock: CutStem, scion: CutStem, placement: Placement, *, tolerance_mm: Any) -> Any:
    """Length of the scion's two living lines that lies within reach of one of the stock's.

    Parameters
    ----------
    stock, scion : CutStem
        The two cuts, face to face.
    placement : Placement
        How the scion is set.
    tolerance_mm : float or array_like
        Gap that callus is taken to bridge [mm], 0 or more. NaN gives NaN, here and in every other argument.

    Returns
    -------
    float or ndarray
        Millimetres along the scion's lines, both together: at most twice the cut's length ÷ cos(lean). A point near
        both lines of the stock counts once.

    Raises
    ------
    BadValue
        Naming the argument, the value and what is allowed: a bark thicker than the stem, a cut that stays in the bark ...

    Notes
    -----
    Lines ±a_s on the stock, e ± a_c + z tan θ on the scion, −L/2 ≤ z ≤ L/2; contact where the gap across the face is at
    most T. Exact for straight cuts along straight stems, oval or round. For bent stems and sloping cuts the lines are
    taken as `STATIONS` straight pieces between the heights at which they end, and the gap across the face at the same height:
    within 0.1 mm.
    """
    length, shift, lean = check_placement(placement)
    tolerance = check_range("tolerance_mm", tolerance_mm, 0.0, 100.0, "mm")
    stock, scion = stock.check(length), scion.check(length)
    found = lines_contact(stock, scion, shift, lean, length, tolerance)
    found = np.where(unmeasured(stock, scion, shift, lean, length, tolerance), np.nan, found)
    fields = (stock.radius_mm, stock.bark_mm, stock.depth_mm, scion.radius_mm, scion.bark_mm, scion.depth_mm)
    return like_input(found, *fields, placement.shift_mm, placement.lean_mm, placement.length_mm, tolerance_mm)


def unmeasured(stock: CutStem, scion: CutStem, *values: Float) -> npt.NDArray[np.bool_]:
    """Say where something is NaN: what it gives is not known then.

    Parameters
    ----------
    stock, scion : CutStem
        The two cuts.
    *values : ndarray
        The rest; all broadcast.

    Returns
    -------
    ndarray of bool
        True where any is NaN.
    """
    fields = [value for cut in (stock, scion) for value in vars(cut).values() if value is not None]
    found: npt.NDArray[np.bool_] = np.zeros((), dtype=bool)
    for value in (*fields, *values):
        found = found | np.isnan(np.asarray(value, dtype=np.float64))
    return found


def check_placement(placement: Placement) -> tuple[Float, Float, Float]:
    """Refuse a placement that cannot be.

    Parameters
    ----------
    placement : Placement
        How the scion is set.

    Returns
    -------
    tuple of ndarray
        Length, shift, lean [mm].

    Raises
    ------
    BadValue
        Naming what is wrong.
    """
    length = check_range("length_mm", placement.length_mm, 0.0, LONGEST_CUT_MM, "mm")
    refuse_where(length <= 0.0, "length_mm", length, say("more than 0, up to {most} mm", most=f"{LONGEST_CUT_MM:g}"))
    shift = check_range("shift_mm", placement.shift_mm, -_MOST_SIDEWAYS_MM, _MOST_SIDEWAYS_MM, "mm")
    return length, shift, check_range("lean_mm", placement.lean_mm, -_MOST_SIDEWAYS_MM, _MOST_SIDEWAYS_MM, "mm")


def lines_contact(stock: CutStem, scion: CutStem, shift: Any, lean: Any, length: Any, tolerance: Any, stations: int = STATIONS) -> Float:
    """Do `contact_length`'s work on arrays, without its checks.

    Parameters
    ----------
    stock, scion : CutStem
        The two cuts.
    shift, lean, length, tolerance : array_like
        Millimetres, as in `Placement` and `contact_length`.
    stations : int
        Pieces of a line that is not straight.

    Returns
    -------
    ndarray
        Contact [mm]; NaN where a straight cut lays no living line bare, 0 where a sloping one does not.
    """
    if not (stock.is_straight and scion.is_straight):
        return _bent_contact(stock, scion, shift, lean, length, tolerance, stations)
    inputs = (line_half_width(stock, 0.0, length), line_half_width(scion, 0.0, length), shift, lean, length, tolerance)
    shape = np.broadcast_shapes(*(np.shape(value) for value in inputs))
    if int(np.prod(shape)) <= _BLOCK:
        return np.asarray(straight_contact(*(np.asarray(value, dtype=np.float64) for value in inputs)))
    flat = [np.asarray(value) if np.ndim(value) == 0 else np.broadcast_to(value, shape).reshape(-1) for value in inputs]
    found = np.empty(int(np.prod(shape)))
    for start in range(0, len(found), _BLOCK):
        part = slice(start, start + _BLOCK)
        found[part] = straight_contact(*(value if value.ndim == 0 else value[part] for value in flat))
    return found.reshape(shape)


def straight_contact(stock_half: Float, scion_half: Float, shift: Float, lean: Float, length: Float, tolerance: Float) -> Float:
    """Contact of straight lines, by intervals.

    Parameters
    ----------
    stock_half, scion_half : ndarray
        Half the distance between the lines of the stock and of the scion [mm].
    shift, lean, length, tolerance : ndarray
        As in `lines_contact` [mm].

    Returns
    -------
    ndarray
        Contact [mm].
    """
    reach = np.abs(lean) / 2.0
    outer, inner = stock_half + tolerance, stock_half - tolerance
    both = bool(np.any(inner <= _PARALLEL_MM))  # the reaches of the stock's two lines touch or overlap: what lies in both counts once
    total: Any = 0.0
    for side in (-1.0, 1.0):
        middle = shift + side * scion_half
        low, high = middle - reach, middle + reach
        share = share_within(low, high, inner, outer) + share_within(low, high, -outer, -inner)
        if both:
            share = np.minimum(share - np.where(inner < 0.0, share_within(low, high, inner, -inner), 0.0), 1.0)
        total = total + share
    return np.asarray(total * np.sqrt(length**2 + lean**2))


def share_within(low: Float, high: Float, least: Any, most: Any) -> Float:
    """Share of a line, running evenly from `low` to `high`, that lies between two values.

    Parameters
    ----------
    low, high : ndarray
        Its ends [mm], low at most high.
    least, most : ndarray
        The values [mm].

    Returns
    -------
    ndarray
        0 to 1.
    """
    span = high - low
    within = np.minimum(high, most) - np.maximum(low, least)
    if np.all(span > _PARALLEL_MM):
        return np.asarray(np.maximum(within, 0.0) / span)
    wide = span > _PARALLEL_MM
    return np.asarray(np.where(wide, np.maximum(within, 0.0) / np.where(wide, span, 1.0), within >= -_PARALLEL_MM) + 0.0 * within)


def _bent_contact(stock: CutStem, scion: CutStem, shift: Any, lean: Any, length: Any, tolerance: Any, stations: int) -> Float:
    """Contact of lines that are not straight: each piece as in a straight one, the gaps at its ends known."""
    apart = [np.asarray(value, dtype=np.float64)[..., np.newaxis] for value in (shift, lean, length, tolerance)]
    shift, lean, length, tolerance = apart
    stock, scion = _with_axis(stock), _with_axis(scion)
    fields = [value for cut in (stock, scion) for value in vars(cut).values() if value is not None]
    total = np.zeros(np.broadcast_shapes(*(np.shape(value)[:-1] for value in (*fields, *apart))))
    for z in stretches(stock, scion, length, stations):
        stock_half, scion_half = (line_half_width(cut, z, length) for cut in (stock, scion))
        for side in (-1.0, 1.0):
            total = total + _within(shift + lean * z / length + side * scion_half, z, stock_half, tolerance)
    return total


def _within(line: Float, z: Float, stock_half: Float, tolerance: Float) -> Float:
    """Length of one of the scion's lines that lies within reach of one of the stock's."""
    ends = [_piece_within(line - other * stock_half, tolerance) for other in (-1.0, 1.0)]
    share = sum(np.maximum(last - first, 0.0) for first, last in ends)
    twice = np.maximum(np.minimum(ends[0][1], ends[1][1]) - np.maximum(ends[0][0], ends[1][0]), 0.0)
    return np.asarray(np.nansum((share - twice) * np.hypot(np.diff(line), np.diff(z)), axis=-1))


def _with_axis(cut: CutStem) -> CutStem:
    """The same cut with one more axis behind, for heights."""
    kept = {name: np.asarray(value, dtype=np.float64)[..., np.newaxis] for name, value in vars(cut).items() if value is not None}
    return CutStem(**kept)


def _piece_within(gap: Float, tolerance: Float) -> tuple[Float, Float]:
    """From where to where, 0 to 1, each piece's gap is at most the tolerance; NaN where a line is missing."""
    first, change = gap[..., :-1], np.diff(gap)
    still = np.abs(change) < 1e-12
    step = np.where(still, 1.0, change)
    one, other = (-tolerance - first) / step, (tolerance - first) / step
    begin, end = np.clip(np.minimum(one, other), 0.0, 1.0), np.clip(np.maximum(one, other), 0.0, 1.0)
    near = np.abs(first) <= tolerance
    return np.where(still, 0.0, begin) + 0.0 * change, np.where(still, near * 1.0, end) + 0.0 * change
