"""From chances of a take to numbers of plants: how many to graft, how many will live.

Everything here works on draws: many equally likely values of one take probability, as `rate_draws` gives them. Uncertainty about
the rate and the luck of single grafts then both count. Draws may be multiplied by a later survival before they come here.
"""

from __future__ import annotations

import operator
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.take.intervals import check_share
from scionary.units import Float, check_range


def chance_of_at_least(probability_draws: Any, grafts: int, wanted: int) -> float:
    """Give the chance that `grafts` grafts yield at least `wanted` takes.

    Parameters
    ----------
    probability_draws : array_like, shape (draws,)
        Equally likely take probabilities, 0 to 1; a single known rate may be given as a number. NaN is refused.
    grafts : int
        Number of grafts, 0 or more.
    wanted : int
        Number of takes wanted, 0 or more.

    Returns
    -------
    float
        Mean over draws of P(Bin(grafts, p) >= wanted).

    Raises
    ------
    BadValue
        When an argument is out of its range.

    Notes
    -----
    P(Bin(n, p) >= k) is the regularised incomplete beta function I_p(k, n - k + 1); Abramowitz & Stegun (1964), eq. 26.5.24.
    """
    draws = _draws(probability_draws)
    return _upper_tail(draws, _count("grafts", grafts), _count("wanted", wanted))


def grafts_needed(probability_draws: Any, wanted: int, assurance: float = 0.9, at_most: int = 10_000) -> int | None:
    """Give the smallest number of grafts that yields `wanted` takes with the wanted assurance.

    Parameters
    ----------
    probability_draws : array_like, shape (draws,)
        Equally likely take probabilities, 0 to 1; a single known rate may be given as a number. NaN is refused.
    wanted : int
        Number of takes wanted, 0 or more.
    assurance : float
        Chance wanted, more than 0 and less than 1.
    at_most : int
        Largest number worth thinking of.

    Returns
    -------
    int or None
        Number of grafts; None when even `at_most` grafts do not reach the assurance.

    Raises
    ------
    BadValue
        When an argument is out of its range.
    """
    draws, takes, limit = _draws(probability_draws), _count("wanted", wanted), _count("at_most", at_most)
    target = check_share("assurance", assurance)
    if takes > limit:
        return None
    low, high = takes, min(2 * takes, limit)
    while _upper_tail(draws, high, takes) < target:
        if high == limit:
            return None
        low, high = high + 1, min(2 * high, limit)
    while low < high:
        middle = (low + high) // 2
        if _upper_tail(draws, middle, takes) >= target:
            high = middle
        else:
            low = middle + 1
    return low


def likely_takes(probability_draws: Any, grafts: int, confidence: float = 0.9) -> tuple[int, int, int]:
    """Give the number of takes to expect of `grafts` grafts: a low, a middle and a high one.

    Parameters
    ----------
    probability_draws : array_like, shape (draws,)
        Equally likely take probabilities, 0 to 1; a single known rate may be given as a number. NaN is refused.
    grafts : int
        Number of grafts, 0 or more.
    confidence : float
        Chance that the number lies from low to high, at least; more than 0 and less than 1.

    Returns
    -------
    low, middle, high : int
        Quantiles (1 - confidence) / 2, one half, and (1 + confidence) / 2 of the mixture of binomials.

    Raises
    ------
    BadValue
        When an argument is out of its range.
    """
    draws, total = _draws(probability_draws), _count("grafts", grafts)
    tail = (1.0 - check_share("confidence", confidence)) / 2.0
    return _quantile(draws, total, tail), _quantile(draws, total, 0.5), _quantile(draws, total, 1.0 - tail)


def _quantile(draws: Float, grafts: int, share: float) -> int:
    """Smallest count whose cumulative probability reaches `share` (rounding at the edge is forgiven)."""
    low, high = 0, grafts
    while low < high:
        middle = (low + high) // 2
        if 1.0 - _upper_tail(draws, grafts, middle + 1) >= share - 1e-12:
            high = middle
        else:
            low = middle + 1
    return low


def _upper_tail(draws: Float, grafts: int, wanted: int) -> float:
    from scipy.special import betainc

    if wanted <= 0:
        return 1.0
    if wanted > grafts:
        return 0.0
    return float(np.mean(betainc(wanted, grafts - wanted + 1, draws)))


def _draws(probability_draws: Any) -> Float:
    draws = np.ravel(check_range("probability_draws", probability_draws, 0.0, 1.0))
    if draws.size == 0 or np.any(np.isnan(draws)):
        raise BadValue("probability_draws", probability_draws, "one or more numbers from 0 to 1, none missing")
    return draws


def _count(name: str, value: int) -> int:
    try:
        number = operator.index(value)
    except TypeError as error:
        raise BadValue(name, value, "a whole number, 0 or more") from error
    if number < 0:
        raise BadValue(name, value, "a whole number, 0 or more")
    return number
