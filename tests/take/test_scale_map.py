"""From normal scores to scales, against the definition."""

import numpy as np
import pytest
from scipy.stats import halfnorm, norm

from scionary.take.scale_map import scale_of_score


def test_scale_for_a_score_is_what_the_map_says():
    theta = np.linspace(-4.0, 4.0, 33)[:, None]
    sigma, _ = scale_of_score(theta, np.array([0.8]))
    assert sigma == pytest.approx(0.8 * norm.ppf((1 + norm.cdf(theta)) / 2))


def test_normal_scores_make_half_normal_scales():
    theta = norm.ppf((np.arange(2000) + 0.5) / 2000)[:, None]
    sigma, _ = scale_of_score(theta, np.array([0.5]))
    assert np.sort(sigma[:, 0]) == pytest.approx(halfnorm.ppf((np.arange(2000) + 0.5) / 2000, scale=0.5))


def test_map_keeps_its_digits_far_out():
    theta = np.array([[-30.0], [-8.0], [8.0], [30.0]])
    sigma, slope = scale_of_score(theta, np.array([1.0]))
    assert np.all(np.isfinite([sigma, slope]))
    assert np.all(np.diff(sigma[:, 0], prepend=0.0) >= 0)
    assert sigma[1, 0] == pytest.approx(norm.cdf(-8.0) * np.sqrt(np.pi / 2), rel=1e-6)  # small p: sigma = s p √(π/2)
    assert sigma[2, 0] == pytest.approx(norm.isf(norm.sf(8.0) / 2), rel=1e-9)


def test_derivative_of_the_map_agrees_with_differences():
    theta, step, half = np.linspace(-4, 4, 17)[:, None], 1e-5, np.array([0.8])
    _, slope = scale_of_score(theta, half)
    assert slope == pytest.approx((scale_of_score(theta + step, half)[0] - scale_of_score(theta - step, half)[0]) / (2 * step), rel=1e-6)
