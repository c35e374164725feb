"""How likely a wanted contact is when hand and knife err."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from scionary.language import say
from scionary.union.contact import Placement, check_placement, lines_contact, straight_contact, unmeasured
from scionary.union.stems import CutStem, line_half_width
from scionary.units import Float, check_range, like_input, refuse_where

DRAWS = 20_000
_NODES = 2001  # of the lean's error; the chance jumps as the lean grows, so the sum is good to some 2e-4
_TAIL = 5.0  # standard deviations
_STILL_MM = 1e-12  # a hand that errs by less does not err: the contact is certain, or missing
_MOST_AT_ONCE = 40_000  # cases times nodes of one step of the closed form


def contact_chance(
    stock: CutStem,
    scion: CutStem,
    placement: Placement,
    *,
    tolerance_mm: Any,
    error_mm: Any,
    wanted_mm: Any,
    rng: int | np.random.Generator = 0,
    depth_error_mm: float = 0.0,
    draws: int = DRAWS,
) -> Any:
    """Chance that at least the wanted contact comes about.

    Parameters
    ----------
    stock, scion : CutStem
        The two cuts as they are meant.
    placement : Placement
        How the scion is meant to be set.
    tolerance_mm : float or array_like
        Gap that callus is taken to bridge [mm], 0 or more.
    error_mm : float or array_like
        Standard deviation of where each end of the scion comes to lie across the face [mm]; the ends err independently.
    wanted_mm : float or array_like
        Contact wanted [mm], 0 or more. NaN in any argument gives NaN.
    rng : int or Generator
        Seed or source of the draws; not used where the chance is known in closed form.
    depth_error_mm : float
        Standard deviation of each cut's depth [mm]; above 0 draws are taken.
    draws : int
        How many, 100 or more.

    Returns
    -------
    float or ndarray
        0 to 1.

    Raises
    ------
    BadValue
        Naming the argument, the value and what is allowed.

    Notes
    -----
    Straight cuts of known depth: for a known lean the contact is piecewise linear in the sideways shift, so its chance
    is a sum of normal probabilities; the lean's error is summed over 2001 nodes, good to some 2e-4. Two ends that err by E
    each give a shift that errs by E/√2 and a lean that errs by E√2, independent of one another. Else: `sampled_chance`.
    """
    if depth_error_mm or not (stock.is_straight and scion.is_straight):
        return sampled_chance(
            stock,
            scion,
            placement,
            tolerance_mm=tolerance_mm,
            error_mm=error_mm,
            wanted_mm=wanted_mm,
            rng=rng,
            depth_error_mm=depth_error_mm,
            draws=draws,
        )
    length, shift, lean = check_placement(placement)
    tolerance, error, wanted = _checked(tolerance_mm, error_mm, wanted_mm)
    halves = [line_half_width(cut.check(length), 0.0, length) for cut in (stock, scion)]
    cases = np.broadcast_arrays(*halves, shift, lean, length, tolerance, error, wanted)
    flat = [case.reshape(-1) for case in cases]
    step = max(1, _MOST_AT_ONCE // _NODES)
    found = [_over_leans(*(case[at : at + step] for case in flat)) for at in range(0, len(flat[0]), step)]
    return like_input(
        np.concatenate(found or [np.empty(0)]).reshape(cases[0].shape), *_inputs(stock, scion, placement), tolerance_mm, error_mm, wanted_mm
    )


def sampled_chance(
    stock: CutStem,
    scion: CutStem,
    placement: Placement,
    *,
    tolerance_mm: Any,
    error_mm: Any,
    wanted_mm: Any,
    rng: int | np.random.Generator = 0,
    depth_error_mm: float = 0.0,
    draws: int = DRAWS,
) -> Any:
    """Estimate the same chance from random draws, whatever the cuts are.

    Parameters
    ----------
    stock, scion, placement, tolerance_mm, error_mm, wanted_mm, rng, depth_error_mm, draws
        As in `contact_chance`.

    Returns
    -------
    float or ndarray
        0 to 1; its standard error is √(p(1−p)/draws). A cut that by its error stays in the bark gives no contact.
    """
    length, shift, lean = check_placement(placement)
    tolerance, error, wanted = _checked(tolerance_mm, error_mm, wanted_mm)
    check_range("draws", draws, 100, 1e8)
    stock, scion = stock.check(length), scion.check(length)
    points = np.random.default_rng(rng).standard_normal((4, draws))
    contact = contact_under_errors(stock, scion, (shift, lean, length), tolerance, (error, np.asarray(depth_error_mm)), points)
    chance = np.where(
        unmeasured(stock, scion, shift, lean, length, tolerance, error, wanted),
        np.nan,
        np.mean(contact >= wanted[..., np.newaxis], axis=-1),
    )
    return like_input(chance, *_inputs(stock, scion, placement), tolerance_mm, error_mm, wanted_mm)


def contact_under_errors(
    stock: CutStem, scion: CutStem, placed: Sequence[Float], tolerance: Any, errors: Sequence[Any], points: Float, stations: int = 100
) -> Float:
    """Contact for every case and every draw of the errors.

    Parameters
    ----------
    stock, scion : CutStem
        The cuts as they are meant; their fields broadcast with the rest.
    placed : sequence of ndarray
        Shift, lean, length [mm].
    tolerance : array_like
        Gap that callus bridges [mm].
    errors : sequence of array_like
        Standard deviations of each end across the face, and of each cut's depth [mm].
    points : ndarray of shape (4, draws)
        Standard normal numbers: foot, top, depth on the stock, depth on the scion.
    stations : int
        Pieces of a line that is not straight.

    Returns
    -------
    ndarray of shape (..., draws)
        Contact [mm], 0 where a cut stays in the bark.
    """
    shift, lean, length, tolerance, end, depth = (
        np.asarray(value, dtype=np.float64)[..., np.newaxis] for value in (*placed, tolerance, *errors)
    )
    foot, top = end * points[0], end * points[1]
    below, above = _with_depth_error(stock, depth * points[2]), _with_depth_error(scion, depth * points[3])
    contact = lines_contact(below, above, shift + (foot + top) / 2.0, lean + top - foot, length, tolerance, stations)
    return np.asarray(np.where(np.isnan(contact), 0.0, contact))


def _with_depth_error(cut: CutStem, error: Float) -> CutStem:
    """The cut with one more axis behind, its depth off by the error."""
    fields = {name: np.asarray(value, dtype=np.float64)[..., np.newaxis] for name, value in vars(cut).items() if value is not None}
    return replace(CutStem(**fields), depth_mm=fields["depth_mm"] + error)


def _checked(tolerance_mm: Any, error_mm: Any, wanted_mm: Any) -> tuple[Float, Float, Float]:
    tolerance = check_range("tolerance_mm", tolerance_mm, 0.0, 100.0, "mm")
    error = check_range("error_mm", error_mm, 0.0, 50.0, "mm")
    return tolerance, error, check_range("wanted_mm", wanted_mm, 0.0, 1e4, "mm")


def _inputs(stock: CutStem, scion: CutStem, placement: Placement) -> tuple[Any, ...]:
    cuts = [value for cut in (stock, scion) for value in (cut.radius_mm, cut.bark_mm, cut.depth_mm)]
    return (*cuts, placement.shift_mm, placement.lean_mm, placement.length_mm)


def _over_leans(*case: Float) -> Float:
    """Chance of each case, the lean's error summed over its nodes."""
    stock, scion, shift, lean, length, tolerance, error, wanted = (value[..., np.newaxis] for value in case)
    node = np.linspace(-_TAIL, _TAIL, _NODES)
    weight = np.exp(-(node**2) / 2.0)
    known = shift_chance(stock, scion, shift, lean + node * error * np.sqrt(2.0), length, tolerance, error / np.sqrt(2.0), wanted)
    return np.asarray(np.sum(known * weight, axis=-1) / np.sum(weight))


