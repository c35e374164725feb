"""Rows of round pots."""

import numpy as np
import pytest
from scipy.spatial.distance import pdist

from scionary.plan.lattices import best_rows, rows_hold, staggered_rows, straight_rows


@pytest.mark.parametrize("seed", range(20))
def test_rows_keep_the_distance_and_stay_inside(seed):
    rng = np.random.default_rng(seed)
    room, apart = rng.uniform(0, 12, size=2), rng.uniform(0.8, 2)
    for points in (straight_rows(room, apart), staggered_rows(room, apart), best_rows(room, apart)[0]):
        assert np.all((points >= 0) & (points <= room * (1 + 1e-9) + 1e-9))
        assert len(points) < 2 or pdist(points).min() >= apart * (1 - 1e-8)


@pytest.mark.parametrize("seed", range(20))
def test_counting_is_what_placing_gives(seed):
    rng = np.random.default_rng(seed)
    room, apart = rng.uniform(0, 12, size=2), rng.uniform(0.8, 2)
    assert rows_hold(room, apart) == len(best_rows(room, apart)[0])


def test_a_zigzag_is_among_the_staggered_rows():
    # three circles of 1 in two rows that lie 0.6 apart: 0.8 from one to the next
    assert staggered_rows(np.array([1.6, 0.6]), 1.0).tolist() == [[0.0, 0.0], [1.6, 0.0], [0.8, 0.6]]
    assert len(staggered_rows(np.array([1.59, 0.6]), 1.0)) == 2


def test_a_honeycomb_is_among_the_staggered_rows():
    room = np.array([7.0, 8 * np.sqrt(0.75)])
    assert len(staggered_rows(room, 1.0)) == 5 * 8 + 4 * 7
    assert best_rows(room, 1.0)[1]


def test_no_room_holds_none():
    assert rows_hold(np.array([-0.1, 3.0]), 1.0) == 0
    assert len(staggered_rows(np.array([3.0, 0.0]), 1.0)) == 0
