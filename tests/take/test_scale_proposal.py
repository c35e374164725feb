"""What points over the scales are drawn from, against its own density."""

import numpy as np
import pytest

from scionary.take.scale_proposal import Cloud, Mixture, Proposal

TWO_SIDED = Proposal(np.array([0.5]), np.eye(1), np.array([1.5]), np.array([0.6]))
CLOUD = Cloud.around(np.random.default_rng(1).normal(size=(40, 1)))


@pytest.mark.parametrize("source", [TWO_SIDED, CLOUD, Mixture([TWO_SIDED, CLOUD], np.array([0.3, 0.7]))], ids=["side", "cloud", "both"])
def test_density_of_what_points_come_from_is_theirs(source):
    grid = np.linspace(-40.0, 40.0, 40_001)[:, None]
    density = np.exp(source.log_density(grid))
    assert np.trapezoid(density, grid[:, 0]) == pytest.approx(1.0, abs=1e-3)
    theta = source.spread(20_000, np.random.default_rng(2))[:, 0]
    for end in (-1.5, 0.0, 0.5, 1.2):
        below = np.trapezoid(np.where(grid[:, 0] <= end, density, 0.0), grid[:, 0])
        assert np.mean(theta <= end) == pytest.approx(below, abs=0.012)
