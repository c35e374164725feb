"""A smooth surface through the log posterior of the scales, known at some points only.

What the scales do to the likelihood is mostly a sum of what each does alone and what each pair does together (the trees of one cultivar
and the cultivars can stand in for one another). The surface is a Gaussian process whose covariance is such a sum (Durrande, Ginsbourger &
Roustant 2012, Ann. Fac. Sci. Toulouse 21, 481-499), with a linear mean; the prior's part, which is known, is left out of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import comb

import numpy as np

from scionary.take.scale_map import scale_of_score
from scionary.units import Float

_LENGTH = 2.0  # standard deviations over which what one scale does may bend
_SHARES = (1.0, 0.3, 0.1)  # of the variance: one scale alone, pairs, threes; tried on the largest nursery of the oracle
_NOISES = (1e-6, 1e-5, 1e-4, 1e-3)
_CHUNK = 128


@dataclass(frozen=True)
class ScaleSurface:
    """The log posterior of theta between the points where it was computed.

    Attributes
    ----------
    half_normal : ndarray, shape (factors,)
        Scales of the half-normal priors.
    centre, spread : ndarray, shape (factors,)
        Of the coordinates, the square roots of the standard deviations.
    known : ndarray, shape (points, factors)
        Coordinates of the points.
    line : ndarray, shape (factors + 1,)
        The linear mean.
    pull : ndarray, shape (points,)
        What each point adds to it.
    """

    half_normal: Float
    centre: Float
    spread: Float
    known: Float
    line: Float
    pull: Float

    @classmethod
    def through(cls, theta: Float, log_posterior: Float, weights: Float, half_normal: Float) -> ScaleSurface:
        """Lay the surface through points.

        Parameters
        ----------
        theta : ndarray, shape (points, factors)
            Normal scores of the scales.
        log_posterior : ndarray, shape (points,)
            Log posterior density of theta there, up to a constant; finite.
        weights : ndarray, shape (points,)
            What each point weighs in centre and spread of the coordinates; they sum to one.
        half_normal : ndarray, shape (factors,)
            Scales of the half-normal priors.

        Returns
        -------
        ScaleSurface
            Its roughness is chosen by how well it foretells each point from the others.
        """
        from scipy.linalg import cho_factor, cho_solve

        root = _root(theta, half_normal)
        centre = weights @ root
        spread = np.sqrt(np.maximum(weights @ (root - centre) ** 2, 1e-12))
        known = (root - centre) / spread
        height = log_posterior + 0.5 * np.sum(theta**2, axis=1)
        basis = np.column_stack([np.ones(len(known)), known])
        best: tuple[float, Float, Float] | None = None
        covariance = _covariance(known, known)
        for noise in _NOISES:
            factor = cho_factor(covariance + noise * np.eye(len(known)), check_finite=False)
            inverse = cho_solve(factor, np.eye(len(known)), check_finite=False)
            ahead = inverse @ basis
            inner = np.linalg.pinv(basis.T @ ahead)
            precision = inverse - ahead @ inner @ ahead.T
            pull = precision @ height
            missed = float(np.mean((pull / np.maximum(np.diag(precision), 1e-12)) ** 2))
            if best is None or missed < best[0]:
                best = (missed, inner @ (ahead.T @ height), pull)
        assert best is not None
        return cls(half_normal, centre, spread, known, best[1], best[2])

    def at(self, theta: Float) -> Float:
        """Give the height of the surface.

        Parameters
        ----------
        theta : ndarray, shape (many, factors)
            Normal scores of the scales.

        Returns
        -------
        ndarray, shape (many,)
            Log posterior density, up to the constant of the points.
        """
        place = (_root(theta, self.half_normal) - self.centre) / self.spread
        parts = [_covariance(place[i : i + _CHUNK], self.known) @ self.pull for i in range(0, len(place), _CHUNK)]
        bent = np.concatenate(parts) if parts else np.zeros(0)
        return np.asarray(self.line[0] + place @ self.line[1:] + bent - 0.5 * np.sum(theta**2, axis=1))


def _root(theta: Float, half_normal: Float) -> Float:
    return np.sqrt(scale_of_score(theta, half_normal)[0])


def _covariance(one: Float, other: Float) -> Float:
    """Sum over single scales, pairs and threes of products of bell curves: the elementary symmetric sums of these."""
    factors = one.shape[1]
    sums = [np.ones((len(one), len(other)))] + [np.zeros((len(one), len(other))) for _ in _SHARES[:factors]]
    for left, right in zip(one.T, other.T, strict=True):
        bell = np.exp(-0.5 * ((left[:, None] - right) / _LENGTH) ** 2)
        for order in range(len(sums) - 1, 0, -1):
            sums[order] += bell * sums[order - 1]
    total = np.zeros((len(one), len(other)))
    for order, (share, symmetric) in enumerate(zip(_SHARES, sums[1:], strict=False), start=1):
        total += share / comb(factors, order) * symmetric
    return total
