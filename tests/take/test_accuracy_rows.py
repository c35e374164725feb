"""Where the common level and the rows of accuracy are proposed."""

import numpy as np
import pytest

from scionary.take.accuracy_rows import Surroundings, marks_of
from scionary.take.seen_plants import SeenPlants
from scionary.take.signs import SignEvidence, score_signs
from scionary.take.weights import effective_draws, normalised


def marks_from(*evidence, plants=4):
    draws = np.random.default_rng(1).uniform(0.3, 0.7, (10, plants))
    return marks_of(SeenPlants.gathered(draws, evidence, np.full(plants, np.nan)))


def test_a_sign_has_one_mark_for_takes_and_one_for_failures():
    accuracy = score_signs([1, 1, 0, 0] * 20, [1, 0, 0, 1] * 20, draws=500, rng=1)
    (marks,) = marks_from(accuracy.evidence([1, 0, 1, np.nan]))
    assert marks.shape == (500, 2)
    assert np.abs(marks.mean(axis=0)).max() < 1e-9
    assert marks.std(axis=0) == pytest.approx([1.0, 1.0])
    logit = np.log(accuracy.sensitivity_draws / (1 - accuracy.sensitivity_draws))
    assert abs(np.linalg.lstsq(marks, logit - logit.mean(), rcond=None)[1][0]) < 0.05 * np.sum((logit - logit.mean()) ** 2)


def test_an_accuracy_known_for_sure_has_no_marks():
    one = np.log([[0.1, 0.9]])
    (marks,) = marks_from(SignEvidence(np.array([1, 0, 1, 1]), np.repeat(one, 5, axis=0), np.repeat(one[:, ::-1], 5, axis=0)))
    assert marks.shape == (5, 0)


def test_the_normal_density_is_read_off_a_quadratic_surface():
    rng = np.random.default_rng(2)
    sharp, middle = np.array([[4.0, 1.0], [1.0, 2.0]]), np.array([0.5, -0.3])
    points = rng.normal(size=(400, 2))
    ratio = -0.5 * np.einsum("pi,ij,pj->p", points - middle, sharp, points - middle)
    found = Surroundings.fitted(points, ratio)
    assert found.covariance == pytest.approx(np.linalg.inv(sharp + np.eye(2)), abs=1e-2)
    assert found.mean == pytest.approx(np.linalg.solve(sharp + np.eye(2), sharp @ middle), abs=1e-2)


def test_a_middle_far_from_all_points_is_reached_step_by_step():
    points = np.random.default_rng(2).normal(size=(400, 1))
    near = Surroundings.fitted(points, -50.0 * (points[:, 0] - 30.0) ** 2)
    assert points.mean() < near.mean[0] < 6.0


@pytest.mark.parametrize("middle", [0.0, 0.8])
def test_proposals_tell_how_much_oftener_than_by_the_prior_they_come(middle):
    """Weighted by what they say, they must give back the prior: level and marks standard normal, marks as in all rows."""
    rng = np.random.default_rng(3)
    marks = [rng.normal(size=(1500, 2)), rng.normal(size=(900, 1)), np.zeros((7, 0))]
    covariance = 0.25 * np.eye(4) + 0.15
    tried = Surroundings(np.full(4, middle), covariance).propose(marks, 15_000, rng)
    assert tried.marks[:, 0] == pytest.approx(tried.level)
    assert tried.marks[:, 3] == pytest.approx(marks[1][tried.rows[:, 1], 0])
    assert np.mean(np.exp(-tried.log_ratio)) == pytest.approx(1.0, abs=0.1)
    weight = normalised(-tried.log_ratio)
    error = 4.0 / np.sqrt(effective_draws(weight))
    expected = [0.0, *marks[0].mean(axis=0), *marks[1].mean(axis=0)]
    assert weight @ tried.marks == pytest.approx(expected, abs=error)
    assert weight @ tried.marks**2 == pytest.approx([1.0, *(marks[0] ** 2).mean(axis=0), *(marks[1] ** 2).mean(axis=0)], abs=2 * error)
    assert np.bincount(tried.rows[:, 2], weights=weight) == pytest.approx(np.full(7, 1 / 7), abs=error)


def test_moments_of_draws_move_the_proposals():
    rng = np.random.default_rng(4)
    draws = rng.normal(size=(4000, 2))
    found = Surroundings.moments(draws, 1.5 * draws[:, 0])
    assert found.mean == pytest.approx([1.5, 0.0], abs=0.15)
    assert np.diag(found.covariance) == pytest.approx([1.0, 1.0], abs=0.2)
