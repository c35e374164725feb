"""The range of a difference between two take rates."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import difference_interval, wilson_interval


def test_ten_grafts_an_arm_leave_nearly_everything_open():
    low, high = difference_interval(8, 10, 5, 10)
    assert low < -0.1
    assert high > 0.5


def test_turned_round_the_range_turns_its_sign():
    low, high = difference_interval(14, 20, 9, 25, 0.9)
    assert difference_interval(9, 25, 14, 20, 0.9) == pytest.approx((-high, -low))


def test_against_a_sure_rate_only_the_first_group_is_uncertain():
    huge = 10**12
    low, high = wilson_interval(7, 12)
    assert difference_interval(7, 12, 0, huge) == pytest.approx((low, high), abs=1e-5)


@pytest.mark.parametrize(("rate", "other"), [(0.6, 0.75), (0.3, 0.3)])
def test_holds_the_truth_about_as_often_as_it_says(rate, other):
    rng = np.random.default_rng(5)
    trials = 4_000
    low, high = difference_interval(rng.binomial(40, rate, trials), 40, rng.binomial(50, other, trials), 50, 0.9)
    held = np.mean((low <= rate - other) & (rate - other <= high))
    # five standard errors of the simulation, and a per cent for what the method itself misses at this size
    assert held == pytest.approx(0.9, abs=5 * np.sqrt(0.09 / trials) + 0.01)


def test_a_group_without_grafts_says_nothing():
    low, high = difference_interval(0, 0, 5, 10)
    wide = difference_interval(3, 6, 5, 10)
    assert low < wide[0]
    assert high > wide[1]
    assert difference_interval(0, 0, 0, 0) == pytest.approx((-np.sqrt(0.5), np.sqrt(0.5)))


def test_none_against_all_stays_inside_what_can_be():
    low, high = difference_interval(10, 10, 0, 10)
    assert low > 0.5
    assert high == 1.0


def test_what_is_missing_stays_missing():
    low, high = difference_interval([np.nan, 2.0], 4, 1, 4)
    assert np.isnan([low[0], high[0]]).all()
    assert not np.isnan([low[1], high[1]]).any()


def test_more_takes_than_grafts_are_refused():
    with pytest.raises(BadValue, match=r"other_successes is 5.0; allowed: at most other_trials"):
        difference_interval(1, 4, 5, 4)
