"""A smooth surface between points, against the heights that it stands for."""

import numpy as np
import pytest

from scionary.take import TakePriors, aggregate_records
from scionary.take.design import Design
from scionary.take.laplace import Conditional
from scionary.take.scale_map import scale_of_score
from scionary.take.scale_surface import ScaleSurface
from take.simulated_records import simulated_records

TWO = Design.of(aggregate_records(simulated_records(80, {"cultivar": 8, "dome": 4}, seed=4)), TakePriors())


def exact(theta):
    """Corrected log posterior at each point."""
    found = [Conditional.at(TWO, scale) for scale in scale_of_score(theta, TWO.half_normal)[0]]
    return np.array([each.log_marginal() + each.correction(each.cell_variance()) for each in found]) - 0.5 * np.sum(theta**2, axis=1)


def test_surface_meets_its_points_and_foretells_others():
    rng = np.random.default_rng(3)
    theta, others = rng.normal(size=(150, 2)), rng.normal(size=(60, 2))
    surface = ScaleSurface.through(theta, exact(theta), np.full(150, 1 / 150), TWO.half_normal)
    assert surface.at(theta) == pytest.approx(exact(theta), abs=0.02)
    assert np.sqrt(np.mean((surface.at(others) - exact(others)) ** 2)) < 0.05


def test_surface_falls_as_the_prior_does_where_nothing_was_computed():
    theta = np.random.default_rng(4).normal(size=(60, 2))
    surface = ScaleSurface.through(theta, exact(theta), np.full(60, 1 / 60), TWO.half_normal)
    far = surface.at(np.array([[0.0, 0.0], [-6.0, -6.0], [-9.0, -9.0], [8.0, 0.0]]))
    assert np.all(far[1:] < far[0] - 15)
    assert far[2] - far[1] == pytest.approx(36 - 81, abs=1.0)  # a scale of nearly 0 is a scale of 0


def test_the_same_points_in_another_order_give_the_same_surface():
    rng = np.random.default_rng(5)
    theta, others, order = rng.normal(size=(80, 2)), rng.normal(size=(20, 2)), rng.permutation(80)
    one = ScaleSurface.through(theta, exact(theta), np.full(80, 1 / 80), TWO.half_normal)
    other = ScaleSurface.through(theta[order], exact(theta)[order], np.full(80, 1 / 80), TWO.half_normal)
    assert one.at(others) == pytest.approx(other.at(others), abs=1e-6)
