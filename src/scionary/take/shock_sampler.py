"""Draws of log odds, taken as normal, and of signs' accuracy given what was seen, by importance sampling around modes.

Log odds of the groups are m + F z with z standard normal. The first of z, the common level, and the rows of the signs' accuracy move
all plants together: they are proposed first (`accuracy_rows`). Given them, the rest of z is nearly normal around its mode, with a
curvature that is nearly diagonal in a well-chosen basis; modes and curvatures at some points are regressed on the level and the rows.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields

import numpy as np

from scionary.take.accuracy_rows import Proposals, Surroundings, marks_of, quadratic, regressed
from scionary.take.seen_plants import Heard, Look, SeenPlants
from scionary.take.signs import Index
from scionary.take.weights import effective_draws, evenly, normalised, tempered
from scionary.units import Float

_VARIANCE = 0.999  # share of the draws' variance that the factor keeps
_NARROW, _COLUMNS = 400, 160  # up to so many columns an exact factor; else so many directions are tried at first
_POINTS, _ROUNDS, _STEPS = 400, 5, 12  # at which modes are sought, how often, and steps to a mode
_NEAR = 0.05  # what a step towards a mode may still promise in log probability
_GOOD = 0.25  # effective share of the points with which the surroundings are known well enough
_FLATTER = 0.8  # share of the curvature that proposals use: they are a little wider than the posterior
_BATCH, _BATCHES, _WANTED = 2000, 8, 600.0  # draws at a time, at most so many times, until so many are effective
_FAIR, _POOR = 0.15, 0.03  # effective share below which draws are proposed around the moments of those before, and those thrown away
_AT_ONCE = 500


def sample_shocks(seen: SeenPlants, draws: int, generator: np.random.Generator) -> tuple[Float, float]:
    """Draw the groups' chances given everything seen.

    Parameters
    ----------
    seen : SeenPlants
        Plants in groups.
    draws : int
        Number of draws.
    generator : Generator
        Source of chance.

    Returns
    -------
    rates : ndarray, shape (draws, groups)
        Equally likely sets of chances.
    effective : float
        Effective number of draws.

    Notes
    -----
    The factor F is from the draws' covariance; where there are very many columns by random projections (Halko, Martinsson & Tropp 2011,
    SIAM Review 53, 217-288). Modes and curvatures as in Laplace's method (Tierney & Kadane 1986, JASA 81, 82-86); weights make up for
    what it leaves, as far as draws reach.
    """
    marks = marks_of(seen)
    posterior = _Posterior.of(seen, generator)
    guide, surroundings = _explore(posterior, marks, generator)
    best, pool = _Pool(), _Pool()
    for _ in range(_BATCHES):
        tried = surroundings.propose(marks, _BATCH, generator)
        pool = pool.with_more(_Pool(tried.rows, tried.marks, *posterior.drawn(guide, tried, generator)))
        best = max(best, pool, key=_Pool.effective)
        if best.effective() >= _WANTED:
            break
        share = pool.effective() / len(pool.log_weight)
        if share < _FAIR:
            surroundings = Surroundings.moments(pool.marks, pool.log_weight)
        if share < _POOR:
            pool = _Pool()
    spot = evenly(normalised(best.log_weight), draws, generator)
    return seen.rates(posterior.odds(best.points[spot]), *seen.said(best.rows[spot])), best.effective()


@dataclass(frozen=True)
class _Pool:
    """Weighted draws."""

    rows: Index = field(default_factory=lambda: np.zeros((0, 0), dtype=np.int64))
    marks: Float = field(default_factory=lambda: np.zeros((0, 0)))
    points: Float = field(default_factory=lambda: np.zeros((0, 0)))
    log_weight: Float = field(default_factory=lambda: np.zeros(0))

    def with_more(self, other: _Pool) -> _Pool:
        """Both together; the weights of both have one constant."""
        if not len(self.log_weight):
            return other
        return _Pool(*(np.concatenate([getattr(each, item.name) for each in (self, other)]) for item in fields(self)))

    def effective(self) -> float:
        """Effective number of draws."""
        return effective_draws(normalised(self.log_weight)) if len(self.log_weight) else 0.0


@dataclass
class _Posterior:
    """Log posterior of z given rows, in a basis that may be turned; the first direction stays as it is."""

    seen: SeenPlants
    mean: Float
    factor: Float

    @classmethod
    def of(cls, seen: SeenPlants, generator: np.random.Generator) -> _Posterior:
        """Factor the draws' covariance and let the first direction be the one that moves all plants."""
        mean = seen.log_odds.mean(axis=0)
        factor = _short_factor(((seen.log_odds - mean) / np.sqrt(len(seen.log_odds) - 1)).astype(np.float32), generator)
        mean, factor = mean[seen.cell], factor[seen.cell]
        chance = 1.0 / (1.0 + np.exp(-mean))
        towards = (seen.times * chance * (1.0 - chance)) @ factor
        if not np.any(towards):
            towards[0] = 1.0
        basis = np.linalg.qr(np.column_stack([towards, np.eye(len(towards))]))[0]
        return cls(seen, mean, factor @ basis)

    def odds(self, points: Float) -> Float:
        """Log odds by group."""
        return np.asarray(self.mean + points @ self.factor.T)

    def look(self, points: Float, heard: Heard) -> Look:
        """Log likelihood, and chances before and after."""
        return self.seen.look(self.odds(points), heard)

    def curvature(self, look: Look) -> Float:
        """How much each group holds its log odds; none where signs make it flat or hollow."""
        after = np.where(np.isnan(self.seen.end), look.after * (1.0 - look.after), 0.0)
        return np.maximum(self.seen.times * (look.before * (1.0 - look.before) - after), 0.0)

    def slope(self, points: Float, look: Look) -> tuple[Float, Float]:
        """Gradient, and the diagonal of the curvature that the likelihood adds, in all directions but the first."""
        rest = self.factor[:, 1:]
        return (self.seen.times * (look.after - look.before)) @ rest - points[:, 1:], self.curvature(look) @ rest**2

    def turn(self, points: Float, curvature: Float) -> Float:
        """Turn the basis so that this curvature is diagonal in it, and the points with it."""
        rest = self.factor[:, 1:]
        vectors = np.linalg.eigh((rest * curvature[:, None]).T @ rest)[1]
        self.factor = np.column_stack([self.factor[:, :1], rest @ vectors])
        return np.column_stack([points[:, :1], points[:, 1:] @ vectors])

    def climb(self, points: Float, heard: Heard) -> tuple[Float, Float, Look]:
        """Go to the mode in all directions but the first, each point for itself; gives log posteriors there too."""
        points, look = points.copy(), self.look(points, heard)
        height = look.height - 0.5 * np.sum(points**2, axis=1)
        length = np.ones(len(points))
        for _ in range(_STEPS):
            gradient, bend = self.slope(points, look)
            step = gradient / (1.0 + bend)
            if np.quantile(np.sum(step * gradient, axis=1), 0.9) < _NEAR:
                break
            tried = np.column_stack([points[:, :1], points[:, 1:] + length[:, None] * step])
            there = self.look(tried, heard)
            reached = there.height - 0.5 * np.sum(tried**2, axis=1)
            up = reached >= height
            points[up], height[up] = tried[up], reached[up]
            for old, new in zip(look, there, strict=True):
                old[up] = new[up]
            length = np.where(up, np.minimum(1.0, 1.5 * length), 0.4 * length)
        return points, height, look

    def drawn(self, guide: _Guide, tried: Proposals, generator: np.random.Generator) -> tuple[Float, Float]:
        """Draw z around the modes that the guide gives for the proposals; gives logs of the weights too."""
        middle, bend = guide.at(tried.marks)
        step = generator.normal(size=bend.shape)
        sharp = 1.0 + _FLATTER * bend
        points = middle
        points[:, 1:] += step / np.sqrt(sharp)
        gain = 0.5 * np.sum(step**2 - np.log(sharp) - points[:, 1:] ** 2, axis=1) - tried.log_ratio
        heights = []
        for start in range(0, len(points), _AT_ONCE):
            part = slice(start, start + _AT_ONCE)
            heights.append(self.look(points[part], self.seen.heard(*self.seen.said(tried.rows[part]))).height)
        return points, np.concatenate(heights) + gain


