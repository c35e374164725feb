"""Room for one more round pot."""

import numpy as np
from scipy.spatial.distance import pdist

from scionary.plan.circles import Task, most_points, search_one_more

TRAY = Task(np.array([20.5, 10.5]) * 25.4, 114.3)
CORNERS = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]]) * TRAY.room


def test_what_is_found_keeps_the_distance_and_stays_inside():
    found = search_one_more(CORNERS, TRAY, np.random.default_rng(1)).points
    assert found is not None
    assert found.shape == (5, 2)
    assert pdist(found).min() >= 114.3 * (1 - 2e-9)
    assert np.all((found >= 0) & (found <= TRAY.room))


def test_nothing_is_found_where_nothing_is_but_how_wide_it_could_be():
    tray = Task(np.array([2.2, 2.2]), 1.3)
    found = search_one_more(np.array([[0.0, 0.0]]), tray, np.random.default_rng(1))
    assert found.points is None
    assert found.whole
    # two circles in a square stand on its diagonal: diameter = side / (1 + 1 / sqrt 2)
    assert abs(found.widest - 2.2 / (1 + np.sqrt(0.5))) < 1e-9


def test_clearance_is_kept_between_pots_and_not_to_the_sides():
    tray = Task(np.array([2.0, 2.0]), 1.1, 0.05)
    found = search_one_more(np.array([[0.0, 0.0]]), tray, np.random.default_rng(1))
    assert found.points is not None
    assert pdist(found.points).min() >= 1.15 * (1 - 2e-9)
    assert np.all((found.points >= 0) & (found.points <= 0.9))


def test_it_can_be_watched_and_stopped():
    heard = []

    def told(share, words):
        heard.append((share, words))
        return len(heard) < 2

    tray = Task(np.array([2.0, 2.0]), 1.018)  # a shade too wide for three
    found = search_one_more(np.array([[0.0, 0.0], [0.9, 0.9]]), tray, np.random.default_rng(1), tries=5, progress=told)
    assert found.points is None
    assert not found.whole
    assert 1.017 < found.widest < 1.018
    assert heard == [(0.0, "looking for a place for pot 3"), (0.2, "looking for a place for pot 3")]


def test_no_known_arrangement_exceeds_the_bound():
    for rows in range(1, 30):
        for columns in range(1, 30):
            triangle = np.array([columns - 0.5, (rows - 1) * np.sqrt(3) / 2])
            assert most_points(triangle, 1.0) >= rows * columns
    assert most_points(np.array([0.0, 0.0]), 1.0) == 1
    assert most_points(np.array([3.0, 0.0]), 1.0) == 4
