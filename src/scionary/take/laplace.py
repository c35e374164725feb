"""The take model with its scales held fixed: mode, curvature, and the two corrections that a plain normal approximation lacks.

Cells c: y_c ~ Bin(n_c, logistic(eta_c)), eta = A x, x = mean + D v, v standard normal, D the prior standard deviations. The mode of v
is found by damped Newton steps; H = I + D A' W A D there, with W = n p (1 - p). Third and fourth derivatives of the likelihood correct
the marginal likelihood (Tierney & Kadane 1986; the terms are those of Shun & McCullagh 1995, J. R. Stat. Soc. B 57, 749-760) and
bend the draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scionary.take.design import Design
from scionary.units import Float

_STEPS = 60
_HALVINGS = 30
_NOISE = 1e-14  # of the log density: what rounding alone does
_CROSS_CELLS = 1000  # above this the term over pairs of cells is left out; it moved scales by at most 0.002


@dataclass(frozen=True)
class Conditional:
    """Posterior of the latent numbers, given the scales.

    Attributes
    ----------
    design : Design
        The model.
    sd : ndarray, shape (latent,)
        Prior standard deviations D.
    mode : ndarray, shape (latent,)
        Mode of the standardised latent numbers v.
    factor : ndarray, shape (latent, latent)
        Upper Cholesky factor R of H = R' R.
    log_density : float
        Log likelihood plus log prior of v at the mode, binomial coefficients and (2 pi) left out.
    """

    design: Design
    sd: Float
    mode: Float
    factor: Float
    log_density: float

    @classmethod
    def at(cls, design: Design, scales: Float, *, start: Float | None = None, tolerance: float = 1e-10) -> Conditional:
        """Find the mode.

        Parameters
        ----------
        design : Design
            The model.
        scales : ndarray, shape (factors,)
            Standard deviation of each factor's levels, 0 allowed.
        start : ndarray, shape (latent,), optional
            Where to begin.
        tolerance : float
            Newton decrement, in log density, at which to stop.

        Returns
        -------
        Conditional
            Mode and curvature.

        Raises
        ------
        FloatingPointError
            When the steps do not settle, which finite counts and priors do not allow.
        """
        sd = design.prior_sd(scales)
        v = np.zeros(design.latent) if start is None else start
        value, eta = _value(design, sd, v)
        for _ in range(_STEPS):
            rate = _logistic(eta)
            weight = design.grafts * rate * (1.0 - rate)
            factor = _curvature(design, sd, weight)
            slope = sd * (design.transposed @ (design.takes - design.grafts * rate)) - v
            step = _solve(factor, slope)
            decrement = float(slope @ step)
            if decrement < tolerance + _NOISE * abs(value):
                v = v + step
                return cls(design, sd, v, factor, _value(design, sd, v)[0])
            share, noise = 1.0, _NOISE * abs(value)
            for _ in range(_HALVINGS):
                trial = v + share * step
                trial_value, trial_eta = _value(design, sd, trial)
                if trial_value >= value + 1e-4 * share * decrement - noise:
                    break
                share /= 2.0
            v, value, eta = trial, trial_value, trial_eta
        raise FloatingPointError("the mode of the take model was not found")

    @property
    def latent_mode(self) -> Float:
        """Mode of the latent numbers x."""
        return self.design.prior_mean + self.sd * self.mode

    def log_marginal(self) -> float:
        """Give the log marginal likelihood of the scales, first order (Laplace).

        Returns
        -------
        float
            Up to a constant of the data.
        """
        return self.log_density - float(np.sum(np.log(np.diag(self.factor))))

    def covariance(self) -> Float:
        """Give the covariance of v, shape (latent, latent): its diagonal and what stands above it; below stands nothing of use."""
        from scipy.linalg.lapack import dpotri

        return np.asarray(dpotri(self.factor, lower=0)[0])

    def cell_variance(self) -> Float:
        """Give the posterior variance of each cell's log odds, shape (cells,)."""
        return self._cell_variance(self.covariance())

    def _cell_variance(self, covariance: Float) -> Float:
        _, rows, columns, doubled = self.design.pairs
        return np.asarray(doubled @ (covariance[columns, rows] * self.sd[rows] * self.sd[columns]))

    def derivatives(self) -> tuple[Float, Float, Float]:
        """Give W, the third and the fourth derivative of each cell's log likelihood at the mode, shape (cells,) each."""
        rate = _logistic(self.design.matrix @ self.latent_mode)
        weight = self.design.grafts * rate * (1.0 - rate)
        return weight, -weight * (1.0 - 2.0 * rate), -weight * (1.0 - 6.0 * rate * (1.0 - rate))

    def gradient(self) -> tuple[Float, Float]:
        """Give how the first-order log marginal likelihood and the mode move with the scales.

        Returns
        -------
        gradient : ndarray, shape (factors,)
            Derivative of `log_marginal` by each factor's standard deviation.
        mode_gradient : ndarray, shape (latent, factors)
            Derivative of the mode of v.
        """
        design, covariance = self.design, self.covariance()
        weight, third, _ = self.derivatives()
        eta = design.matrix @ self.latent_mode
        residual = design.transposed @ (design.takes - design.grafts * _logistic(eta))
        member = (design.factor_of[:, None] == np.arange(len(design.factors))).astype(np.float64)
        direct = design.matrix @ (member * self.mode[:, None])
        pull = member * residual[:, None] - self.sd[:, None] * (design.transposed @ (weight[:, None] * direct))
        mode_gradient = _solve(self.factor, pull)
        moved = direct + design.matrix @ (self.sd[:, None] * mode_gradient)
        explicit = member.T @ (self.mode * residual)
        inner = self._shrinkage(covariance, weight, member)
        implicit = 0.5 * (third * self._cell_variance(covariance)) @ moved
        return explicit - inner + implicit, mode_gradient

    def _shrinkage(self, covariance: Float, weight: Float, member: Float) -> Float:
        """Half the trace of (covariance times the explicit derivative of H), by factor: sum over its levels of (M D Sigma)_ii."""
        matrix, rows, columns, _ = self.design.pairs
        entries = matrix @ weight
        products = entries * covariance[columns, rows]
        diagonal = np.bincount(rows, weights=products * self.sd[columns], minlength=self.design.latent)
        off = rows != columns
        diagonal += np.bincount(columns[off], weights=products[off] * self.sd[rows[off]], minlength=self.design.latent)
        return np.asarray(member.T @ diagonal)

    def correction(self, variance: Float) -> float:
        """Give the second-order correction of the log marginal likelihood.

        Parameters
        ----------
        variance : ndarray, shape (cells,)
            As `cell_variance` gives it.

        Returns
        -------
        float
            To be added to `log_marginal`.
        """
        _, third, fourth = self.derivatives()
        bend = self.sd * (self.design.transposed @ (third * variance))
        total = float(np.sum(fourth * variance**2)) / 8.0 + float(bend @ _solve(self.factor, bend)) / 8.0
        return total + (self._cross_term(third) if len(third) <= _CROSS_CELLS else 0.0)

    def _cross_term(self, third: Float) -> float:
        """One twelfth of the sum over pairs of cells of third derivatives and cubed covariance; single precision is ample."""
        from scipy.linalg import solve_triangular

        scaled = (self.design.matrix * self.sd).toarray().T
        half = solve_triangular(self.factor, scaled, trans="T", check_finite=False).astype(np.float32)
        covariance = half.T @ half
        narrow = third.astype(np.float32)
        return float(narrow @ (covariance * covariance * covariance) @ narrow) / 12.0

    def draw(self, normal: Float, variance: Float) -> Float:
        """Turn standard normal numbers into draws of the latent numbers, bent by the likelihood's third derivative.

        Parameters
        ----------
        normal : ndarray, shape (latent, draws)
            Independent standard normal numbers.
        variance : ndarray, shape (cells,)
            As `cell_variance` gives it.

        Returns
        -------
        ndarray, shape (latent, draws)
            Draws of x: x* + y + Sigma A'(l3 (A y)^2) / 6 + Sigma A'(l3 s^2) / 3.
        """
        from scipy.linalg import solve_triangular

        design = self.design
        _, third, _ = self.derivatives()
        y = solve_triangular(self.factor, normal, check_finite=False)
        spread = design.matrix @ (self.sd[:, None] * y)
        pull = third[:, None] * (spread**2 / 6.0 + variance[:, None] / 3.0)
        bent = _solve(self.factor, self.sd[:, None] * (design.transposed @ pull))
        return design.prior_mean[:, None] + self.sd[:, None] * (self.mode[:, None] + y + bent)


