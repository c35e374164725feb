"""Assignment problems whose answers are printed elsewhere or can be seen at a glance."""

import numpy as np
import pytest

from scionary.union import match_stocks


@pytest.mark.parametrize(
    ("table", "cost"),
    [
        # the documentation of scipy.optimize.linear_sum_assignment, its example
        ([[4, 1, 3], [2, 0, 5], [3, 2, 2]], 5.0),
        # by hand: a square of ones with zeros on one diagonal
        ([[1, 1, 0], [1, 0, 1], [0, 1, 1]], 0.0),
        # by hand: the only whole pairing avoids the two forbidden pairs
        ([[np.inf, 2.0], [3.0, np.inf]], 5.0),
    ],
)
def test_printed_assignments(table, cost):
    table = np.array(table, dtype=float)
    assert match_stocks(np.ones(len(table)), np.ones(len(table)), lambda scion, stock: table).cost == cost


# by hand: scions 2 and 3, stocks 3 and 4, cost min(|d|, 1): in sorted order 1 + 1 = 2; crosswise 1 + 0 = 1
def test_pairing_in_sorted_order_is_not_always_best():
    assert match_stocks([2, 3], [3, 4], lambda scion, stock: np.minimum(np.abs(scion - stock), 1)).cost == 1.0
