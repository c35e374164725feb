"""The widest round pots that stand."""

import numpy as np
import pytest
from scipy.spatial.distance import pdist

from scionary.plan.widening import widen, width_that_stands

SQUARE = np.ones(2)


def test_the_width_is_that_of_the_tightest_pair_or_side():
    points = np.array([[0.2, 0.5], [0.6, 0.5]])
    assert width_that_stands(points, SQUARE, 0.0) == pytest.approx(0.4)
    assert width_that_stands(points, SQUARE, 0.1) == pytest.approx(0.3)
    assert width_that_stands(np.array([[0.1, 0.5], [0.9, 0.5]]), SQUARE, 0.0) == pytest.approx(0.2)
    assert width_that_stands(np.array([[0.3, 0.5]]), SQUARE, 0.0) == pytest.approx(0.6)


@pytest.mark.parametrize("seed", range(5))
def test_what_is_widened_stands_and_is_no_narrower(seed):
    rng = np.random.default_rng(seed)
    sides, points = np.array([3.0, 2.0]), rng.uniform(0.2, 1.8, size=(9, 2))
    clearance = rng.uniform(0, 0.1)
    before = width_that_stands(points, sides, clearance)
    moved, width = widen(points, sides, clearance)
    assert width >= before
    assert width > 0.4
    assert pdist(moved).min() >= width + clearance - 1e-12
    assert np.all((moved >= width / 2 - 1e-12) & (moved <= sides - width / 2 + 1e-12))


def test_two_circles_end_on_the_diagonal():
    _, width = widen(np.array([[0.3, 0.4], [0.7, 0.5]]), SQUARE, 0.0)
    assert width == pytest.approx(1 / (1 + np.sqrt(0.5)), abs=1e-9)


def test_it_stops_when_it_is_wide_enough():
    start = np.array([[0.3, 0.4], [0.7, 0.5]])
    assert widen(start, SQUARE, 0.0, enough=0.4)[1] < 0.58


def test_places_that_fall_together_are_moved_apart_or_left():
    moved, width = widen(np.array([[0.5, 0.5], [0.5, 0.5]]), SQUARE, 0.0)
    assert moved.shape == (2, 2)
    assert width >= 0.0
