"""How far the levels of each factor lie apart: weighted points over the scales of the take model.

Each scale is sigma = s F(theta) with theta standard normal before any record and F such that sigma is half-normal with scale s; a
scale of 0 lies at minus infinity and makes no trouble. A first part of the points is spread around the mode of theta. A smooth surface
through what was found there says where more are wanted, also in tails that bend away from the mode; all points are then weighed by
how far the posterior exceeds the mixture that they were drawn from (Owen & Zhou 2000, J. Am. Stat. Assoc. 95, 135-143).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from scionary.take.design import Design
from scionary.take.laplace import Conditional
from scionary.take.scale_map import scale_of_score
from scionary.take.scale_proposal import Cloud, Mixture, Proposal, Spreads
from scionary.take.scale_surface import ScaleSurface
from scionary.units import Float

Progress = Callable[[float, str], None]

_INFLATION = 1.15
_POOR_SHARE = 0.25  # effective share of the points below which more are drawn where the surface is high
_MORE_ROUNDS = 2
_GOOD_SHARE = 0.85  # effective share of the first points above which the others are spread like them
_LATER_ROUNDS = 3  # a fifth of the points each; every surface corrects where the one before was too high
_FEWEST_FOR_ROUNDS = 128  # points; with fewer all are spread around the mode
_CANDIDATES = 2048
_TEMPER = 0.7  # power of the surface from which points are picked: flatter, so that tails are seen
_DIFFERENCE = 0.05
_PROBE = 1.5  # standard deviations from the mode at which the density's fall is measured
_FEWEST_TO_FILL = 64
_FILLED = (2048, 8192, 16_384)  # points for each scale, at least and at most
_SIDES = (0.6, 3.0)  # how far a side may be narrower or wider than the curvature says
_RAKED_STEPS = 30
_RAKED_ENOUGH = 1e-3  # standard deviations that a raked mean may still be off
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
    variances : ndarray, shape (points, cells)
        Posterior variance of each cell's log odds at each point.
    effective_size : float
        Effective number of points, 1 to their number.
    rebuilt : int
        How often more points were drawn because too few counted.
    log_posterior : ndarray, shape (points,)
        Log posterior density of theta, up to a constant.
    source : Spreads or None
        What points between these can be drawn from; None when there are no factors.
    half_normal : ndarray, shape (factors,)
        Scales of the half-normal priors.
    """

    theta: Float
    scales: Float
    weights: Float
    modes: Float
    variances: npt.NDArray[np.float32]
    effective_size: float
    rebuilt: int
    log_posterior: Float
    source: Spreads | None

    half_normal: Float

    @cached_property
    def dense(self) -> tuple[Float, Float]:
        """Many other points with the weights that a surface through the log posterior gives them: scales, and weights that sum to one.

        Tails of the scales then do not hang on a few points.
        """
        theta, weights = self._filled
        return scale_of_score(theta, self.half_normal)[0], weights

    @cached_property
    def _filled(self) -> tuple[Float, Float]:
        if self.source is None or len(self.theta) < _FEWEST_TO_FILL:
            return self.theta, self.weights
        each, least, most = _FILLED
        theta = self.source.spread(min(max(each * self.theta.shape[1], least), most), np.random.default_rng(0))
        surface = ScaleSurface.through(self.theta, self.log_posterior, self.weights, self.half_normal)
        return theta, _normalised(surface.at(theta) - self.source.log_density(theta))

    def raked(self) -> ScalePoints:
        """Give the same points with weights that agree with `dense` in means, spreads and correlations of the scales.

        What the levels' effects are depends smoothly on the scales, so most of the noise of few points leaves their estimates too.

        Returns
        -------
        ScalePoints
            As they were where no such weights are found.
        """
        theta, weights = self._filled
        wanted, features = weights @ _features(theta, self.half_normal), _features(self.theta, self.half_normal)
        spread = np.sqrt(np.maximum(self.weights @ (features - wanted) ** 2, 1e-12))
        found = _raked(self.weights, (features - wanted) / spread)
        return self if found is None else replace(self, weights=found)


