"""What the takes of two arms say of the odds ratio between them, as a distribution on a grid.

The logarithm d of the odds ratio (second arm to first) has a normal prior around 0. A narrow one decides on looks: large differences
between ways to graft are rare, and a clear claim from few grafts is more often luck than truth. A wide one tells the size: it leaves the
range to what was counted.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.units import Float

PRIOR_SD = 0.5  # of d; project default, unsourced: 19 of 20 differences then lie below an odds ratio of 2.7
SIZE_PRIOR_SD = 2.5  # of d where a size is told: close to flat on the scale of rates; project default, unsourced
SPREAD_PRIOR_SD = 0.5  # half-normal, of the spread of d between trays; project default, unsourced
TRAY_PRIOR_SD = 1.0  # half-normal, of the spread of whole trays in log odds; project default, unsourced
LEVEL_PRIOR_SD = 1.5  # of the mean log odds of two arms; nearly flat on the scale of rates; project default, unsourced
_POINTS, _SMOOTHED_POINTS, _SPREADS = 401, 241, 12


@dataclass(frozen=True)
class Effect:
    """A distribution of the log odds ratio d on an even grid; weights sum to one.

    Attributes
    ----------
    log_odds, weight : ndarray, shape (points,)
        The grid and what it weighs.
    spread : float
        Median of the standard deviation between trays (of d, or of whole trays' log odds); NaN where none is in the model.
    """

    log_odds: Float
    weight: Float
    spread: float = float("nan")

    @property
    def mean(self) -> float:
        """Mean of d."""
        return float(self.weight @ self.log_odds)

    @property
    def sd(self) -> float:
        """Standard deviation of d."""
        return float(np.sqrt(self.weight @ (self.log_odds - self.mean) ** 2))

    def chance_above(self, value: float) -> float:
        """Give the chance that d is above a value.

        Parameters
        ----------
        value : float
            A log odds ratio.

        Returns
        -------
        float
            Chance, 0 to 1.
        """
        return float(1.0 - np.interp(value, self.log_odds, self._below()))

    def quantile(self, share: Any) -> Any:
        """Give quantiles of d.

        Parameters
        ----------
        share : array_like
            Chances, 0 to 1.

        Returns
        -------
        float or ndarray
            The values of d below which so much of the distribution lies.
        """
        return np.interp(share, self._below(), self.log_odds)

    def _below(self) -> Float:
        """Cumulative chance at the grid's points, half of a point's own weight counted."""
        below = np.cumsum(self.weight) - self.weight / 2.0
        return np.asarray((below - below[0]) / (below[-1] - below[0]))


def common_effect(grafts: Float, takes: Float, *, prior_sd: float = PRIOR_SD) -> Effect:
    """Weigh the odds ratio that two arms have in every tray alike.

    Parameters
    ----------
    grafts, takes : ndarray, shape (trays, 2)
        Known outcomes and takes by tray and arm.
    prior_sd : float
        Standard deviation of d before any record.

    Returns
    -------
    Effect
        Exact but for the grid.

    Notes
    -----
    Given how many of a tray took in all, the number in the second arm has Fisher's noncentral hypergeometric distribution with exp(d),
    whatever the tray's own rate: conditioning leaves the trays out. Cox & Snell (1989), Analysis of Binary Data, 2nd ed., section 2.2
    (citation from memory).
    """
    conditional = conditional_log_likelihood(grafts, takes)

    def _log_weight(log_odds: Float) -> Float:
        return np.asarray(conditional(log_odds).sum(axis=0) - 0.5 * (log_odds / prior_sd) ** 2)

    return _refined(_log_weight, 6.0 * prior_sd)


def varying_effect(grafts: Float, takes: Float, *, prior_sd: float = PRIOR_SD, spread_prior_sd: float = SPREAD_PRIOR_SD) -> Effect:
    """Weigh the mean odds ratio when the treatment may work differently from tray to tray.

    Parameters
    ----------
    grafts, takes : ndarray, shape (trays, 2)
        Known outcomes and takes by tray and arm.
    prior_sd : float
        Standard deviation of the mean d before any record.
    spread_prior_sd : float
        Scale of the half-normal prior of the standard deviation of d between trays.

    Returns
    -------
    Effect
        Of the mean over all trays that might be, with the spread's median.
    """
    reach = 5.0 * np.hypot(prior_sd, spread_prior_sd)
    grid = np.linspace(-reach, reach, _SMOOTHED_POINTS)
    by_tray = conditional_log_likelihood(grafts, takes)(grid)
    spreads = _half_normal(spread_prior_sd)
    table = np.array([_spread(by_tray, grid, sd).sum(axis=0) for sd in spreads]) - 0.5 * (grid / prior_sd) ** 2
    weight = np.exp(table - table.max())
    return Effect(grid, weight.sum(axis=0) / weight.sum(), _median(spreads, weight.sum(axis=1)))


def whole_tray_effect(first: tuple[Float, Float], second: tuple[Float, Float], *, prior_sd: float = PRIOR_SD) -> Effect:
    """Weigh the odds ratio between two arms that were each given to whole trays.

    Parameters
    ----------
    first, second : pair of ndarray
        Grafts and takes of each tray of that arm.
    prior_sd : float
        Standard deviation of d before any record.

    Returns
    -------
    Effect
        Between a middling tray of each arm, with the median of the spread of trays.
    """
    levels = [np.log((takes.sum() + 0.5) / (grafts.sum() - takes.sum() + 0.5)) for grafts, takes in (first, second)]
    grid = np.linspace(min(levels) - 4.0, max(levels) + 4.0, _SMOOTHED_POINTS)
    spreads = _half_normal(TRAY_PRIOR_SD)
    tables = []
    for grafts, takes in (first, second):
        by_tray = takes[:, None] * grid - grafts[:, None] * np.logaddexp(0.0, grid)
        tables.append(np.array([_spread(by_tray, grid, sd).sum(axis=0) for sd in spreads]))
    highest = (tables[0].max(axis=1) + tables[1].max(axis=1)).max()
    scaled = [np.exp(table - table.max(axis=1, keepdims=True)) for table in tables]
    share = np.exp(tables[0].max(axis=1) + tables[1].max(axis=1) - highest)
    middle, apart = np.add.outer(grid, grid) / 2.0, np.subtract.outer(grid, grid).T
    prior = np.exp(-0.5 * (apart / prior_sd) ** 2 - 0.5 * (middle / LEVEL_PRIOR_SD) ** 2)
    joint = np.einsum("s,si,sj->sij", share, *scaled, optimize=True) * prior
    step = np.subtract.outer(np.arange(_SMOOTHED_POINTS), np.arange(_SMOOTHED_POINTS)).T + _SMOOTHED_POINTS - 1
    weight = np.bincount(step.ravel(), weights=joint.sum(axis=0).ravel())
    log_odds = (np.arange(weight.size) - (_SMOOTHED_POINTS - 1)) * (grid[1] - grid[0])
    return Effect(log_odds, weight / weight.sum(), _median(spreads, joint.sum(axis=(1, 2))))


def share_difference(log_odds: Any, middle: float) -> Any:
    """Turn log odds ratios into differences of two rates whose mean is known.

    Parameters
    ----------
    log_odds : array_like
        Log odds ratios d.
    middle : float
        Mean of the two rates, more than 0 and less than 1.

    Returns
    -------
    float or ndarray
        Second rate minus first.

    Notes
    -----
    With T = tanh(d / 2), v = m (1 - m) for the mean m and s the difference, logit(m + s/2) - logit(m - s/2) = d is the quadratic
    T s² - 2 s + 4 v T = 0, whose root between -1 and 1 is the answer.
    """
    tangent, variance = np.tanh(np.asarray(log_odds, dtype=float) / 2.0), middle * (1.0 - middle)
    return 4.0 * variance * tangent / (1.0 + np.sqrt(1.0 - 4.0 * variance * tangent**2))


def conditional_log_likelihood(grafts: Float, takes: Float) -> Callable[[Float], Float]:
    """Make the function that gives each tray's log likelihood, given how many of the tray took in all.

    Parameters
    ----------
    grafts, takes : ndarray, shape (trays, 2)
        Known outcomes and takes by tray and arm; trays that tell nothing (one arm only, all or none took) are left out.

    Returns
    -------
    callable
        From d, shape (points,), to log likelihoods, shape (trays left, points).
    """
    from scipy.special import gammaln

    def _log_choose(total: Float, part: Float) -> Float:
        return np.asarray(gammaln(total + 1.0) - gammaln(part + 1.0) - gammaln(total - part + 1.0))

    useful = (grafts > 0).all(axis=1) & (takes.sum(axis=1) > 0) & (takes.sum(axis=1) < grafts.sum(axis=1))
    (first, second), took, seen = grafts[useful].T, takes[useful].sum(axis=1), takes[useful, 1]
    low = np.maximum(0.0, took - first)
    size = int((np.minimum(second, took) - low).max(initial=0.0)) + 1
    counts = low[:, None] + np.arange(size)
    possible = counts <= np.minimum(second, took)[:, None]
    inside = np.where(possible, counts, low[:, None])
    ways = _log_choose(second[:, None], inside) + _log_choose(first[:, None], took[:, None] - inside)
    ways = np.where(possible, ways, -np.inf)
    seen_ways = _log_choose(second, seen) + _log_choose(first, took - seen)

    def _log_likelihood(log_odds: Float) -> Float:
        terms = ways[:, None, :] + log_odds[None, :, None] * inside[:, None, :]
        highest = terms.max(axis=2)
        norm = highest + np.log(np.exp(terms - highest[:, :, None]).sum(axis=2))
        return np.asarray(seen_ways[:, None] + seen[:, None] * log_odds - norm)

    return _log_likelihood


def _refined(log_weight: Callable[[Float], Float], reach: float) -> Effect:
    """A coarse grid over all that is possible, then a fine one over what is left of it."""
    low, high = -reach, reach
    for points in (81, 81, _POINTS):
        grid = np.linspace(low, high, points)
        logs = log_weight(grid)
        weight = np.exp(logs - logs.max())
        effect = Effect(grid, weight / weight.sum())
        room = max(7.0 * effect.sd, 4.0 * (high - low) / points)
        low, high = effect.mean - room, effect.mean + room
    return effect


def _spread(by_tray: Float, grid: Float, sd: float) -> Float:
    """Log likelihoods by tray when each tray's own value is N(value, sd²): smoothed along the grid."""
    highest = by_tray.max(axis=1, keepdims=True)
    kernel = np.exp(-0.5 * (np.subtract.outer(grid, grid) / sd) ** 2)
    kernel /= kernel.sum(axis=0)
    smoothed = np.exp(by_tray - highest) @ kernel
    return np.asarray(np.log(np.maximum(smoothed, 1e-300)) + highest)


def _half_normal(scale: float) -> Float:
    """Equally likely values of a half-normal: the middles of equal shares of it."""
    from scipy.special import ndtri

    return np.asarray(scale * ndtri(0.5 + 0.5 * (np.arange(_SPREADS) + 0.5) / _SPREADS))


def _median(values: Float, weight: npt.ArrayLike) -> float:
    below = np.cumsum(weight) - np.asarray(weight) / 2.0
    return float(np.interp(0.5, below / np.sum(weight), values))
