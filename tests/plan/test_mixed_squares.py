"""Squares of several sizes in a rectangle."""

from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.plan.mixed_squares import place_squares


def assert_lies(found, sides, sizes):
    """Every square inside, no two overlapping, one pair at a time."""
    squares = [(x, y, sizes[kind]) for kind, (x, y) in zip(found.kinds, found.corners.tolist(), strict=True)]
    for x, y, size in squares:
        assert min(x, y) >= -1e-6
        assert x + size <= sides[0] + 1e-6
        assert y + size <= sides[1] + 1e-6
    for (x, y, size), (u, v, other) in combinations(squares, 2):
        assert max(u - x - size, x - u - other, v - y - size, y - v - other) >= -1e-6


@settings(max_examples=40)
@given(
    sizes=st.lists(st.integers(2, 9), min_size=2, max_size=3, unique=True),
    counts=st.lists(st.integers(1, 5), min_size=3, max_size=3),
    length=st.integers(6, 24),
    width=st.integers(5, 14),
)
def test_squares_never_overlap_nor_leave_the_room(sizes, counts, length, width):
    sides = np.array([length, width], dtype=float)
    found = place_squares(sides, sizes, counts[: len(sizes)])
    assert_lies(found, sides, sizes)
    assert all(np.count_nonzero(found.kinds == kind) <= count for kind, count in enumerate(counts[: len(sizes)]))


def test_a_larger_one_is_not_pushed_over_a_smaller_one_that_lies_beyond():
    # the small ones lie in the first row; the large one has room only above them
    sides = np.array([6.0, 6.0])
    found = place_squares(sides, [2, 4], [3, 1])
    assert np.bincount(found.kinds).tolist() == [3, 1]
    assert_lies(found, sides, [2, 4])


def test_with_very_many_places_nothing_is_proved_and_what_lies_there_lies_well():
    sides, sizes = np.array([500.0, 300.0]), [61.3, 47.9, 35.7]
    found = place_squares(sides, sizes, [8, 14, 200])
    assert not found.proved
    assert np.bincount(found.kinds)[:2].tolist() == [8, 14]
    assert sum(sizes[kind] ** 2 for kind in found.kinds) > 0.8 * sides.prod()
    assert_lies(found, sides, sizes)