def spread_points(design: Design, points: int, rng: np.random.Generator, progress: Progress | None) -> ScalePoints:
    """Find the mode of the scales, and spread and weigh points.

    Parameters
    ----------
    design : Design
        The model.
    points : int
        Number of points, 1 or more; a power of two spreads best.
    rng : Generator
        For the choice of the points.
    progress : callable, optional
        Called with a share of the work, 0 to 1, and a word.

    Returns
    -------
    ScalePoints
        One point without weight to share when there are no factors.
    """
    if not design.factors:
        only = Conditional.at(design, np.zeros(0))
        none = np.zeros((1, 0))
        return ScalePoints(
            none, none, np.ones(1), only.mode[None], only.cell_variance()[None].astype(np.float32), 1.0, 0, np.zeros(1), None, np.zeros(0)
        )
    posterior = _ScalePosterior(design)
    first = proposal_at_mode(posterior)
    gathered = _Gathered(posterior, first, points, progress)
    later = points // 5 if points >= _FEWEST_FOR_ROUNDS else 0
    planned = [points - _LATER_ROUNDS * later, *[later] * (_LATER_ROUNDS if later else 0)]
    for number in planned:
        gathered.draw(number, rng)
    rebuilt = 0
    while gathered.effective_size < _POOR_SHARE * points and rebuilt < _MORE_ROUNDS:
        gathered.draw(max(points // 2, 1), rng)
        rebuilt += 1
    found = gathered.points(rebuilt)
    return found.raked() if gathered.followed_the_surface else found


def proposal_at_mode(posterior: _ScalePosterior) -> Proposal:
    """Take axes from the curvature at the mode, each side as wide as the fall of the density there says.

    Parameters
    ----------
    posterior : _ScalePosterior
        The posterior of the scales.

    Returns
    -------
    Proposal
        Widened a little.
    """
    centre = posterior.climb()
    values, vectors = np.linalg.eigh(posterior.curvature(centre))
    peak = posterior.height(centre)
    sides = []
    for side in (-1.0, 1.0):
        ends = centre + side * _PROBE * (vectors / np.sqrt(values)).T
        falls = np.array([peak - posterior.height(end) for end in ends])
        sides.append(np.clip(_PROBE / np.sqrt(2.0 * np.maximum(falls, 1e-3)), *_SIDES) * _INFLATION / np.sqrt(values))
    return Proposal(centre, vectors, *sides)


class _ScalePosterior:
    """Log posterior of theta, first order, with its gradient; remembers the last mode met and how it moves, to start from."""

    def __init__(self, design: Design) -> None:
        factors = len(design.factors)
        self.design = design
        self.met = (np.zeros(factors), np.zeros(design.latent), np.zeros((design.latent, factors)))

    def guess(self, theta: Float) -> Float:
        """Give where the mode of the standardised latent numbers may lie."""
        at, mode, leaning = self.met
        return np.asarray(mode + leaning @ np.clip(theta - at, -1.0, 1.0))

    def slope(self, theta: Float) -> tuple[float, Float]:
        """Give the negative log posterior and its gradient."""
        sigma, derivative = scale_of_score(theta, self.design.half_normal)
        found = Conditional.at(self.design, sigma, start=self.guess(theta), tolerance=1e-8)
        gradient, leaning = found.gradient()
        self.met = (theta.copy(), found.mode, leaning * derivative)
        return -(found.log_marginal() - 0.5 * float(theta @ theta)), -(gradient * derivative - theta)

    def height(self, theta: Float) -> float:
        """Give the log posterior."""
        found = Conditional.at(self.design, scale_of_score(theta, self.design.half_normal)[0], start=self.guess(theta), tolerance=1e-6)
        return found.log_marginal() - 0.5 * float(theta @ theta)

    def climb(self) -> Float:
        """Find the mode."""
        from scipy.optimize import minimize

        found = minimize(self.slope, np.zeros(len(self.design.factors)), jac=True, method="BFGS", options={"gtol": 1e-2, "maxiter": 60})
        return np.asarray(found.x)

    def curvature(self, centre: Float) -> Float:
        """Give the negative second derivative at the mode, by differences of the gradient; never flatter than noise allows."""
        _, _ = self.slope(centre)
        base = self.met
        rows = []
        for step in _DIFFERENCE * np.eye(len(centre)):
            ends = []
            for side in (1.0, -1.0):
                self.met = base
                ends.append(self.slope(centre + side * step)[1])
            rows.append((ends[0] - ends[1]) / (2 * _DIFFERENCE))
        self.met = base
        values, vectors = np.linalg.eigh((np.array(rows) + np.array(rows).T) / 2)
        return np.asarray((vectors * np.maximum(values, _LEAST_CURVATURE)) @ vectors.T)


class _Gathered:
    """Points drawn round by round: the first around the mode, the others where a surface through those before is high."""

    def __init__(self, posterior: _ScalePosterior, first: Proposal, planned: int, progress: Progress | None) -> None:
        self.design, self.first, self.planned, self.progress = posterior.design, first, planned, progress
        posterior.slope(first.centre)
        self.guess = posterior.guess
        self.theta = np.empty((0, len(first.centre)))
        self.modes = np.empty((0, self.design.latent))
        self.variances = np.empty((0, len(self.design.grafts)), dtype=np.float32)
        self.log_posterior = np.empty(0)
        self.rounds: list[tuple[int, Callable[[Float], Float]]] = []
        self.followed_the_surface = False

    @property
    def weights(self) -> Float:
        from scipy.special import logsumexp

        mixture = logsumexp([density(self.theta) + np.log(number) for number, density in self.rounds], axis=0)
        return _normalised(self.log_posterior - mixture)

    @property
    def effective_size(self) -> float:
        return float(1.0 / np.sum(self.weights**2))

    def draw(self, number: int, rng: np.random.Generator) -> None:
        """Draw a round of points and weigh them."""
        if not self.rounds or self.effective_size > _GOOD_SHARE * len(self.theta):
            theta = self.first.spread(number, rng)
            density: Callable[[Float], Float] = self.first.log_density
        else:
            theta, density = self._where_the_surface_is_high(number, rng)
        self.rounds.append((number, density))
        self._compute(theta)

    def _where_the_surface_is_high(self, number: int, rng: np.random.Generator) -> tuple[Float, Callable[[Float], Float]]:
        from scipy.special import logsumexp

        self.followed_the_surface = True
        source: Spreads = self.first
        if len(self.rounds) > 1:
            source = Mixture([self.first, Cloud.around(self.theta[self.rounds[0][0] :])], np.array([0.5, 0.5]))
        surface = ScaleSurface.through(self.theta, self.log_posterior, self.weights, self.design.half_normal)
        candidates = source.spread(max(_CANDIDATES, 4 * number), rng)
        heights = surface.at(candidates)
        top = float(heights.max())
        score = _TEMPER * (heights - top) - source.log_density(candidates)
        constant = float(logsumexp(score)) - np.log(len(candidates))
        picked = np.argsort(-(score + rng.gumbel(size=len(score))))[:number]
        return candidates[picked], lambda theta: _TEMPER * (surface.at(theta) - top) - constant

    def _compute(self, theta: Float) -> None:
        sigma, _ = scale_of_score(theta, self.design.half_normal)
        modes, log_posterior = np.empty((len(theta), self.design.latent)), np.empty(len(theta))
        variances = np.empty((len(theta), len(self.design.grafts)), dtype=np.float32)
        for i in range(len(theta)):
            found = Conditional.at(self.design, sigma[i], start=self.guess(theta[i]), tolerance=1e-6)
            modes[i] = found.mode
            variance = found.cell_variance()
            variances[i] = variance
            log_posterior[i] = found.log_marginal() + found.correction(variance) - 0.5 * theta[i] @ theta[i]
            if self.progress is not None and i % 16 == 0:
                done = (len(self.theta) + i) / self.planned
                self.progress(done / (1.0 + done / 9.0) if done <= 1.0 else 1.0 - 0.1 / done, "weighing how far levels lie apart")
        self.theta = np.concatenate([self.theta, theta])
        self.modes = np.concatenate([self.modes, modes])
        self.variances = np.concatenate([self.variances, variances])
        self.log_posterior = np.concatenate([self.log_posterior, log_posterior])

    def points(self, rebuilt: int) -> ScalePoints:
        scales, _ = scale_of_score(self.theta, self.design.half_normal)
        source: Spreads = self.first
        if self.followed_the_surface:
            source = Mixture([self.first, Cloud.around(self.theta[len(self.theta) // 2 :])], np.array([0.3, 0.7]))
        weights, size, prior = self.weights, self.effective_size, self.design.half_normal
        return ScalePoints(self.theta, scales, weights, self.modes, self.variances, size, rebuilt, self.log_posterior, source, prior)


def _features(theta: Float, half_normal: Float) -> Float:
    """Scores, scales, and products of two scores, shape (points, features)."""
    first, second = np.triu_indices(theta.shape[1])
    return np.column_stack([theta, scale_of_score(theta, half_normal)[0], theta[:, first] * theta[:, second]])


def _raked(weights: Float, apart: Float) -> Float | None:
    """Weights as near as can be to those given under which each column of `apart` has the mean 0; None when Newton's steps find none."""
    from scipy.special import logsumexp

    multiplier, known = np.zeros(apart.shape[1]), np.log(np.maximum(weights, 1e-300))
    value = float(logsumexp(known))
    for _ in range(_RAKED_STEPS):
        share = np.exp(known + apart @ multiplier - value)
        mean = share @ apart
        if np.max(np.abs(mean)) < _RAKED_ENOUGH:
            return np.asarray(share / share.sum())
        curvature = (apart * share[:, None]).T @ apart - np.outer(mean, mean) + 1e-9 * np.eye(len(mean))
        step, size = np.linalg.solve(curvature, mean), 1.0
        while size > 1e-3:
            trial = float(logsumexp(known + apart @ (multiplier - size * step)))
            if trial < value:
                break
            size /= 2.0
        else:
            return None
        multiplier, value = multiplier - size * step, trial
    return None


def _normalised(log_weight: Float) -> Float:
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())
