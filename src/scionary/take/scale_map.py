"""From a standard normal score to a half-normal standard deviation, so that the prior of all scales is a plain bell."""

from __future__ import annotations

import numpy as np

from scionary.units import Float


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
