"""Wilson's interval."""

import numpy as np
import pytest
from scipy.optimize import brentq

from scionary.errors import BadValue
from scionary.take import wilson_interval


def test_two_of_three_says_little():
    low, high = wilson_interval(2, 3)
    assert (round(100 * low), round(100 * high)) == (21, 94)
    assert isinstance(low, float)


def test_no_grafts_say_nothing():
    assert wilson_interval(0, 0) == (0.0, 1.0)


def test_none_and_all_reach_the_ends_exactly():
    low, high = wilson_interval([0, 7], [7, 7])
    assert low[0] == 0.0
    assert high[1] == 1.0
    assert high[0] == pytest.approx(1.0 - low[1])


def test_ends_are_the_rates_whose_score_test_just_fails():
    takes, total, z = 7, 12, 1.6448536269514722

    def score(p):
        return (takes / total - p) ** 2 - z**2 * p * (1 - p) / total

    expected = brentq(score, 0.01, takes / total), brentq(score, takes / total, 0.99)
    assert wilson_interval(takes, total, 0.9) == pytest.approx(expected, abs=1e-9)


def test_what_is_missing_stays_missing():
    low, high = wilson_interval([np.nan, 1], [3, 3])
    assert np.isnan(low[0])
    assert np.isnan(high[0])
    assert not np.isnan(low[1])


@pytest.mark.parametrize(
    ("successes", "trials", "confidence", "message"),
    [
        (4, 3, 0.95, "successes is 4.0; allowed: at most trials"),
        (-1, 3, 0.95, "successes is -1.0"),
        (1.5, 3, 0.95, "successes is 1.5; allowed: whole numbers"),
        (1, 3, 1.0, "confidence is 1.0; allowed: more than 0"),
        ("a few", 3, 0.95, "successes is 'a few'; allowed: numbers"),
    ],
)
def test_what_cannot_be_is_refused(successes, trials, confidence, message):
    with pytest.raises(BadValue, match=message):
        wilson_interval(successes, trials, confidence)
