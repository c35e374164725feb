"""Room for one more round pot: points in a rectangle that keep a least distance."""

from __future__ import annotations

import numpy as np

from scionary.units import Float

_FEWEST_STARTS, _MOST_STARTS, _ROUNDS = 24, 160, 100
_LEAST_DAMPING = 1e-6
_SLACK = 1e-9  # of the distance: aimed at, so that rounding never leaves an overlap


def most_points(room: Float, apart: float) -> int:
    """Give a number of points that no arrangement in a rectangle exceeds.

    Parameters
    ----------
    room : ndarray of shape (2,)
        Sides of the rectangle.
    apart : float
        Least distance between any two points.

    Returns
    -------
    int
        The bound, 1 or more.

    Notes
    -----
    Oler, N. (1961), Acta Mathematica 105, 19-48: 2 A / (sqrt(3) d^2) + P / (2 d) + 1, with area A and perimeter P.
    """
    length, width = room / apart
    return int(2.0 / np.sqrt(3.0) * length * width + length + width + 1.0 + 1e-9)


def search_one_more(points: Float, room: Float, apart: float, rng: np.random.Generator) -> Float | None:
    """Look for one point more than are there, moving all of them.

    Parameters
    ----------
    points : ndarray of shape (n, 2)
        An arrangement that keeps the distance.
    room : ndarray of shape (2,)
        Sides of the rectangle; points may lie on them.
    apart : float
        Least distance between any two points.
    rng : Generator
        Where the starts come from.

    Returns
    -------
    ndarray of shape (n + 1, 2) or None
        None when a bounded number of starts found nothing, which proves nothing.

    Notes
    -----
    Overlaps are squeezed out by damped Gauss-Newton steps (Levenberg-Marquardt), all starts at once: half of them random, half
    from the given arrangement, disturbed, with a random point added. In a square, and up to 30 points, it finds the best published
    numbers when there is a thousandth of the distance to spare, but not always where they fit exactly.
    """
    count = len(points) + 1
    starts = int(np.clip(16_000 // count**2, _FEWEST_STARTS, _MOST_STARTS))
    spots = rng.uniform(size=(starts, count, 2)) * room
    blur = rng.uniform(0.05, 0.4, size=(starts // 2, 1, 1)) * apart
    spots[: starts // 2, :-1] = np.clip(points + blur * rng.normal(size=(starts // 2, count - 1, 2)), 0.0, room)
    wanted = apart * (1.0 + _SLACK)
    for round_ in range(_ROUNDS):
        step, overlap = _newton_step(spots, room, wanted, damping=max(0.5 * 0.9**round_, _LEAST_DAMPING))
        best = int(np.argmin(overlap))
        if overlap[best] < 0.5 * _SLACK * apart:
            found: Float = np.clip(spots[best], 0.0, room)
            return found
        spots = spots + step
    return None


def _newton_step(spots: Float, room: Float, wanted: float, damping: float) -> tuple[Float, Float]:
    """One step for every start, and how much its worst pair or wall is violated now."""
    starts, count, _ = spots.shape
    between = np.moveaxis(spots, 2, 0)[:, :, :, None] - np.moveaxis(spots, 2, 0)[:, :, None, :]
    distance = np.hypot(between[0], between[1])
    every = np.arange(count)
    distance[:, every, every] = 2.0 * wanted
    short = np.maximum(wanted - distance, 0.0)
    unit = between / np.maximum(distance, 1e-12 * wanted)
    outside = np.maximum(-spots, 0.0) - np.maximum(spots - room, 0.0)
    pull = (short * unit).sum(axis=3) + np.moveaxis(outside, 2, 0)
    matrix = np.empty((starts, 2, count, 2, count))
    felt = unit * (short > 0.0)
    for row, column in ((0, 0), (0, 1), (1, 1)):
        touching = felt[row] * unit[column]
        matrix[:, row, :, column] = matrix[:, column, :, row] = -touching
        matrix[:, row, every, column, every] = matrix[:, column, every, row, every] = touching.sum(axis=2)
    for axis in (0, 1):
        matrix[:, axis, every, axis, every] += (outside[:, :, axis] != 0.0) + damping
    right = np.moveaxis(pull, 0, 1).reshape(starts, 2 * count, 1)
    step = np.linalg.solve(matrix.reshape(starts, 2 * count, 2 * count), right).reshape(starts, 2, count)
    worst = np.maximum(short.max(axis=(1, 2)), np.abs(outside).max(axis=(1, 2)))
    return np.moveaxis(step, 1, 2), worst