@dataclass(frozen=True)
class _Guide:
    """Modes and curvatures regressed on the level and the marks of rows."""

    around: Surroundings
    modes: Float
    bends: Float

    @classmethod
    def learned(cls, around: Surroundings, marks: Float, weight: Float, modes: Float, bends: Float) -> _Guide:
        """Learn from points at which both were found."""
        columns = quadratic(around.scaled(marks))
        return cls(around, regressed(columns, weight, modes), regressed(columns, weight, np.log1p(bends)))

    def at(self, marks: Float) -> tuple[Float, Float]:
        """Mode and curvature; the level is the first mark itself."""
        columns = quadratic(np.clip(self.around.scaled(marks), -4.0, 4.0))
        modes = columns @ self.modes
        modes[:, 0] = marks[:, 0]
        return modes, np.expm1(np.maximum(columns @ self.bends, 0.0))


def _explore(posterior: _Posterior, marks: list[Float], generator: np.random.Generator) -> tuple[_Guide, Surroundings]:
    """Find where level and rows lie, by evidence (Laplace's method) at points that come nearer from round to round."""
    seen, around = posterior.seen, Surroundings.prior(marks)
    tried = around.propose(marks, _POINTS, generator)
    points = _centred(posterior, tried)
    kept_marks, kept_evidence = np.zeros((0, tried.marks.shape[1])), np.zeros(0)
    for number in range(_ROUNDS):
        points, height, look = posterior.climb(points, seen.heard(*seen.said(tried.rows)))
        bend = posterior.slope(points, look)[1]
        evidence = height + 0.5 * tried.level**2 - 0.5 * np.sum(np.log1p(bend), axis=1)
        kept_marks, kept_evidence = np.vstack([kept_marks, tried.marks]), np.concatenate([kept_evidence, evidence])
        around = Surroundings.fitted(kept_marks, kept_evidence)
        weight = tempered(evidence - tried.log_ratio, _GOOD * _POINTS)
        points = posterior.turn(points, weight @ posterior.curvature(look))
        guide = _Guide.learned(around, tried.marks, weight, points, posterior.slope(points, look)[1])
        if number and effective_draws(normalised(evidence - tried.log_ratio)) >= _GOOD * _POINTS:
            break
        tried = around.propose(marks, _POINTS, generator)
        points = guide.at(tried.marks)[0]
    return guide, around


