"""How a logger errs: noise of the moment, errors that last for hours, drift over days; what correlated hours are worth."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from scionary.units import Float

HOURS_S = 3 * 3600.0  # project default, unsourced: how long an error of hours lasts
DAYS_S = 2 * 86400.0  # project default, unsourced: how long a drift lasts
RATIOS = (0.1, 1.0, 3.0, 10.0, 30.0)  # variance of each lasting part over that of the moment's noise, tried in turn
DAY_RATIOS = (0.1, 1.0, 5.0, 20.0, 80.0)


@dataclass(frozen=True, eq=False)
class Noise:
    """What one sensor's hourly errors look like.

    Attributes
    ----------
    moment_sd, hours_sd, days_sd : float
        Standard deviation of noise of the hour, of errors that last hours, of drift over days.
    worth : float
        Independent hours that all hours together are worth for a constant offset.
    factor : ndarray, shape (hours, hours)
        Lower triangle of the covariance.
    """

    moment_sd: float
    hours_sd: float
    days_sd: float
    worth: float
    factor: Float

    @property
    def sd(self) -> float:
        """Standard deviation of an hour's error."""
        return float(np.sqrt(self.moment_sd**2 + self.hours_sd**2 + self.days_sd**2))

    def whitened(self, rows: Float) -> Float:
        """Free errors of their correlation.

        Parameters
        ----------
        rows : ndarray, shape (hours[, columns])
            Errors, or what they depend on.

        Returns
        -------
        ndarray
            The same shape, with independent errors of variance one.
        """
        from scipy.linalg import solve_triangular

        if not rows.shape[0]:
            return rows
        out: Float = solve_triangular(self.factor, rows, lower=True, check_finite=False)
        return out


def noise_of(hour_s: Float, moment_sd: float, hours_sd: float, days_sd: float) -> Noise:
    """Build the covariance of a sensor's hourly errors.

    Parameters
    ----------
    hour_s : ndarray
        Middle of each hour [s].
    moment_sd, hours_sd, days_sd : float
        Standard deviations.

    Returns
    -------
    Noise
        With its factor.
    """
    from scipy.linalg import solve_triangular

    lag = np.abs(hour_s[:, None] - hour_s[None, :])
    cov = hours_sd**2 * np.exp(-lag / HOURS_S) + days_sd**2 * np.exp(-lag / DAYS_S)
    cov[np.diag_indices_from(cov)] += moment_sd**2
    factor: Float = np.asarray(np.linalg.cholesky(cov)) if hour_s.size else np.zeros((0, 0))
    ones = solve_triangular(factor, np.ones(hour_s.size), lower=True, check_finite=False) if hour_s.size else np.zeros(0)
    total = moment_sd**2 + hours_sd**2 + days_sd**2
    return Noise(moment_sd, hours_sd, days_sd, float(ones @ ones) * total, factor)


def learn_noise(hour_s: Float, residuals: Float, design: Float, *, floor: float) -> Noise:
    """Learn what errors look like from what a fit left: each part's variance, averaged over the ratios that could be.

    The likelihood is the restricted one (Patterson & Thompson 1971, Biometrika 58:545): what the fit could have taken up
    does not count as evidence for small errors.

    Parameters
    ----------
    hour_s, residuals : ndarray, shape (hours,)
        Hours [s] and what the fit left.
    design : ndarray, shape (hours, columns)
        What the fit could take up.
    floor : float
        Least standard deviation of the moment's noise, a sensor's last digit.

    Returns
    -------
    Noise
        Of little data four times the floor in each part.
    """
    if residuals.size < 12 + design.shape[1]:
        return noise_of(hour_s, 4 * floor, 4 * floor, 4 * floor)
    lag = np.abs(hour_s[:, None] - hour_s[None, :])
    slow, slower = np.exp(-lag / HOURS_S), np.exp(-lag / DAYS_S)
    tried = []
    for hours, days in product(RATIOS, DAY_RATIOS):
        factor: Float = np.asarray(np.linalg.cholesky(hours * slow + days * slower + np.eye(residuals.size)))
        evidence, variance = _restricted(factor, residuals, design)
        tried.append((evidence, variance, variance * hours, variance * days))
    table = np.array(tried)
    weights = np.exp(table[:, 0] - table[:, 0].max())
    moment, lasting, drift = weights @ table[:, 1:] / weights.sum()
    return noise_of(hour_s, max(float(np.sqrt(moment)), floor), float(np.sqrt(lasting)), float(np.sqrt(drift)))


def _restricted(factor: Float, residuals: Float, design: Float) -> tuple[float, float]:
    """Restricted log likelihood with the scale at its best, and that scale."""
    from scipy.linalg import solve_triangular

    white = solve_triangular(factor, np.column_stack([design, residuals]), lower=True, check_finite=False)
    q, r = np.linalg.qr(white[:, :-1])
    rest = white[:, -1] - q @ (q.T @ white[:, -1])
    free = residuals.size - design.shape[1]
    variance = max(float(rest @ rest) / free, 1e-12)
    size = float(np.log(np.diag(factor)).sum() + np.log(np.abs(np.diag(r)) + 1e-12).sum())
    return -0.5 * free * float(np.log(variance)) - size, variance
