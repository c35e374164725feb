"""Trials against values from outside; tolerance is half the last printed digit."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats.contingency import odds_ratio

from scionary.take import arms_needed, difference_interval
from scionary.take.effect import conditional_log_likelihood
from scionary.take.sample_size import grafts_an_arm
from scionary.take.stratified import mantel_haenszel_odds_ratio, stratified_test


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


@pytest.fixture(params=range(4))
def tables(request):
    """Trays with any numbers of grafts and takes in two arms."""
    rng = np.random.default_rng(request.param)
    grafts = rng.integers(3, 25, size=(request.param + 2, 2)).astype(float)
    return grafts, rng.binomial(grafts.astype(int), [0.5, 0.7]).astype(float)


def test_stratified_test_and_odds_ratio_of_statsmodels(tables):
    # statsmodels 0.15, statsmodels.stats.contingency_tables.StratifiedTable, called here
    from statsmodels.stats.contingency_tables import StratifiedTable

    grafts, takes = tables
    theirs = StratifiedTable(
        [[[took[1], took[0]], [made[1] - took[1], made[0] - took[0]]] for made, took in zip(grafts, takes, strict=True)]
    )
    assert stratified_test(grafts, takes) == pytest.approx(theirs.test_null_odds(correction=False).pvalue, abs=1e-12)
    assert mantel_haenszel_odds_ratio(grafts, takes) == pytest.approx(theirs.oddsratio_pooled, rel=1e-12)


def test_conditional_distribution_of_fishers_tea_tasting():
    # the R manual's tea-tasting example, fisher.test, one-sided: 17/70; printed value from memory
    expected = 17 / 70
    grafts = np.array([[4.0, 4.0]])
    tails = [np.exp(conditional_log_likelihood(grafts, np.array([[4.0 - seen, seen]]))(np.zeros(1))) for seen in (3.0, 4.0)]
    assert np.sum(tails) == pytest.approx(expected, abs=1e-12)
    # scipy 1.17, scipy.stats.contingency.odds_ratio(kind="conditional"), called here: the odds ratio at the summit, 6.40832
    log_likelihood = conditional_log_likelihood(grafts, np.array([[1.0, 3.0]]))
    log_odds = brentq(lambda d: float(np.diff(log_likelihood(np.array([d - 1e-3, d + 1e-3])))[0, 0]), 1.0, 3.0)
    assert np.exp(log_odds) == pytest.approx(odds_ratio([[3, 1], [1, 3]], kind="conditional").statistic, abs=1e-6)