def _centred(posterior: _Posterior, tried: Proposals) -> Float:
    """Points with the levels that are tried, at the mode of usual rows in all other directions; turns the basis."""
    seen = posterior.seen
    heard = seen.heard(*(said.mean(axis=0, keepdims=True) for said in seen.said(tried.rows)))
    point = np.zeros((1, posterior.factor.shape[1]))
    for _ in range(2):
        point = posterior.turn(point, posterior.curvature(posterior.look(point, heard))[0])
        point = posterior.climb(point, heard)[0]
    points = np.repeat(point, len(tried.level), axis=0)
    points[:, 0] = tried.level
    return points


def _short_factor(around: Float, generator: np.random.Generator) -> Float:
    """Factor of around' around, with as few columns as keep nearly all variance."""
    whole = float(np.sum(around**2, dtype=np.float64))
    narrow = around
    size = _COLUMNS if min(around.shape) > _NARROW else min(around.shape)
    while size < min(around.shape):
        spread = around @ generator.normal(size=(around.shape[1], size)).astype(around.dtype)
        narrow = np.linalg.qr(spread)[0].T @ around
        if np.sum(narrow**2) >= _VARIANCE * whole:
            break
        narrow, size = around, 2 * size
    if len(narrow) < narrow.shape[1]:
        values, vectors = np.linalg.eigh((narrow @ narrow.T).astype(np.float64))
        factor = narrow.T @ vectors
    else:
        values, vectors = np.linalg.eigh((narrow.T @ narrow).astype(np.float64))
        factor = vectors * np.sqrt(np.maximum(values, 0.0))
    needed = int(np.searchsorted(np.cumsum(values[::-1]), _VARIANCE * whole)) + 1
    return np.asarray(factor[:, ::-1][:, :needed], dtype=np.float64)
