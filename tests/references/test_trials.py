"""Trials against values from outside; tolerance is half the last printed digit."""

import numpy as np
import pytest

from scionary.take import arms_needed, difference_interval
from scionary.take.sample_size import grafts_an_arm


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        # Fleiss's formula with the continuity correction, 5 % on both sides together, power .80; worked figure, printed value from memory
        (0.7, 0.9, 71.25),
        # the same
        (0.5, 0.7, 102.76),
    ],
)
def test_sample_size_of_fleiss(first, second, expected):
    assert grafts_an_arm(first, second, continuity=True) == pytest.approx(expected, abs=5e-3)
    assert arms_needed(first, second, continuity=True) == np.ceil(expected)


def test_difference_interval_of_newcombe():
    # Newcombe 1998, Statistics in Medicine 17:873, 56/70 - 48/80, method 10; printed value from memory
    expected = (0.0524, 0.3339)
    assert difference_interval(56, 70, 48, 80) == pytest.approx(expected, abs=5e-5)


@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_difference_interval_of_statsmodels(confidence):
    # statsmodels 0.15, statsmodels.stats.proportion.confint_proportions_2indep(method="newcomb"), called here
    from statsmodels.stats.proportion import confint_proportions_2indep

    for counts in [(8, 10, 5, 10), (1, 12, 6, 7), (40, 90, 30, 31), (150, 200, 120, 200)]:
        theirs = confint_proportions_2indep(*counts, compare="diff", method="newcomb", alpha=1.0 - confidence)
        assert difference_interval(*counts, confidence) == pytest.approx(theirs, abs=1e-9)
