"""Where points over the scales are drawn from, with the density that weighs them again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from scionary.units import Float

_DEGREES = 12.0  # of Student's t, from which points are drawn: the posterior's tail towards 0 is longer than a normal one
_KERNEL = 0.6  # width of each kernel of a cloud, in standard deviations of the cloud
_CHUNK = 512


class Spreads(Protocol):
    """Something that points can be drawn from."""

    def spread(self, points: int, rng: np.random.Generator) -> Float:
        """Draw points.

        Parameters
        ----------
        points : int
            How many.
        rng : Generator
            Where randomness comes from.

        Returns
        -------
        ndarray, shape (points, factors)
            Normal scores of the scales.
        """

    def log_density(self, theta: Float) -> Float:
        """Give the log density from which the points come.

        Parameters
        ----------
        theta : ndarray, shape (points, factors)
            Normal scores of the scales.

        Returns
        -------
        ndarray, shape (points,)
            Normalised.
        """


@dataclass(frozen=True)
class Proposal:
    """Points around one mode: along each axis a two-sided spread, heavier in the tails than a normal one.

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
    axes: Float
    below: Float
    above: Float

    def spread(self, points: int, rng: np.random.Generator) -> Float:
        """Spread scrambled Sobol points.

        Parameters
        ----------
        points : int
            How many.
        rng : Generator
            For the scrambling.

        Returns
        -------
        ndarray, shape (points, factors)
            Normal scores of the scales.
        """
        from scipy.special import ndtri
        from scipy.stats import chi2

        width = len(self.centre)
        uniform = _sobol(points, width + 1, rng)
        side = uniform[:, :width]
        share = self.below / (self.below + self.above)
        low = ndtri(side / (2.0 * share))
        high = -ndtri((1.0 - side) / (2.0 * (1.0 - share)))
        score = np.where(side < share, low, high) * np.sqrt(_DEGREES / chi2.ppf(uniform[:, width:], _DEGREES))
        return np.asarray(self.centre + (score * np.where(score < 0, self.below, self.above)) @ self.axes.T)

    def log_density(self, theta: Float) -> Float:
        """Give the log density from which the points come.

        Parameters
        ----------
        theta : ndarray, shape (points, factors)
            Normal scores of the scales.

        Returns
        -------
        ndarray, shape (points,)
            Normalised.
        """
        place = (theta - self.centre) @ self.axes
        score = place / np.where(place < 0, self.below, self.above)
        return _log_student(np.sum(score**2, axis=1), len(self.centre)) + float(np.sum(np.log(2.0 / (self.below + self.above))))


@dataclass(frozen=True)
class Cloud:
    """Points around points: a kernel at each, all of the same shape.

    Attributes
    ----------
    centres : ndarray, shape (kernels, factors)
        Where the kernels stand.
    root : ndarray, shape (factors, factors)
        Lower triangular root of a kernel's covariance.
    """

    centres: Float
    root: Float

    @classmethod
    def around(cls, centres: Float) -> Cloud:
        """Put a kernel at each point.

        Parameters
        ----------
        centres : ndarray, shape (kernels, factors)
            More points than factors.

        Returns
        -------
        Cloud
            With kernels that have a share of the points' own spread.
        """
        covariance = np.atleast_2d(np.cov(centres, rowvar=False)) + 1e-6 * np.eye(centres.shape[1])
        return cls(centres, np.asarray(_KERNEL * np.linalg.cholesky(covariance)))

    def spread(self, points: int, rng: np.random.Generator) -> Float:
        """Draw points: as many from each kernel, the rest from some of them.

        Parameters
        ----------
        points : int
            How many.
        rng : Generator
            Where randomness comes from.

        Returns
        -------
        ndarray, shape (points, factors)
            Normal scores of the scales.
        """
        rounds = [rng.permutation(len(self.centres)) for _ in range(-(-points // len(self.centres)))]
        chosen = self.centres[np.concatenate(rounds)[:points]]
        normal = rng.normal(size=chosen.shape) * np.sqrt(_DEGREES / rng.chisquare(_DEGREES, size=(points, 1)))
        return np.asarray(chosen + normal @ self.root.T)

    def log_density(self, theta: Float) -> Float:
        """Give the log density from which the points come.

        Parameters
        ----------
        theta : ndarray, shape (points, factors)
            Normal scores of the scales.

        Returns
        -------
        ndarray, shape (points,)
            Normalised.
        """
        from scipy.linalg import solve_triangular
        from scipy.special import logsumexp

        place, stands = (solve_triangular(self.root, each.T, lower=True).T for each in (theta, self.centres))
        square = np.sum(stands**2, axis=1)
        parts = []
        for i in range(0, len(place), _CHUNK):
            near = place[i : i + _CHUNK]
            apart = np.sum(near**2, axis=1)[:, None] + square - 2.0 * near @ stands.T
            parts.append(logsumexp(_log_student(np.maximum(apart, 0.0), theta.shape[1]), axis=1))
        return np.asarray(np.concatenate(parts) - np.log(len(stands))) - float(np.sum(np.log(np.diag(self.root))))


@dataclass(frozen=True)
class Mixture:
    """Several sources, each with its share.

    Attributes
    ----------
    sources : sequence of Spreads
        What is mixed.
    shares : ndarray, shape (sources,)
        Sum to one.
    """

    sources: Sequence[Spreads]
    shares: Float

    def spread(self, points: int, rng: np.random.Generator) -> Float:
        """Draw each source's share of the points.

        Parameters
        ----------
        points : int
            How many.
        rng : Generator
            Where randomness comes from.

        Returns
        -------
        ndarray, shape (points, factors)
            Normal scores of the scales.
        """
        numbers = np.diff(np.rint(points * np.cumsum([0.0, *self.shares])).astype(int))
        return np.concatenate([source.spread(int(number), rng) for source, number in zip(self.sources, numbers, strict=True)])

    def log_density(self, theta: Float) -> Float:
        """Give the log density of the mixture.

        Parameters
        ----------
        theta : ndarray, shape (points, factors)
            Normal scores of the scales.

        Returns
        -------
        ndarray, shape (points,)
            Normalised as its sources are.
        """
        from scipy.special import logsumexp

        return np.asarray(logsumexp([source.log_density(theta) for source in self.sources], axis=0, b=self.shares[:, None]))


def _sobol(points: int, width: int, rng: np.random.Generator) -> Float:
    from scipy.stats.qmc import Sobol

    uniform = Sobol(width, scramble=True, rng=rng).random_base2(int(np.ceil(np.log2(max(points, 2)))))[:points]
    return np.clip(uniform, 1e-9, 1 - 1e-9)


def _log_student(square: Float, width: int) -> Float:
    """Log density of Student's t in `width` dimensions, by the square of the distance in widths."""
    from math import lgamma

    constant = lgamma((_DEGREES + width) / 2) - lgamma(_DEGREES / 2) - 0.5 * width * np.log(_DEGREES * np.pi)
    return np.asarray(constant - 0.5 * (_DEGREES + width) * np.log1p(square / _DEGREES))
