"""The odds ratio between two arms as a distribution."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import binom, nchypergeom_fisher, norm

from scionary.take.effect import common_effect, share_difference, varying_effect, whole_tray_effect

TRAYS = np.array([[10.0, 10.0], [8.0, 9.0], [12.0, 11.0]]), np.array([[5.0, 8.0], [2.0, 4.0], [9.0, 10.0]])


def likelihood(log_odds, grafts, takes):
    """One tray's chance given its total, by scipy's own distribution."""
    second, first, total = int(grafts[1]), int(grafts[0]), int(takes.sum())
    return nchypergeom_fisher.pmf(takes[1], second + first, second, total, np.exp(log_odds))


def moments(density):
    norm_, mean, square = (quad(lambda d, k=k: d**k * density(d), -4.0, 4.0, limit=200)[0] for k in range(3))
    above = quad(density, 0.0, 4.0, limit=200)[0]
    return mean / norm_, np.sqrt(square / norm_ - (mean / norm_) ** 2), above / norm_


def test_common_effect_agrees_with_integrals():
    grafts, takes = TRAYS

    def density(d):
        return np.prod([likelihood(d, *tray) for tray in zip(grafts, takes, strict=True)]) * norm.pdf(d, 0.0, 0.5)

    mean, sd, above = moments(density)
    effect = common_effect(grafts, takes)
    assert (effect.mean, effect.sd, effect.chance_above(0.0)) == pytest.approx((mean, sd, above), abs=2e-4)


def test_varying_effect_agrees_with_a_simulation():
    grafts, takes = TRAYS
    rng = np.random.default_rng(4)
    draws = 150_000
    mean = rng.normal(0.0, 0.5, draws)
    spread = np.abs(rng.normal(0.0, 0.5, draws))
    table = [[likelihood(d, *tray) for d in np.linspace(-6.0, 6.0, 601)] for tray in zip(grafts, takes, strict=True)]
    weight = np.ones(draws)
    for row in table:
        weight *= np.interp(rng.normal(mean, spread), np.linspace(-6.0, 6.0, 601), row)
    weight /= weight.sum()
    effective = 1.0 / (weight**2).sum()
    effect = varying_effect(grafts, takes)
    assert effect.mean == pytest.approx(weight @ mean, abs=5 * effect.sd / np.sqrt(effective))
    assert effect.chance_above(0.0) == pytest.approx(weight @ (mean > 0), abs=2.5 / np.sqrt(effective))
    order = np.argsort(spread)
    median = spread[order][np.searchsorted(np.cumsum(weight[order]), 0.5)]
    assert effect.spread == pytest.approx(median, abs=0.02)


def test_whole_tray_effect_agrees_with_a_simulation():
    first = np.array([10.0, 12.0, 9.0]), np.array([5.0, 9.0, 3.0])
    second = np.array([10.0, 10.0]), np.array([9.0, 8.0])
    rng = np.random.default_rng(8)
    draws = 400_000
    middle, apart = rng.normal(0.0, 1.5, draws), rng.normal(0.0, 0.5, draws)
    spread = np.abs(rng.normal(0.0, 1.0, draws))
    weight = np.ones(draws)
    for sign, trays in ((-0.5, first), (0.5, second)):
        for grafts, takes in zip(*trays, strict=True):
            rate = 1.0 / (1.0 + np.exp(-rng.normal(middle + sign * apart, spread)))
            weight *= binom.pmf(takes, grafts, rate)
    weight /= weight.sum()
    effective = 1.0 / (weight**2).sum()
    effect = whole_tray_effect(first, second)
    assert effect.mean == pytest.approx(weight @ apart, abs=5 * effect.sd / np.sqrt(effective))
    assert effect.chance_above(0.0) == pytest.approx(weight @ (apart > 0), abs=2.5 / np.sqrt(effective))


def test_many_grafts_are_read_as_finely_as_few():
    grafts, takes = np.array([[20_000.0, 20_000.0]]), np.array([[12_000.0, 12_400.0]])
    effect = common_effect(grafts, takes)
    sd = np.sqrt((1.0 / takes + 1.0 / (grafts - takes)).sum())
    shrunk = np.log(12_400 / 7_600 / 1.5) / (1.0 + sd**2 / 0.25)
    assert effect.mean == pytest.approx(shrunk, abs=1e-4)
    assert effect.sd == pytest.approx(sd, rel=0.01)


@pytest.mark.parametrize(("grafts", "takes"), [([[0.0, 5.0]], [[0.0, 3.0]]), ([[6.0, 6.0]], [[6.0, 6.0]]), ([[4.0, 4.0]], [[0.0, 0.0]])])
def test_a_tray_that_tells_nothing_leaves_the_prior(grafts, takes):
    for effect in (common_effect(np.array(grafts), np.array(takes)), varying_effect(np.array(grafts), np.array(takes))):
        assert effect.mean == pytest.approx(0.0, abs=1e-9)
        assert effect.sd == pytest.approx(0.5, abs=1e-3)
        assert effect.quantile([0.05, 0.95]) == pytest.approx([-0.8224, 0.8224], abs=5e-3)


def test_trays_that_disagree_leave_more_doubt_about_their_mean():
    grafts = np.full((6, 2), 20.0)
    takes = np.array([[10.0, 18.0], [10.0, 18.0], [10.0, 18.0], [14.0, 10.0], [14.0, 10.0], [14.0, 12.0]])
    varying = varying_effect(grafts, takes)
    assert varying.sd > 1.3 * common_effect(grafts, takes).sd
    assert varying.spread > 0.6


@pytest.mark.parametrize("middle", [0.1, 0.5, 0.9])
def test_share_difference_has_the_odds_ratio_that_it_came_from(middle):
    log_odds = np.linspace(-3.0, 3.0, 25)
    apart = share_difference(log_odds, middle)
    second, first = middle + apart / 2, middle - apart / 2
    assert np.log(second / (1 - second)) - np.log(first / (1 - first)) == pytest.approx(log_odds, abs=1e-9)
