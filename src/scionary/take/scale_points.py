"""How far the levels of each factor lie apart: weighted points over the scales of the take model.

Each scale is sigma = s F(theta) with theta standard normal before any record and F such that sigma is half-normal with scale s; a
scale of 0 lies at minus infinity and makes no trouble. Points are spread around the mode of theta and weighed by how far the
posterior there exceeds what they were drawn from.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from scionary.take.design import Design
from scionary.take.laplace import Conditional
from scionary.units import Float

Progress = Callable[[float, str], None]

_INFLATION = 1.15
_TAIL_DEGREES = 12.0  # of Student's t, from which the points are drawn: the posterior's tail towards 0 is longer than a normal one
_POOR_SHARE = 0.25  # effective share of the points below which the proposal is made anew
_REBUILDS = 2
_DIFFERENCE = 0.05
_PROBE = 1.5  # standard deviations from the mode at which the density's fall is measured
_FEWEST_TO_FILL = 64
_FILLED = 8192
_SIDES = (0.6, 3.0)  # how far a side may be narrower or wider than the curvature says
_LEAST_CURVATURE = 0.3  # the prior alone has 1; less is noise of differencing


@dataclass(frozen=True)
class Proposal:
    """What points are drawn from: along each axis a two-sided spread, heavier in the tails than a normal one.

    Attributes
    ----------
    centre : ndarray, shape (factors,)
        Normal scores around which points lie.
    axes : ndarray, shape (factors, factors)
        Directions, a column each, of length 1.
    below, above : ndarray, shape (factors,)
        Widths along each axis on either side.
    """

    centre: Float
    axes: Float  # columns
    below: Float
    above: Float

    @classmethod
    def at_mode(cls, surface: _Surface) -> Proposal:
        """Take axes from the curvature at the mode, each side as wide as the fall of the density there says.

        Parameters
        ----------
        surface : _Surface
            The posterior of the scales.

        Returns
        -------
        Proposal
            Widened a little.
        """
        centre = surface.climb()
        values, vectors = np.linalg.eigh(surface.curvature(centre))
        peak = surface.height(centre)
        sides = []
        for side in (-1.0, 1.0):
            ends = centre + side * _PROBE * (vectors / np.sqrt(values)).T
            falls = np.array([peak - surface.height(end) for end in ends])
            sides.append(np.clip(_PROBE / np.sqrt(2.0 * np.maximum(falls, 1e-3)), *_SIDES) * _INFLATION / np.sqrt(values))
        return cls(centre, vectors, *sides)

    @classmethod
    def of_moments(cls, found: ScalePoints) -> Proposal:
        """Take centre and axes from points already weighed, their weights evened out until enough points count.

        Parameters
        ----------
        found : ScalePoints
            Weighted points.

        Returns
        -------
        Proposal
            As wide below as above.
        """
        weights = found.weights
        while 1.0 / np.sum(weights**2) < max(_POOR_SHARE * len(weights), 2.0 * found.theta.shape[1]) and weights.max() > 2.0 / len(weights):
            weights = weights**0.8 / np.sum(weights**0.8)
        centre = weights @ found.theta
        apart = found.theta - centre
        values, vectors = np.linalg.eigh((apart * weights[:, None]).T @ apart)
        width = _INFLATION * np.sqrt(np.maximum(values, 1e-4))
        return cls(centre, vectors, width, width)

    def scores(self, theta: Float) -> Float:
        """Give how far points lie from the centre along the axes, in widths.

        Parameters
        ----------
        theta : ndarray, shape (points, factors)
            Normal scores of the scales.

        Returns
        -------
        ndarray, same shape
            Standardised.
        """
        return (theta - self.centre) @ self.axes / np.sqrt(self.below * self.above)

    def spread(self, points: int, rng: np.random.Generator) -> tuple[Float, Float]:
        """Spread scrambled Sobol points.

        Parameters
        ----------
        points : int
            How many.
        rng : Generator
            For the scrambling.

        Returns
        -------
        theta : ndarray, shape (points, factors)
            Points.
        log_density : ndarray, shape (points,)
            Log of the density that they come from, up to a constant.
        """
        from scipy.special import ndtri
        from scipy.stats import chi2
        from scipy.stats.qmc import Sobol

        width = len(self.centre)
        uniform = Sobol(width + 1, scramble=True, rng=rng).random_base2(int(np.ceil(np.log2(max(points, 2)))))[:points]
        uniform = np.clip(uniform, 1e-9, 1 - 1e-9)
        side = uniform[:, :width]
        share = self.below / (self.below + self.above)
        low = ndtri(side / (2.0 * share))
        high = -ndtri((1.0 - side) / (2.0 * (1.0 - share)))
        score = np.where(side < share, low, high) * np.sqrt(_TAIL_DEGREES / chi2.ppf(uniform[:, width:], _TAIL_DEGREES))
        log_density = -0.5 * (_TAIL_DEGREES + width) * np.log1p(np.sum(score**2, axis=1) / _TAIL_DEGREES)
        return self.centre + (score * np.where(score < 0, self.below, self.above)) @ self.axes.T, log_density


@dataclass(frozen=True)
class ScalePoints:
    """Weighted points of the scales' posterior.

    Attributes
    ----------
    theta, scales : ndarray, shape (points, factors)
        Normal scores and standard deviations.
    weights : ndarray, shape (points,)
        Sum to one.
    modes : ndarray, shape (points, latent)
        Mode of the standardised latent numbers at each point.
    effective_size : float
        Effective number of points, 1 to their number.
    rebuilt : int
        How often the proposal was made anew because too few points counted.
    log_posterior : ndarray, shape (points,)
        Log posterior density of theta, up to a constant.
    proposal : Proposal or None
        What the points were drawn from; None when there are no factors.
    """

    theta: Float
    scales: Float
    weights: Float
    modes: Float
    effective_size: float
    rebuilt: int
    log_posterior: Float
    proposal: Proposal | None

    def dense(self, half_normal: Float) -> tuple[Float, Float]:
        """Fill the space between the points, so that tails of the scales do not hang on a few of them.

        Parameters
        ----------
        half_normal : ndarray, shape (factors,)
            Scales of the half-normal priors.

        Returns
        -------
        scales : ndarray, shape (many, factors)
            Standard deviations at points of the same proposal.
        weights : ndarray, shape (many,)
            From the log posterior, interpolated by cubic radial basis functions; they sum to one.
        """
        from scipy.interpolate import RBFInterpolator

        if self.proposal is None or len(self.theta) < _FEWEST_TO_FILL:
            return self.scales, self.weights
        theta, log_proposal = self.proposal.spread(_FILLED, np.random.default_rng(0))
        known = np.isfinite(self.log_posterior)
        surface = RBFInterpolator(self.proposal.scores(self.theta[known]), self.log_posterior[known], kernel="cubic", degree=1)
        log_weight = surface(self.proposal.scores(theta)) - log_proposal
        weights = np.exp(log_weight - log_weight.max())
        return scale_of_score(theta, half_normal)[0], weights / weights.sum()


def scale_of_score(theta: Float, half_normal: Float) -> tuple[Float, Float]:
    """Give the scale for a normal score, and its derivative.

    Parameters
    ----------
    theta : ndarray, shape (..., factors)
        Normal scores.
    half_normal : ndarray, shape (factors,)
        Scales of the half-normal priors.

    Returns
    -------
    sigma, derivative : ndarray
        Standard deviations, and d sigma / d theta, same shape as `theta`.
    """
    from scipy.special import log_ndtr, ndtri_exp

    upper = log_ndtr(-theta) - np.log(2.0)  # log of half the tail: keeps its digits at both ends
    z = -ndtri_exp(np.minimum(upper, -np.log(2.0)))
    sigma = half_normal * np.maximum(z, 0.0)
    log_slope = -0.5 * theta**2 + 0.5 * z**2 - np.log(2.0)
    return sigma, half_normal * np.exp(log_slope)


def spread_points(design: Design, points: int, rng: np.random.Generator, progress: Progress | None) -> ScalePoints:
    """Find the mode of the scales, and spread and weigh points around it.

    Parameters
    ----------
    design : Design
        The model.
    points : int
        Number of points, 1 or more; a power of two spreads best.
    rng : Generator
        For the scrambling of the points.
    progress : callable, optional
        Called with a share of the work, 0 to 1, and a word.

    Returns
    -------
    ScalePoints
        One point without weight to share when there are no factors.
    """
    if not design.factors:
        only = Conditional.at(design, np.zeros(0))
        return ScalePoints(np.zeros((1, 0)), np.zeros((1, 0)), np.ones(1), only.mode[None], 1.0, 0, np.zeros(1), None)
    surface = _Surface(design)
    proposal = Proposal.at_mode(surface)
    best = _weighed(surface, proposal, points, rng, progress, 0)
    for rebuilt in range(1, _REBUILDS + 1):
        if best.effective_size >= _POOR_SHARE * points:
            break
        found = _weighed(surface, Proposal.of_moments(best), points, rng, progress, rebuilt)
        best = max(best, found, key=lambda each: each.effective_size)
    return best


class _Surface:
    """Log posterior of theta, first order, with its gradient; remembers the best mode met, to start from."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.start = np.zeros(design.latent)

    def slope(self, theta: Float) -> tuple[float, Float]:
        sigma, derivative = scale_of_score(theta, self.design.half_normal)
        found = Conditional.at(self.design, sigma, start=self.start)
        gradient, _ = found.gradient()
        self.start = found.mode
        return -(found.log_marginal() - 0.5 * float(theta @ theta)), -(gradient * derivative - theta)

    def height(self, theta: Float) -> float:
        found = Conditional.at(self.design, scale_of_score(theta, self.design.half_normal)[0], start=self.start, tolerance=1e-6)
        return found.log_marginal() - 0.5 * float(theta @ theta)

    def climb(self) -> Float:
        from scipy.optimize import minimize

        found = minimize(self.slope, np.zeros(len(self.design.factors)), jac=True, method="BFGS", options={"gtol": 1e-2, "maxiter": 60})
        return np.asarray(found.x)

    def curvature(self, centre: Float) -> Float:
        """Negative second derivative at the mode, by differences of the gradient; never flatter than noise allows."""
        _, _ = self.slope(centre)
        base = self.start
        rows = []
        for step in _DIFFERENCE * np.eye(len(centre)):
            ends = []
            for side in (1.0, -1.0):
                self.start = base
                ends.append(self.slope(centre + side * step)[1])
            rows.append((ends[0] - ends[1]) / (2 * _DIFFERENCE))
        self.start = base
        values, vectors = np.linalg.eigh((np.array(rows) + np.array(rows).T) / 2)
        return np.asarray((vectors * np.maximum(values, _LEAST_CURVATURE)) @ vectors.T)


