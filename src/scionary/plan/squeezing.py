"""One step that squeezes overlaps out of many arrangements at once."""

from __future__ import annotations

import numpy as np

from scionary.units import Float


def least_damping(round_: int, least: float) -> float:
    """Give the damping of a round: half at first, a tenth less each time.

    Parameters
    ----------
    round_ : int
        Number of the round, from 0.
    least : float
        Never less than this.

    Returns
    -------
    float
        What is added to the diagonal.
    """
    return max(0.5 * 0.9**round_, least)


def squeeze_step(short: Float, unit: Float, outside: Float, damping: float) -> Float:
    """Move all pots of all arrangements by one damped Gauss-Newton step (Levenberg-Marquardt).

    Parameters
    ----------
    short : ndarray of shape (arrangements, n, n)
        What each pair lacks of the room between, 0 or more, 0 for a pot and itself.
    unit : ndarray of shape (2, arrangements, n, n)
        Direction in which the first of a pair moves to gain room.
    outside : ndarray of shape (arrangements, n, 2)
        How far each pot must move to be inside, along and across; 0 where it is.
    damping : float
        Added to the diagonal, more than 0.

    Returns
    -------
    ndarray of shape (arrangements, n, 2)
        The moves.
    """
    arrangements, count, _ = short.shape
    every = np.arange(count)
    pull = (short * unit).sum(axis=3) + np.moveaxis(outside, 2, 0)
    matrix = np.empty((arrangements, 2, count, 2, count))
    felt = unit * (short > 0.0)
    for row, column in ((0, 0), (0, 1), (1, 1)):
        touching = felt[row] * unit[column]
        matrix[:, row, :, column] = matrix[:, column, :, row] = -touching
        matrix[:, row, every, column, every] = matrix[:, column, every, row, every] = touching.sum(axis=2)
    for axis in (0, 1):
        matrix[:, axis, every, axis, every] += (outside[:, :, axis] != 0.0) + damping
    right = np.moveaxis(pull, 0, 1).reshape(arrangements, 2 * count, 1)
    step = np.linalg.solve(matrix.reshape(arrangements, 2 * count, 2 * count), right).reshape(arrangements, 2, count)
    return np.moveaxis(step, 1, 2)