def _value(design: Design, sd: Float, v: Float) -> tuple[float, Float]:
    """Log density at v, and the cells' log odds."""
    eta = design.matrix @ (design.prior_mean + sd * v)
    away = np.where(eta > 0.0, design.grafts - design.takes, design.takes)  # the outcomes that eta speaks against: no cancellation
    size = np.abs(eta)
    likelihood = -float(away @ size) - float(design.grafts @ np.log1p(np.exp(-size)))
    return likelihood - 0.5 * float(v @ v), eta


def _curvature(design: Design, sd: Float, weight: Float) -> Float:
    """Upper Cholesky factor of I + D A' W A D."""
    from scipy.linalg.lapack import dpotrf

    matrix, rows, columns, _ = design.pairs
    dense = np.zeros((design.latent, design.latent), order="F")
    dense[columns, rows] = (matrix @ weight) * sd[rows] * sd[columns]
    dense.ravel(order="F")[:: design.latent + 1] += 1.0
    factor, failed = dpotrf(dense, lower=0, clean=1, overwrite_a=1)
    if failed:
        raise FloatingPointError("the curvature of the take model is not positive")
    return np.asarray(factor)


def _solve(factor: Float, right: Float) -> Float:
    from scipy.linalg import cho_solve

    return np.asarray(cho_solve((factor, False), right, check_finite=False))


def _logistic(eta: Float) -> Float:
    from scipy.special import expit

    return np.asarray(expit(eta))