def _weighed(
    surface: _Surface, proposal: Proposal, points: int, rng: np.random.Generator, progress: Progress | None, rebuilt: int
) -> ScalePoints:
    design = surface.design
    theta, log_proposal = proposal.spread(points, rng)
    sigma, _ = scale_of_score(theta, design.half_normal)
    centre_sigma, derivative = scale_of_score(proposal.centre, design.half_normal)
    here = Conditional.at(design, centre_sigma, start=surface.start)
    leaning = here.gradient()[1] * derivative
    modes, log_posterior = np.empty((points, design.latent)), np.empty(points)
    for i in range(points):
        start = here.mode + leaning @ np.clip(theta[i] - proposal.centre, -1.0, 1.0)
        found = Conditional.at(design, sigma[i], start=start, tolerance=1e-6)
        modes[i] = found.mode
        log_posterior[i] = found.log_marginal() + found.correction(found.inverse()) - 0.5 * theta[i] @ theta[i]
        if progress is not None and i % 16 == 0:
            progress((rebuilt + i / points) / (rebuilt + 1), "weighing how far levels lie apart")
    log_weight = log_posterior - log_proposal
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    return ScalePoints(theta, sigma, weight, modes, float(1.0 / np.sum(weight**2)), rebuilt, log_posterior, proposal)
