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
_LEAST_CURVATURE = 0.3  # the prior alone has 1; less is noise of differencing


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
    """

    theta: Float
    scales: Float
    weights: Float
    modes: Float
    effective_size: float
    rebuilt: int


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
        return ScalePoints(np.zeros((1, 0)), np.zeros((1, 0)), np.ones(1), only.mode[None], 1.0, 0)
    surface = _Surface(design)
    centre = surface.climb()
    covariance = np.linalg.inv(surface.curvature(centre)) * _INFLATION**2
    for rebuilt in range(_REBUILDS + 1):
        found = _weighed(surface, centre, covariance, points, rng, progress, rebuilt)
        if found.effective_size >= _POOR_SHARE * points or rebuilt == _REBUILDS:
            break
        centre, covariance = _moments(found)
    return found


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
    surface: _Surface,
    centre: Float,
    covariance: Float,
    points: int,
    rng: np.random.Generator,
    progress: Progress | None,
    rebuilt: int,
) -> ScalePoints:
    design = surface.design
    theta, log_proposal = _spread(centre, covariance, points, rng)
    sigma, _ = scale_of_score(theta, design.half_normal)
    here = Conditional.at(design, scale_of_score(centre, design.half_normal)[0], start=surface.start)
    derivative = scale_of_score(centre, design.half_normal)[1]
    leaning = here.gradient()[1] * derivative
    modes, log_posterior = np.empty((points, design.latent)), np.empty(points)
    for i in range(points):
        start = here.mode + leaning @ np.clip(theta[i] - centre, -1.0, 1.0)
        found = Conditional.at(design, sigma[i], start=start, tolerance=1e-6)
        modes[i] = found.mode
        log_posterior[i] = found.log_marginal() + found.correction(found.inverse()) - 0.5 * theta[i] @ theta[i]
        if progress is not None and i % 16 == 0:
            progress((rebuilt + i / points) / (rebuilt + 1), "weighing how far levels lie apart")
    log_weight = log_posterior - log_proposal
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    return ScalePoints(theta, sigma, weight, modes, float(1.0 / np.sum(weight**2)), rebuilt)


def _spread(centre: Float, covariance: Float, points: int, rng: np.random.Generator) -> tuple[Float, Float]:
    """Scrambled Sobol points of a multivariate t, and the log of its density up to a constant."""
    from scipy.special import ndtri
    from scipy.stats import chi2
    from scipy.stats.qmc import Sobol

    width = len(centre)
    uniform = Sobol(width + 1, scramble=True, rng=rng).random_base2(int(np.ceil(np.log2(max(points, 2)))))[:points]
    uniform = np.clip(uniform, 1e-9, 1 - 1e-9)
    normal = ndtri(uniform[:, :width])
    tail = np.sqrt(_TAIL_DEGREES / chi2.ppf(uniform[:, width], _TAIL_DEGREES))
    score = normal * tail[:, None]
    log_density = -0.5 * (_TAIL_DEGREES + width) * np.log1p(np.sum(score**2, axis=1) / _TAIL_DEGREES)
    return centre + score @ np.linalg.cholesky(covariance).T, log_density


def _moments(found: ScalePoints) -> tuple[Float, Float]:
    centre = found.weights @ found.theta
    apart = found.theta - centre
    covariance = (apart * found.weights[:, None]).T @ apart + 0.05 * np.eye(len(centre))
    return centre, covariance * _INFLATION**2
