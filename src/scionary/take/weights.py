"""Weights of draws: from their logarithms, how many draws they are worth, and draws picked by them."""

from __future__ import annotations

import numpy as np

from scionary.take.signs import Index
from scionary.units import Float

_GENTLER, _AT_MOST = 0.8, 80  # factor of the power, and how often


def normalised(log_weight: Float) -> Float:
    """Weights that add up to 1.

    Parameters
    ----------
    log_weight : ndarray, shape (draws,)
        Their logarithms, up to a constant.

    Returns
    -------
    ndarray of shape (draws,)
        The weights.
    """
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())


def effective_draws(weight: Float) -> float:
    """Give how many equally likely draws weighted ones are worth, 1 over the sum of squares.

    Parameters
    ----------
    weight : ndarray, shape (draws,)
        Weights that add up to 1.

    Returns
    -------
    float
        From 1 to the number of draws.
    """
    return 1.0 / float(np.sum(weight**2))


def tempered(log_weight: Float, least: float) -> Float:
    """Weights to the highest power at which so many draws stay in force.

    Parameters
    ----------
    log_weight : ndarray, shape (draws,)
        Logarithms of the weights.
    least : float
        Effective number wanted, less than the number of draws.

    Returns
    -------
    ndarray of shape (draws,)
        Weights that add up to 1.
    """
    power = 1.0
    for _ in range(_AT_MOST):
        weight = normalised(power * log_weight)
        if effective_draws(weight) >= least:
            break
        power *= _GENTLER
    return weight


def evenly(weight: Float, draws: int, generator: np.random.Generator) -> Index:
    """Pick draws by their weights, at even distances along the sum of the weights.

    Parameters
    ----------
    weight : ndarray, shape (some,)
        Weights that add up to 1.
    draws : int
        How many to pick.
    generator : Generator
        Source of chance.

    Returns
    -------
    ndarray of int, shape (draws,)
        Numbers of the picked draws, in ascending order.
    """
    spot = np.searchsorted(np.cumsum(weight), (np.arange(draws) + generator.random()) / draws)
    return np.minimum(spot, len(weight) - 1)
