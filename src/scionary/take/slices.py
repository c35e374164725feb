"""Elliptical slice sampling: many chains at once, each step on an ellipse through the present point and a fresh normal one.

No step size is to be set, and every step moves. What is sampled has the density N(mean, factor factor') times exp(log_ratio).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from scionary.take.signs import Index
from scionary.units import Float

_SMALLEST = 60  # halvings of the angle, after which a chain stays where it is


def slice_step(
    points: Float, height: Float, log_ratio: Callable[[Float, Index], Float], mean: Float, factor: Float, rng: np.random.Generator
) -> tuple[Float, Float]:
    """Move each chain once.

    Parameters
    ----------
    points : ndarray, shape (chains, size)
        Present points.
    height : ndarray, shape (chains,)
        Their log ratios.
    log_ratio : callable
        Gives log ratios from points, shape (some, size), and the numbers of their chains, shape (some,).
    mean : ndarray, shape (size,)
        Middle of the normal density.
    factor : ndarray, shape (size, rank)
        Factor of its covariance.
    rng : Generator
        Source of chance.

    Returns
    -------
    points, height : ndarray
        New points and their log ratios.

    Notes
    -----
    Murray, Adams & MacKay (2010), Elliptical slice sampling, AISTATS 9, 541-548, figure 2.
    """
    count = len(points)
    other = rng.normal(size=(count, factor.shape[1])) @ factor.T
    level = height + np.log1p(-rng.random(count))
    angle = rng.uniform(0.0, 2.0 * np.pi, size=count)
    low, high = angle - 2.0 * np.pi, angle.copy()
    result, reached, active = points.copy(), height.copy(), np.arange(count)
    for _ in range(_SMALLEST):
        turn = angle[active, None]
        tried = mean + (points[active] - mean) * np.cos(turn) + other[active] * np.sin(turn)
        there = log_ratio(tried, active)
        inside = there > level[active]
        result[active[inside]], reached[active[inside]] = tried[inside], there[inside]
        active = active[~inside]
        if not active.size:
            break
        below = angle[active] < 0
        low[active[below]], high[active[~below]] = angle[active[below]], angle[active[~below]]
        angle[active] = rng.uniform(low[active], high[active])
    return result, reached


def effective_number(kept: Float) -> float:
    """Give how many independent draws the chains are worth for the mean of one number.

    Parameters
    ----------
    kept : ndarray, shape (steps, chains)
        The number along each chain; there are at least two chains.

    Returns
    -------
    float
        Variance of all, over that of the chains' means times the number of chains; at most the number of draws.
    """
    spread = float(np.var(kept.mean(axis=0), ddof=1))
    return float(min(kept.size, kept.shape[1] * np.var(kept) / spread)) if spread > 0 else float(kept.size)
