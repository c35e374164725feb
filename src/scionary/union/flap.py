"""A scion under a flap of bark: it meets a surface, not two lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.union.contact import Placement, check_placement, share_within
from scionary.union.stems import CutStem, line_half_width
from scionary.units import Float, check_range, refuse_where


@dataclass(frozen=True)
class FlapContact:
    """What a scion under a flap of bark meets; floats or arrays.

    Attributes
    ----------
    line_mm : float or ndarray
        Length of the scion's two living lines that has the stock's living surface or edge within reach [mm]: what the
        other methods call contact.
    edge_mm : float or ndarray
        Length that has an edge of the opened bark within reach [mm], part of `line_mm`.
    area_mm2 : float or ndarray
        Area of the scion's face that lies within reach of one of its own living lines and of the living surface [mm²].
    """

    line_mm: Any
    edge_mm: Any
    area_mm2: Any


def flap_contact(
    stock: CutStem, scion: CutStem, placement: Placement, *, opening_mm: Any, tolerance_mm: Any, flat_bed: bool = False
) -> FlapContact:
    """Contact of a scion's straight flat face with the surface from which a flap of bark was lifted.

    Parameters
    ----------
    stock : CutStem
        The stock; its depth of cut is not used: bark is lifted, wood is not cut.
    scion : CutStem
        The scion and its face.
    placement : Placement
        How it is set in the opening, whose middle is where shift and lean are 0.
    opening_mm : float or array_like
        Width of the opening across the stem [mm], 0 to the stem's thickness.
    tolerance_mm : float or array_like
        Gap that callus is taken to bridge [mm].
    flat_bed : bool
        True when the face and its bed lie close all over: a bed pared flat, or a shield of bark that bends round the wood.

    Returns
    -------
    FlapContact
        Lengths and area; floats for plain numbers.

    Raises
    ------
    BadValue
        Naming the argument, the value and what is allowed.

    Notes
    -----
    Where bark slips, the bared wood and the flap's inner side carry living cells all over, so that the scion's lines meet
    something wherever they lie. But a flat face touches round wood of radius r along its middle only: at a distance y the
    gap is r − √(r² − y²), at most T as far as y = √(2 r T − T²). A thin stock is round enough to hold the scion's lines
    off. At an edge of the bark the line may lie √(T² − gap²) beside it.
    """
    if not (scion.is_straight and np.all(np.isinf(stock.bend_radius_mm))):
        raise BadValue(
            "scion", say("a bent stem or a sloping cut"), say("straight stems and a face cut along the scion, under a flap of bark")
        )
    length, shift, lean = check_placement(placement)
    tolerance = check_range("tolerance_mm", tolerance_mm, 0.0, 100.0, "mm")
    wood, opening = _checked(stock, opening_mm)
    half = line_half_width(scion.check(length), 0.0, length)
    found = flap_arrays(half, (shift, lean, length), wood, opening, tolerance, flat_bed=flat_bed)
    one, two, three = (float(value) if np.ndim(value) == 0 else value for value in found)
    return FlapContact(one, two, three)


def _checked(stock: CutStem, opening_mm: Any) -> tuple[Float, Float]:
    radius, bark = np.asarray(stock.radius_mm, dtype=np.float64), np.asarray(stock.bark_mm, dtype=np.float64)
    refuse_where(bark >= radius, "bark_mm", bark, say("less than radius_mm"))
    opening = check_range("opening_mm", opening_mm, 0.0, 1000.0, "mm")
    refuse_where(opening > 2.0 * (radius - bark), "opening_mm", opening, say("at most the thickness of the stock's wood"))
    return radius - bark, opening


def flap_arrays(
    half: Any, placed: tuple[Any, Any, Any], wood: Any, opening: Any, tolerance: Any, *, flat_bed: bool
) -> tuple[Float, Float, Float]:
    """Do `flap_contact`'s work on arrays, without its checks.

    Parameters
    ----------
    half : array_like
        Half the distance between the scion's lines [mm].
    placed : tuple of array_like
        Shift, lean, length [mm].
    wood : array_like
        Radius of the stock's wood [mm].
    opening : array_like
        Width of the opening [mm].
    tolerance : array_like
        Gap that callus bridges [mm].
    flat_bed : bool
        As in `flap_contact`.

    Returns
    -------
    tuple of ndarray
        Line [mm], edge [mm], area [mm²].
    """
    shift, lean, length = (np.asarray(value, dtype=np.float64) for value in placed)
    side = np.asarray(opening, dtype=np.float64) / 2.0
    reach = side if flat_bed else np.minimum(side, bridged_half_width(wood, tolerance))
    gap = 0.0 * side if flat_bed else np.asarray(wood) - np.sqrt(np.maximum(np.asarray(wood) ** 2 - side**2, 0.0))
    beside = np.sqrt(np.maximum(np.asarray(tolerance) ** 2 - gap**2, 0.0))
    at_edge = gap <= tolerance
    slant = np.hypot(length, lean)
    line: Any = 0.0
    edge: Any = 0.0
    area: Any = 0.0
    for sign in (-1.0, 1.0):
        low, high = (shift + sign * half + way * np.abs(lean) / 2.0 for way in (-1.0, 1.0))
        outer = np.where(at_edge, side + beside, reach)
        line = line + share_within(low, high, -outer, outer)
        edges = share_within(low, high, side - beside, side + beside) + share_within(low, high, -side - beside, beside - side)
        twice = np.where(beside > side, share_within(low, high, side - beside, beside - side), 0.0)
        edge = edge + np.where(at_edge, edges - twice, 0.0)
        area = area + _covered(low, high, np.minimum(tolerance, 2.0 * half), reach, sign)
    both_sides = 2.0 * np.clip(np.asarray(tolerance) - half, 0.0, half)  # face near both lines counts once
    return line * slant, edge * slant + 0.0 * line, np.maximum(area - _twice(shift, lean, both_sides, reach), 0.0) * length


def bridged_half_width(wood_radius_mm: Any, tolerance_mm: Any) -> Float:
    """How far from its middle a flat face has round wood within reach: √(2 r T − T²).

    Parameters
    ----------
    wood_radius_mm : array_like
        Radius of the wood [mm].
    tolerance_mm : array_like
        Gap that callus bridges [mm].

    Returns
    -------
    ndarray
        Half-width [mm]; the radius itself where the reach is as large.
    """
    wood, tolerance = np.asarray(wood_radius_mm, dtype=np.float64), np.asarray(tolerance_mm, dtype=np.float64)
    return np.asarray(np.where(tolerance >= wood, wood, np.sqrt(np.maximum(2.0 * wood * tolerance - tolerance**2, 0.0))))


def _covered(low: Float, high: Float, band: Any, reach: Any, sign: float) -> Float:
    """Mean width of the band inside one line, on the face, that lies on the bed: the line runs evenly from `low` to `high`."""
    first, last = (0.0, band) if sign < 0 else (-np.asarray(band), 0.0)
    return _mean_overlap(low, high, first, last, reach)


def _twice(shift: Float, lean: Float, width: Float, reach: Any) -> Float:
    """Mean width of what both bands cover."""
    low, high = (shift + way * np.abs(lean) / 2.0 for way in (-1.0, 1.0))
    return _mean_overlap(low, high, -width / 2.0, width / 2.0, reach)


def _mean_overlap(low: Any, high: Any, first: Any, last: Any, reach: Any) -> Float:
    """Mean overlap of [y + first, y + last] with [−reach, reach] while y runs from `low` to `high`."""
    span = np.asarray(high - low)
    wide = np.where(span > 1e-9, span, 1.0)

    def ramp(at: Any) -> Any:
        return np.maximum(at, 0.0) ** 2 / 2.0

    def summed(y: Any) -> Any:
        return ramp(y + last + reach) - ramp(y + first + reach) - ramp(y + last - reach) + ramp(y + first - reach)

    flat = np.maximum(np.minimum(low + last, reach) - np.maximum(low + first, -np.asarray(reach)), 0.0)
    return np.asarray(np.where(span > 1e-9, (summed(high) - summed(low)) / wide, flat))
