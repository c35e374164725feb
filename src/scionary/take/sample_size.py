"""How many grafts an arm a trial needs before it can tell two take rates apart."""

from __future__ import annotations

import math

import numpy as np

from scionary.errors import BadValue
from scionary.take.intervals import check_share
from scionary.units import check_range, refuse_where

_NODES = 41


def arms_needed(
    first: float, second: float, *, power: float = 0.8, significance: float = 0.05, block_sd: float = 0.0, continuity: bool = False
) -> int:
    """Give the grafts that each of two arms needs, so that the trial would tell these two take rates apart.

    Parameters
    ----------
    first, second : float
        Take probabilities of the two arms, more than 0 and less than 1, in a middling block (tray, dome or day).
    power : float
        Chance that the trial tells them apart, more than 0 and less than 1.
    significance : float
        Chance that it claims a difference where there is none (both sides together), more than 0 and less than 1.
    block_sd : float
        Standard deviation between blocks in log odds, 0 to 5; every block then holds both arms and the analysis is stratified by block.
    continuity : bool
        True for an analysis with a continuity correction (or Fisher's exact test), which needs more.

    Returns
    -------
    int
        Grafts an arm, rounded up.

    Raises
    ------
    BadValue
        When an argument is out of its range, or the two rates are the same.

    Notes
    -----
    See `grafts_an_arm`. Grafts whose outcome will never be known come on top.
    """
    return math.ceil(grafts_an_arm(first, second, power=power, significance=significance, block_sd=block_sd, continuity=continuity) - 1e-9)


def grafts_an_arm(
    first: float, second: float, *, power: float = 0.8, significance: float = 0.05, block_sd: float = 0.0, continuity: bool = False
) -> float:
    """Give what `arms_needed` gives, before it is rounded up.

    Parameters
    ----------
    first, second, power, significance, block_sd, continuity
        As in `arms_needed`.

    Returns
    -------
    float
        Grafts an arm.

    Raises
    ------
    BadValue
        When an argument is out of its range, or the two rates are the same.

    Notes
    -----
    With E the mean over blocks, p and q the arms' rates in a block (a common odds ratio, block shifts N(0, block_sd²) in log odds) and
    m = (p + q) / 2, the Cochran-Mantel-Haenszel statistic has mean n E[q - p] / 2, variance n E[m (1 - m)] / 2 under no difference and
    n E[p (1 - p) + q (1 - q)] / 4 under the difference, so that

        n = (z_a √(2 E[m (1 - m)]) + z_b √(E[p (1 - p) + q (1 - q)]))² / E[q - p]².

    Without blocks this is the usual uncorrected normal formula. The corrected one is n/4 (1 + √(1 + 4 / (n |E[q - p]|)))²:
    Fleiss, Levin & Paik, Statistical Methods for Rates and Proportions, 3rd ed., section 4.2 (citation from memory). The form with
    blocks is derived here: large samples, blocks as they fall, equal arms in each.
    """
    from scipy.special import expit, logit, ndtri

    rates = [check_share(name, value) for name, value in (("first", first), ("second", second))]
    if rates[0] == rates[1]:
        raise BadValue("second", second, f"a rate other than the first ({first!r}); no number of grafts tells equal rates apart")
    z_claim = -float(ndtri(check_share("significance", significance) / 2.0))
    z_power = float(ndtri(check_share("power", power)))
    sd = float(check_range("block_sd", block_sd, 0.0, 5.0))
    refuse_where(math.isnan(sd), "block_sd", np.asarray(sd), "0 to 5")
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    weights = weights / weights.sum()
    low, high = (expit(logit(rate) + sd * nodes) for rate in rates)
    middle, difference = (low + high) / 2.0, abs(float(weights @ (high - low)))
    without = math.sqrt(2.0 * float(weights @ (middle * (1.0 - middle))))
    with_it = math.sqrt(float(weights @ (low * (1.0 - low) + high * (1.0 - high))))
    number = ((z_claim * without + z_power * with_it) / difference) ** 2
    return number / 4.0 * (1.0 + math.sqrt(1.0 + 4.0 / (number * difference))) ** 2 if continuity else number
