"""Square pots of several sizes on one tray: a small exact search over the places where a pot can stand pushed into a corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.units import Float

MOST_PLACES = 2_500
_ROUNDING = 1e-9  # of the tray
_NODES = 300


@dataclass(frozen=True)
class Squares:
    """What the search found.

    Attributes
    ----------
    kinds : ndarray of int, shape (n,)
        Which size each square has.
    corners : ndarray of shape (n, 2)
        Its corner nearest to the tray's.
    proved : bool
        Whether no other arrangement with sides along the tray's is better.
    """

    kinds: Any
    corners: Float
    proved: bool


def place_squares(sides: Float, sizes: Sequence[float], counts: Sequence[int]) -> Squares:
    """Place as many squares as there is room for, those of the first size before all others, then those of the second, and so on.

    Parameters
    ----------
    sides : ndarray of shape (2,)
        Sides of the room.
    sizes : sequence of float
        Side of each kind of square, more than 0.
    counts : sequence of int
        How many of each kind are wanted.

    Returns
    -------
    Squares
        Where they lie; `proved` is False when the search came to the end of its nodes, or when the sizes allow of more than 2,500
        places and each square was put where sides of those before it meet.

    Notes
    -----
    Any arrangement can be pushed towards a corner until every side touches another or the wall; then all corners lie at sums of sides
    (Christofides & Whitlock 1977, Operations Research 25:30-44). Over these places an integer programme is solved in which every such
    point is covered once at most (Beasley 1985, Operations Research 33:49-64).
    """
    first = _by_corners(sides, sizes, counts)
    if len(first.kinds) == sum(counts):
        return Squares(first.kinds, first.corners, proved=True)
    axes = [[_sums(side - size, sizes, counts, kind, _ROUNDING * side) for side in sides] for kind, size in enumerate(sizes)]
    if sum(len(along) * len(across) for along, across in axes) > MOST_PLACES:
        return first
    kinds = np.concatenate([np.full(len(along) * len(across), kind) for kind, (along, across) in enumerate(axes)])
    corners = np.concatenate([np.stack(np.meshgrid(along, across), axis=-1).reshape(-1, 2) for along, across in axes])
    return _programme(sizes, counts, kinds, corners, first)


def _sums(most: float, sizes: Sequence[float], counts: Sequence[int], kind: int, rounding: float) -> Float:
    """Sums of sides up to `most`, each side as often as there are squares of it, one of `kind` set aside."""
    found = np.zeros(1 if most >= -rounding else 0)
    for number, (size, count) in enumerate(zip(sizes, counts, strict=True)):
        times = np.arange(count + (number != kind))
        sums = np.sort((found[:, None] + times * size).ravel())
        sums = sums[sums <= most + rounding]
        found = sums[np.diff(sums, prepend=-np.inf) > rounding]
    return found


def _by_corners(sides: Float, sizes: Sequence[float], counts: Sequence[int]) -> Squares:
    """Each square, in order, as far across and then along as it goes where sides of those before it meet."""
    slack = _ROUNDING * float(sides.max())
    kinds: list[int] = []
    corners, side = np.empty((0, 2)), np.empty(0)
    for kind, (size, count) in enumerate(zip(sizes, counts, strict=True)):
        for _ in range(count):
            free = _free_corners(sides - size, size, corners, side, slack)
            if not len(free):
                break
            place = free[np.lexsort((free[:, 0], free[:, 1]))[0]]
            corners, side = np.vstack([corners, place]), np.append(side, size)
            kinds.append(kind)
    return Squares(np.array(kinds, dtype=int), corners, proved=False)


def _free_corners(most: Float, size: float, corners: Float, side: Float, slack: float) -> Float:
    """Where a square can lie with two of its sides in line with sides of others, or with the wall."""
    axes = []
    for axis in (0, 1):
        lines = np.unique(np.append(corners[:, axis] + side, 0.0))
        lines = lines[lines <= most[axis] + slack]
        axes.append(lines[np.diff(lines, prepend=-np.inf) > slack])
    found = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    for corner, other in zip(corners, side, strict=True):
        found = found[_apart(found, np.full(len(found), size), corner, other, slack)]
    return found


def _apart(corners: Float, side: Float, corner: Float, other: float, slack: float) -> Any:
    """Whether squares do not overlap one square."""
    beyond = (corners >= corner + other - slack) | (corners + side[:, None] <= corner + slack)
    return beyond.any(axis=1)


def _programme(sizes: Sequence[float], counts: Sequence[int], kinds: Any, corners: Float, first: Squares) -> Squares:
    """The integer programme; what was found without it where it ends without an answer."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array, vstack

    cover = _cover(np.asarray(sizes)[kinds], corners)
    number = csr_array(np.array([kinds == kind for kind in range(len(sizes))], dtype=float))
    weight = np.cumprod([1.0, *(count + 1.0 for count in counts[:0:-1])])[::-1]
    limits = np.concatenate([np.ones(cover.shape[0]), np.asarray(counts, dtype=float)])
    done = milp(
        -weight[kinds],
        constraints=LinearConstraint(vstack([cover, number]), -np.inf, limits),
        integrality=np.ones(len(kinds), dtype=np.intp),
        bounds=Bounds(0, 1),
        options={"node_limit": _NODES, "mip_rel_gap": 0.0},
    )
    if done.x is None or -done.fun < weight[first.kinds].sum() - 0.5:
        return first
    chosen = np.flatnonzero(done.x > 0.5)
    return Squares(kinds[chosen], corners[chosen], proved=done.status == 0)


def _cover(side: Float, corners: Float) -> Any:
    """Which places cover which of the points where corners lie."""
    from scipy.sparse import csr_array

    slack = _ROUNDING * float(corners.max(initial=0.0) + side.max())
    points = np.unique(np.round(corners / slack) * slack, axis=0)
    low, high = corners - slack, corners + side[:, None] - 2 * slack
    inside = np.all((points[:, None] >= low - slack) & (points[:, None] < high), axis=2)
    return csr_array(inside.astype(float))
