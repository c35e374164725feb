"""The widest round pots that still stand, from where some stand too tightly: linear programmes that can only gain."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.units import Float

_STEPS = 40
_REACH = 0.2  # of the width, along and across: no pot moves further in one step, so that pairs left out cannot meet
_NEAR = 1.7  # of the distance: pairs further apart are left out of a step
_GAINED = 1e-12  # of the width: a step that gains less is the last
_PRECISE: Any = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}


def width_that_stands(points: Float, sides: Float, clearance: float) -> float:
    """Give the width of the widest round pots that stand at these places.

    Parameters
    ----------
    points : ndarray of shape (n, 2)
        Centres, from one corner of the tray.
    sides : ndarray of shape (2,)
        Inside length and width of the tray.
    clearance : float
        Free room between neighbours; none is kept to the sides.

    Returns
    -------
    float
        The width, in the unit of the points; below 0 where two places are closer than the clearance.
    """
    wall = 2.0 * min(points.min(), (sides - points).min())
    first, second = np.triu_indices(len(points), 1)
    between = np.hypot(*(points[first] - points[second]).T)
    return float(min(wall, between.min(initial=np.inf) - clearance))


def widen(points: Float, sides: Float, clearance: float, *, enough: float = np.inf) -> tuple[Float, float]:
    """Move round pots until no small move lets them all be wider.

    Parameters
    ----------
    points : ndarray of shape (n, 2)
        Centres to start from, inside the tray.
    sides : ndarray of shape (2,)
        Inside length and width of the tray.
    clearance : float
        Free room between neighbours.
    enough : float
        Stop once pots of this width stand.

    Returns
    -------
    points : ndarray of shape (n, 2)
        The places.
    width : float
        Width of the pots that stand there, checked over all pairs and sides.

    Notes
    -----
    A distance is a convex function of the moves and its tangent never exceeds it: what holds for the tangents holds for the pots, so that
    each step is safe however long it is. Near a packing that cannot move, steps gain as Newton's do.
    """
    width = width_that_stands(points, sides, clearance)
    scale = float(np.sqrt(sides.prod() / len(points)))
    for _ in range(_STEPS):
        if width >= enough:
            break
        moved = points + scale * _step(points / scale, sides / scale, clearance / scale, max(width / scale, 0.1))
        wider = width_that_stands(moved, sides, clearance)
        if wider <= width * (1.0 + _GAINED):
            break
        points, width = moved, wider
    return points, width


def _step(points: Float, sides: Float, clearance: float, width: float) -> Float:
    """One linear programme: moves of all pots, and a width that is to be large; no move where it has no answer."""
    from scipy.optimize import linprog

    count = len(points)
    matrix, limit = _tangents(points, sides, clearance, width)
    aim = np.zeros(2 * count + 1)
    aim[-1] = -1.0
    reach = _REACH * width
    bounds = [(-reach, reach)] * (2 * count) + [(0.0, None)]
    done: Any = linprog(aim, A_ub=matrix, b_ub=limit, bounds=bounds, method="highs", options=_PRECISE)
    moves: Float = done.x[:-1].reshape(count, 2) if done.status == 0 else np.zeros((count, 2))
    return moves


def _tangents(points: Float, sides: Float, clearance: float, width: float) -> tuple[Any, Float]:
    """Rows of the programme: each near pair keeps the width between, each pot half of it to every side.

    width - unit . (move of first - move of second) <= distance - clearance
    width / 2 - move <= place,   width / 2 + move <= side - place
    """
    from scipy.sparse import csr_array

    count = len(points)
    first, second = np.triu_indices(count, 1)
    between = points[first] - points[second]
    distance = np.hypot(*between.T)
    near = distance < _NEAR * (width + clearance)
    first, second, distance = first[near], second[near], distance[near]
    unit = between[near] / np.maximum(distance, 1e-12)[:, None]
    pairs, every, last = np.arange(len(first)), np.arange(2 * count), 2 * count
    low, high = len(pairs) + every, len(pairs) + last + every
    rows = [np.tile(pairs, 5), low, low, high, high]
    columns = [2 * first, 2 * first + 1, 2 * second, 2 * second + 1, np.full(len(pairs), last)]
    columns += [every, np.full(last, last), every, np.full(last, last)]
    values = [-unit[:, 0], -unit[:, 1], unit[:, 0], unit[:, 1], np.ones(len(pairs))]
    values += [np.full(last, value) for value in (-1.0, 0.5, 1.0, 0.5)]
    flat = points.ravel()
    limit = np.concatenate([distance - clearance, flat, np.tile(sides, count) - flat])
    shape = (len(limit), last + 1)
    return csr_array((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=shape), limit
