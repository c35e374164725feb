"""How to set a scion: along one line, along both, or leaning across."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from scionary.language import say
from scionary.union.contact import Placement, Way
from scionary.union.joint import Joint
from scionary.union.stems import CutStem
from scionary.units import Float, check_range, refuse_where

SEARCHED, REPORTED = 512, 8192  # points in which errors are summed, while looking and for the answer
SEARCHED_BENT, REPORTED_BENT = 64, 1024  # the same for lines that are not straight
_LEAST_SHIFT_MM = 0.05  # project default, unsourced: nobody sets a scion finer
_LEANS, _LEANS_BENT = 24, 10
_CLOSELY, _CLOSELY_BENT = 4, 1  # candidates that are looked at closely, for their chance and for their contact
_STEEPEST = 0.36  # project default, unsourced: of the cut's length; about 20 degrees
_AS_LONG = 0.02  # contacts that differ by less of the longest are as long: what growers commonly do first is taken
_LEAST_LEAN_MM = 0.4  # project default, unsourced: less is no lean that a hand sets
_ALIKE = 0.01  # chances that differ by less are taken as alike: the longer contact decides


@lru_cache(maxsize=8)
def error_points(count: int) -> Float:
    """Spread standard normal numbers evenly over the four errors of a union.

    Parameters
    ----------
    count : int
        How many, a power of two.

    Returns
    -------
    ndarray of shape (4, count)
        Foot, top, depth on the stock, depth on the scion; the same on every call.
    """
    from scipy.special import ndtri
    from scipy.stats import qmc

    points = ndtri(np.clip(qmc.Sobol(4, rng=np.random.default_rng(8)).random(count), 1e-12, 1.0 - 1e-12)).T
    points.setflags(write=False)
    return np.asarray(points)


def best_placement(
    stock: CutStem,
    scion: CutStem,
    *,
    tolerance_mm: float,
    error_mm: float,
    wanted_mm: float,
    length_mm: float = 25.0,
    depth_error_mm: float = 0.0,
    ways: Sequence[Way] = tuple(Way),
) -> Placement:
    """Find the way of setting a scion that is likeliest to give the wanted contact.

    Parameters
    ----------
    stock, scion : CutStem
        The two cuts, of one stock and one scion.
    tolerance_mm : float
        Gap that callus is taken to bridge [mm].
    error_mm : float
        Standard deviation of where each end of the scion comes to lie across the face [mm].
    wanted_mm : float
        Contact wanted [mm].
    length_mm : float
        Length of the cut [mm].
    depth_error_mm : float
        Standard deviation of each cut's depth [mm].
    ways : sequence of Way
        The ways to choose from.

    Returns
    -------
    Placement
        With its way, chance and mean contact. Its mirror image, both signs turned, is as good: take the side that the
        hand sees best.

    Raises
    ------
    BadValue
        Naming the argument, the value and what is allowed.
    """
    joint = Joint(stock.check(length_mm), scion.check(length_mm), length_mm)
    found = ways_compared(joint, ways, tolerance_mm=tolerance_mm, error_mm=error_mm, wanted_mm=wanted_mm, depth_error_mm=depth_error_mm)
    return found[0]


def ways_compared(
    joint: Joint, ways: Sequence[Way], *, tolerance_mm: float, error_mm: float, wanted_mm: float, depth_error_mm: float = 0.0
) -> tuple[Placement, ...]:
    """Find the best placement of each way.

    Parameters
    ----------
    joint : Joint
        The two cuts and how they meet.
    ways : sequence of Way
        The ways, those that growers commonly do first.
    tolerance_mm, error_mm, wanted_mm, depth_error_mm : float
        As in `best_placement`.

    Returns
    -------
    tuple of Placement
        The best first: by chance. Among those less than a hundredth below the likeliest placement of all, first those whose mean
        contact is within a fiftieth of the longest, in the order in which the ways were given; each way stands there with its
        longest contact that is so likely, else with its likeliest.
    """
    for name, value in (("tolerance_mm", tolerance_mm), ("error_mm", error_mm), ("depth_error_mm", depth_error_mm)):
        refuse_where(np.isnan(check_range(name, value, 0.0, 50.0, "mm")), name, np.asarray(value), say("0 to 50 mm"))
    wanted = check_range("wanted_mm", wanted_mm, 0.0, 1e4, "mm")
    refuse_where(np.isnan(wanted), "wanted_mm", wanted, say("0 mm or more"))
    given = (tolerance_mm, (error_mm, depth_error_mm), wanted_mm)
    tried = [_hopeful(joint, way, *given) for way in ways if not _same_as_both(joint, way, ways)]
    best = max(placement.chance for hopeful in tried for placement in hopeful)
    found = [max(hopeful, key=lambda each: (min(each.chance, best - _ALIKE), each.contact_mm)) for hopeful in tried]
    among = [placement for placement in found if placement.chance >= best - _ALIKE]
    longest = max(placement.contact_mm for placement in among)
    among.sort(key=lambda placement: placement.contact_mm < (1.0 - _AS_LONG) * longest)
    others = [placement for placement in found if placement.chance < best - _ALIKE]
    return (*among, *sorted(others, key=lambda placement: -placement.chance))


def _same_as_both(joint: Joint, way: Way, ways: Sequence[Way]) -> bool:
    """Whether one side's line is met exactly where both are."""
    return way is Way.ONE_SIDE and Way.BOTH_SIDES in ways and bool(abs(float(joint.apart_mm)) < _LEAST_SHIFT_MM)


