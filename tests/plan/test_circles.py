"""Room for one more round pot."""

import numpy as np
from scipy.spatial.distance import pdist

from scionary.plan.circles import most_points, search_one_more


def test_what_is_found_keeps_the_distance_and_stays_inside():
    room = np.array([16.0, 6.0]) * 25.4
    corners = np.array([[0.0, 0.0], [room[0], 0.0], [0.0, room[1]], room])
    found = search_one_more(corners, room, 114.3, np.random.default_rng(1))
    assert found.shape == (5, 2)
    assert pdist(found).min() >= 114.3 * (1 - 1e-12)
    assert np.all((found >= 0) & (found <= room))


def test_nothing_is_found_where_nothing_is():
    room = np.array([0.9, 0.9])
    assert search_one_more(np.array([[0.0, 0.0]]), room, 1.3, np.random.default_rng(1)) is None


def test_no_known_arrangement_exceeds_the_bound():
    for rows in range(1, 30):
        for columns in range(1, 30):
            triangle = np.array([columns - 0.5, (rows - 1) * np.sqrt(3) / 2])
            assert most_points(triangle, 1.0) >= rows * columns
    assert most_points(np.array([0.0, 0.0]), 1.0) == 1
    assert most_points(np.array([3.0, 0.0]), 1.0) == 4