def shift_chance(
    stock: Float, scion: Float, shift: Float, lean: Float, length: Float, tolerance: Float, error: Float, wanted: Float
) -> Float:
    """Chance of the wanted contact when the lean is known and the shift errs normally: closed form.

    Parameters
    ----------
    stock, scion : ndarray
        Half the distance between the lines of each [mm].
    shift, lean, length, tolerance : ndarray
        As in `contact_length` [mm].
    error : ndarray
        Standard deviation of the shift [mm].
    wanted : ndarray
        Contact wanted [mm].

    Returns
    -------
    ndarray
        0 to 1.

    Notes
    -----
    As the scion moves across, each of its lines enters and leaves each line's reach evenly: between 24 known places the
    contact is linear in the shift.
    """
    places = _places(*np.broadcast_arrays(stock, scion, lean, tolerance))
    begin, end = places[..., :-1], places[..., 1:]
    wide = end - begin
    below, above, slant, long, reach = (value[..., np.newaxis] for value in np.broadcast_arrays(stock, scion, lean, length, tolerance))
    near, far = (straight_contact(below, above, begin + share * wide, slant, long, reach) for share in (0.25, 0.75))
    slope = 2.0 * (far - near)
    first = near - slope / 4.0
    aim = wanted[..., np.newaxis]
    rising = np.where(np.abs(slope) > 1e-12, (aim - first) / np.where(np.abs(slope) > 1e-12, slope, 1.0), 0.0)
    always = np.where(first >= aim - 1e-12, 1.0, 0.0)
    low = np.where(slope > 1e-12, np.clip(rising, 0.0, 1.0), 0.0)
    high = np.where(slope < -1e-12, np.clip(rising, 0.0, 1.0), np.where(slope > 1e-12, 1.0, always))
    chance = np.sum(_normal_between(begin + low * wide, begin + np.maximum(high, low) * wide, shift, error), axis=-1)
    chance = np.where(wanted <= 0.0, 1.0, np.clip(chance, 0.0, 1.0))
    if np.any(error <= _STILL_MM):
        still = straight_contact(stock, scion, shift, lean, length, tolerance)
        chance = np.where(error <= _STILL_MM, still >= wanted - 1e-12, chance)
    return np.asarray(chance + 0.0 * (stock + scion + shift + lean + length + tolerance + error + wanted))


def _places(stock: Float, scion: Float, lean: Float, tolerance: Float) -> Float:
    """Shifts at which the contact's slope changes, in order."""
    reach = np.abs(lean) / 2.0
    outer, inner = stock + tolerance, np.abs(stock - tolerance)
    edges = [sign * edge + way * reach for sign in (-1.0, 1.0) for edge in (outer, inner) for way in (-1.0, 1.0)]
    return np.sort(np.stack([edge + side * scion for edge in edges for side in (-1.0, 1.0)], axis=-1), axis=-1)


def _normal_between(low: Float, high: Float, mean: Float, sd: Float) -> Float:
    """Chance that a normal number falls between two; of no meaning without spread."""
    from scipy.special import ndtr

    middle, spread = mean[..., np.newaxis], sd[..., np.newaxis]
    wide = np.where(spread > _STILL_MM, spread, 1.0)
    refuse_where(spread < 0.0, "error_mm", spread, say("0 mm or more"))
    return np.asarray(ndtr((high - middle) / wide) - ndtr((low - middle) / wide))
