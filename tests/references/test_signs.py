"""Early signs against values from outside; tolerance is half the last printed digit."""

import numpy as np
import pytest
from lifelines import LogLogisticFitter, LogNormalFitter
from scipy.optimize import minimize

from scionary.take.bud_push import bud_push
from scionary.take.push_likelihood import PushShape, push_log_likelihood
from scionary.take.push_posterior import PushPrior
from scionary.take.signs import SignPrior, score_signs

FLAT = SignPrior((1e-6, 1e-6), (1e-6, 1e-6), (1e-6, 1e-6))  # says nothing


def test_sensitivity_and_specificity_of_altman_and_bland():
    # Altman & Bland 1994, BMJ 308:1552: 231 of 258 abnormal livers and 54 of 86 normal ones were told rightly
    abnormal, found, normal, cleared = 258, 231, 86, 54
    signs = np.repeat([1.0, 0.0, 1.0, 0.0], [found, abnormal - found, normal - cleared, cleared])
    truths = np.repeat([1.0, 0.0], [abnormal, normal])
    scored = score_signs(signs, truths, FLAT)
    assert scored.sensitivity.mean == pytest.approx(0.90, abs=5e-3)
    assert scored.specificity.mean == pytest.approx(0.63, abs=5e-3)
    # Altman & Bland 1994, BMJ 309:102: the predictive values of the same livers
    assert scored.take_if_yes.mean == pytest.approx(0.88, abs=5e-3)
    assert 1 - scored.take_if_no.mean == pytest.approx(0.67, abs=5e-3)


def censored(seed=3, plants=240):
    """Takes looked at every two weeks: interval-censored, and right-censored at day 70."""
    rng = np.random.default_rng(seed)
    push = np.exp(np.log(50.0) + 0.5 * rng.normal(size=plants))
    since, day = np.floor(push / 14) * 14, np.ceil(push / 14) * 14
    late = push > 70
    return np.where(late, 0.0, since), np.where(late, 70.0, day), np.where(late, 0.0, 1.0)


@pytest.mark.parametrize(
    ("fitter", "shape", "spread"),
    [
        # lifelines 0.30, LogNormalFitter.fit_interval_censoring: mu_ and sigma_ of log days
        (LogNormalFitter, PushShape.LOG_NORMAL, lambda theirs: (np.log(theirs.median_survival_time_), theirs.sigma_)),
        # lifelines 0.30, LogLogisticFitter.fit_interval_censoring: alpha_ is the median, beta_ one over the scale of log days
        (LogLogisticFitter, PushShape.LOG_LOGISTIC, lambda theirs: (np.log(theirs.alpha_), 1 / theirs.beta_)),
    ],
)
def test_censored_likelihood_of_lifelines(fitter, shape, spread):
    since, day, pushed = censored()
    lower, upper = np.where(pushed == 1, since, day), np.where(pushed == 1, day, np.inf)
    theirs = fitter().fit_interval_censoring(lower, upper)
    middle, width = spread(theirs)
    looks = {"days": day, "pushed": pushed, "since": since, "shape": shape}
    assert push_log_likelihood(**looks, log_median=middle, plant_spread=width) == pytest.approx(theirs.log_likelihood_, abs=1e-4)
    best = minimize(
        lambda x: -push_log_likelihood(**looks, log_median=x[0], plant_spread=np.exp(x[1])), [np.log(middle), 0.0], method="BFGS"
    ).x
    assert (best[0], np.exp(best[1])) == pytest.approx((middle, width), abs=1e-4)


def test_a_prior_that_says_nothing_leaves_the_curve_of_lifelines():
    # lifelines 0.30, LogNormalFitter: with many plants the posterior stands at the highest likelihood, as wide as its standard errors
    since, day, pushed = censored(plants=4000)
    theirs = LogNormalFitter().fit_interval_censoring(np.where(pushed == 1, since, day), np.where(pushed == 1, day, np.inf))
    prior = PushPrior(season_spread=0.0, rest_share=0.0, reserve_share=0.0, median_spread=5.0, plant_spread_spread=3.0)
    ours = bud_push(day, pushed, season=np.zeros(4000), since=since, prior=prior)
    errors = theirs.summary["se(coef)"]
    assert ours.log_median.mean() == pytest.approx(theirs.mu_, abs=0.15 * errors["mu_"])
    assert ours.plant_spread.mean() == pytest.approx(theirs.sigma_, abs=0.15 * errors["sigma_"])
    assert ours.log_median.std() == pytest.approx(errors["mu_"], rel=0.1)
