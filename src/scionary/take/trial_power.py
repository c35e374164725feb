"""What a trial can hope for: the chance that it tells two take rates apart, graft by graft or tray by tray."""

from __future__ import annotations

import math
import operator
from dataclasses import dataclass

import numpy as np

from scionary.errors import BadValue
from scionary.take.intervals import check_share
from scionary.take.sample_size import grafts_an_arm
from scionary.units import check_range, refuse_where

MOST_TRAYS = 500
_NODES = 41
_LEAST, _MOST = 1e-6, 1.0 - 1e-6


def chance_to_tell_apart(first: float, second: float, grafts: int, *, significance: float = 0.05, block_sd: float = 0.0) -> float:
    """Give the chance that a trial with so many grafts an arm tells two take rates apart.

    Parameters
    ----------
    first, second : float
        Take probabilities of the two arms, more than 0 and less than 1, in a middling block (tray, dome or day).
    grafts : int
        Grafts of each arm whose outcome will be known, 1 or more.
    significance : float
        Chance that it claims a difference where there is none, more than 0 and less than 1.
    block_sd : float
        Standard deviation between blocks in log odds, 0 to 5; every block then holds both arms.

    Returns
    -------
    float
        Chance, 0 to 1.

    Raises
    ------
    BadValue
        When an argument is out of its range, or the two rates are the same.

    Notes
    -----
    The power at which `grafts_an_arm` gives this number, found by halving.
    """
    wanted = _whole("grafts", grafts, 1)
    low, high = _LEAST, _MOST
    if grafts_an_arm(first, second, power=high, significance=significance, block_sd=block_sd) <= wanted:
        return high
    for _ in range(40):
        middle = (low + high) / 2.0
        enough = grafts_an_arm(first, second, power=middle, significance=significance, block_sd=block_sd) <= wanted
        low, high = (middle, high) if enough else (low, middle)
    return low


def chance_to_tell_trays_apart(
    first: float, second: float, trays: int, grafts_a_tray: int, *, significance: float = 0.05, tray_sd: float = 0.0
) -> float:
    """Give the chance that a trial of whole trays tells two take rates apart.

    Parameters
    ----------
    first, second : float
        Take probabilities of the two arms in a middling tray, more than 0 and less than 1.
    trays : int
        Trays of each arm, 1 or more.
    grafts_a_tray : int
        Grafts in each tray, 1 or more.
    significance : float
        Chance that it claims a difference where there is none, more than 0 and less than 1.
    tray_sd : float
        Standard deviation between trays in log odds, 0 to 5.

    Returns
    -------
    float
        Chance, 0 to 1; 0 with one tray an arm, from which nothing can be claimed.

    Raises
    ------
    BadValue
        When an argument is out of its range, or the two rates are the same.

    Notes
    -----
    Student's test of the trays' rates: with P the mean over trays of an arm's rate p, m grafts a tray and k trays an arm, one tray's rate
    has variance v = E[p (1 - p)] / m + Var[p], and the test's statistic is a noncentral t with 2 (k - 1) degrees of freedom and
    noncentrality |P2 - P1| / √(2 v / k), v the mean of both arms'. Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd
    ed., chapter 2 (citation from memory); rates of a tray are taken as normal.
    """
    count = _whole("trays", trays, 1)
    spread = _spread(first, second, grafts_a_tray, tray_sd)
    return spread.chance(count, check_share("significance", significance))


def trays_needed(
    first: float, second: float, grafts_a_tray: int, *, power: float = 0.8, significance: float = 0.05, tray_sd: float = 0.0
) -> int | None:
    """Give the trays that each of two arms needs when a tray gets one arm as a whole.

    Parameters
    ----------
    first, second, grafts_a_tray, significance, tray_sd
        As in `chance_to_tell_trays_apart`.
    power : float
        Chance that the trial tells them apart, more than 0 and less than 1.

    Returns
    -------
    int or None
        Trays an arm, 2 or more; None when more than 500 would not do.

    Raises
    ------
    BadValue
        When an argument is out of its range, or the two rates are the same.
    """
    spread = _spread(first, second, grafts_a_tray, tray_sd)
    wanted, limit = check_share("power", power), check_share("significance", significance)
    low, high = 1, MOST_TRAYS
    if spread.chance(high, limit) < wanted:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if spread.chance(middle, limit) >= wanted else (middle, high)
    return high


@dataclass(frozen=True)
class _Spread:
    """How far the arms' mean rates lie apart, and the variance of one tray's rate."""

    difference: float
    variance: float

    def chance(self, trays: int, significance: float) -> float:
        from scipy.special import nctdtr, ndtr, stdtrit

        if trays < 2:
            return 0.0
        freedom, shift = 2 * (trays - 1), self.difference / math.sqrt(2.0 * self.variance / trays)
        edge = float(stdtrit(freedom, 1.0 - significance / 2.0))
        below = float(nctdtr(freedom, shift, edge))
        if math.isnan(below):
            below = float(ndtr(edge - shift))
        return 1.0 - below


def _spread(first: float, second: float, grafts_a_tray: int, tray_sd: float) -> _Spread:
    from scipy.special import expit, logit

    rates = [check_share(name, value) for name, value in (("first", first), ("second", second))]
    if rates[0] == rates[1]:
        raise BadValue("second", second, f"a rate other than the first ({first!r}); no number of trays tells equal rates apart")
    size = _whole("grafts_a_tray", grafts_a_tray, 1)
    sd = float(check_range("tray_sd", tray_sd, 0.0, 5.0))
    refuse_where(math.isnan(sd), "tray_sd", np.asarray(sd), "0 to 5")
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    weights = weights / weights.sum()
    by_tray = [expit(logit(rate) + sd * nodes) for rate in rates]
    means = [float(weights @ rate) for rate in by_tray]
    variances = [
        float(weights @ (rate * (1.0 - rate))) / size + float(weights @ (rate - mean) ** 2)
        for rate, mean in zip(by_tray, means, strict=True)
    ]
    return _Spread(abs(means[1] - means[0]), sum(variances) / 2.0)


def _whole(name: str, value: int, least: int) -> int:
    try:
        number = operator.index(value)
    except TypeError as error:
        raise BadValue(name, value, f"a whole number, {least} or more") from error
    if number < least:
        raise BadValue(name, value, f"a whole number, {least} or more")
    return number
