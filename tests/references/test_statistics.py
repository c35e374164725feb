"""Statistics against values from outside; tolerance is half the last printed digit."""

from math import comb

import numpy as np
import pytest
from scipy.stats import beta, binomtest

from scionary.take import chance_of_at_least, grafts_needed, wilson_interval


@pytest.mark.parametrize(
    ("successes", "trials", "low", "high"),
    [
        # Newcombe 1998, Statistics in Medicine 17:857, table I, method 3
        (81, 263, 0.2553, 0.3662),
        # the same table
        (15, 148, 0.0624, 0.1605),
    ],
)
def test_wilson_interval_of_newcombe(successes, trials, low, high):
    assert wilson_interval(successes, trials) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.99])
def test_wilson_interval_of_scipy(confidence):
    # scipy 1.17, scipy.stats.binomtest(...).proportion_ci(method="wilson"), called here
    for trials in (1, 2, 3, 10, 47, 400):
        for successes in {0, 1, trials // 3, trials // 2, trials}:
            theirs = binomtest(successes, trials).proportion_ci(confidence, method="wilson")
            assert wilson_interval(successes, trials, confidence) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


def test_chance_after_nine_of_ten():
    # beta-binomial in closed form, uniform prior: sum over k = 8..10 of C(10, k) B(k + 10, 12 - k) / B(10, 2)
    expected = 0.74436
    draws = beta(10, 2).ppf((np.arange(20_000) + 0.5) / 20_000)
    assert chance_of_at_least(draws, 10, 8) == pytest.approx(expected, abs=5e-6)


def test_grafts_needed_at_a_known_rate():
    # exact binomial: P(Bin(29, .8) >= 20) = .9507, and 28 grafts give .9100; summed term by term below
    expected = 29
    assert grafts_needed(0.8, 20, 0.95) == expected
    tails = [sum(comb(n, k) * 0.8**k * 0.2 ** (n - k) for k in range(20, n + 1)) for n in (28, 29)]
    assert tails[0] < 0.95 <= tails[1]