def _hopeful(joint: Joint, way: Way, tolerance: float, errors: tuple[float, float], wanted: float) -> list[Placement]:
    """The likeliest of a way's candidates, and of those about as likely the ones of the longest contact, looked at closely."""
    candidates = way_candidates(joint, way)
    shift, lean = candidates.T
    contact = joint.contact(shift, lean, tolerance, errors, error_points(SEARCHED if joint.is_straight else SEARCHED_BENT))
    chance, mean = np.mean(contact >= wanted, axis=-1), np.mean(contact, axis=-1)
    most = _CLOSELY if joint.is_straight else _CLOSELY_BENT
    likeliest, longest = np.argsort(-chance)[:most], np.argsort(-np.where(chance >= chance.max() - _ALIKE, mean, -1.0))[:most]
    places = [candidates[at] for at in dict.fromkeys((*likeliest, *longest))]
    chosen = [Placement(float(shift), float(lean), float(joint.length_mm), way) for shift, lean in places]
    return [judged(joint, placement, tolerance, errors, wanted) for placement in chosen]


def judged(joint: Joint, placement: Placement, tolerance: float, errors: tuple[float, float], wanted: float) -> Placement:
    """Work out a placement's chance and mean contact.

    Parameters
    ----------
    joint : Joint
        The two cuts and how they meet.
    placement : Placement
        One placement.
    tolerance : float
        Gap that callus bridges [mm].
    errors : tuple of float
        Standard deviations across the face and of depths [mm].
    wanted : float
        Contact wanted [mm].

    Returns
    -------
    Placement
        The same with both filled in.
    """
    points = error_points(REPORTED if joint.is_straight else REPORTED_BENT)
    contact = joint.contact(placement.shift_mm, placement.lean_mm, tolerance, errors, points, stations=40)
    return replace(placement, chance=float(np.mean(contact >= wanted)), contact_mm=float(np.mean(contact)))


def placement_chance(
    joint: Joint, placement: Placement, *, tolerance_mm: float, error_mm: float, wanted_mm: float, depth_error_mm: float = 0.0
) -> Placement:
    """Work out the chance of one placement, whatever is best.

    Parameters
    ----------
    joint : Joint
        The two cuts and how they meet.
    placement : Placement
        One placement.
    tolerance_mm, error_mm, wanted_mm, depth_error_mm : float
        As in `best_placement` [mm].

    Returns
    -------
    Placement
        The same with chance and mean contact filled in.
    """
    return judged(joint, placement, tolerance_mm, (error_mm, depth_error_mm), wanted_mm)


def way_candidates(joint: Joint, way: Way) -> Float:
    """Give the placements that a way allows.

    Parameters
    ----------
    joint : Joint
        The two cuts and how they meet.
    way : Way
        The way.

    Returns
    -------
    ndarray of shape (n, 2)
        Shift and lean [mm], leaning right; to the left where that is not the mirror image.
    """
    apart = float(joint.apart_mm)
    apart = 0.0 if abs(apart) < _LEAST_SHIFT_MM else apart
    if way is Way.BOTH_SIDES:
        return np.array([[0.0, 0.0]])
    if way is Way.ONE_SIDE:
        return np.array([[apart, 0.0]])
    leans = np.geomspace(
        _LEAST_LEAN_MM, max(_STEEPEST * float(joint.length_mm), 2.0 * _LEAST_LEAN_MM), _LEANS if joint.is_straight else _LEANS_BENT
    )
    aside = [0.0, apart / 2.0, apart] if apart else [0.0]
    return np.array([[shift, sign * lean] for shift in aside for sign in ((1.0,) if shift == 0.0 else (1.0, -1.0)) for lean in leans])
