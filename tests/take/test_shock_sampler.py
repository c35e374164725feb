"""Sampling of shared shocks, held against what can be computed otherwise."""

import numpy as np
import pytest
from scipy.special import expit
from scipy.stats import norm

from scionary.take.seen_plants import SeenPlants
from scionary.take.shock_sampler import sample_shocks
from scionary.take.signs import SignEvidence


def shifted(level_draws, plants):
    return expit(np.repeat(level_draws[:, None], plants, axis=1))


def evidence(signs, sensitivity, specificity):
    """Rows of accuracy, one for each pair."""
    sensitivity, specificity = np.asarray(sensitivity), np.asarray(specificity)
    if_taken = np.log(np.column_stack([1 - sensitivity, sensitivity]))
    if_lost = np.log(np.column_stack([specificity, 1 - specificity]))
    return SignEvidence(np.asarray(signs, dtype=np.int64), if_taken, if_lost)


def on_a_grid(signs, sensitivity, specificity, mean, sd):
    """Mean chance by sign when one shock moves all plants, by summing over a grid of it and over all rows."""
    odds = mean + sd * np.linspace(-6, 6, 2001)
    rate = expit(odds)[None, :]
    given = [rate * sensitivity[:, None] + (1 - rate) * (1 - specificity[:, None])]
    given = [1 - given[0], given[0]]
    height = sum(np.log(given[sign]) for sign in signs) + norm.logpdf(odds, mean, sd)
    weight = np.exp(height - height.max())
    weight /= weight.sum()
    likely = (1 - sensitivity[:, None], sensitivity[:, None])
    return [float(np.sum(weight * rate * likely[sign] / given[sign])) for sign in (0, 1)]


@pytest.mark.parametrize("share", [0.15, 0.5, 0.9])
@pytest.mark.parametrize("rows", [1, 300])
def test_one_shared_shock_agrees_with_a_grid(share, rows):
    rng = np.random.default_rng(1)
    levels = rng.normal(0.4, 0.8, size=4000)
    sensitivity, specificity = rng.beta(30, 6, size=rows), rng.beta(20, 8, size=rows)
    signs = (np.arange(60) < share * 60).astype(np.int64)
    seen = SeenPlants.gathered(shifted(levels, 60), [evidence(signs, sensitivity, specificity)], np.full(60, np.nan))
    rates, effective = sample_shocks(seen, 2000, rng)
    expected = on_a_grid(signs, sensitivity, specificity, levels.mean(), levels.std(ddof=1))
    assert effective > 600
    by_sign = dict(zip(seen.kind[0].tolist(), rates.mean(axis=0).tolist(), strict=True))
    assert [by_sign[0], by_sign[1]] == pytest.approx(expected, abs=0.02)


def test_two_shocks_and_two_accuracies_agree_with_a_grid():
    """Half the plants under each of two domes; a dim accuracy leaves the shocks wide, a sharp one does not."""
    rng, sd = np.random.default_rng(5), 1.2
    sensitivity, specificity = np.array([0.6, 0.97]), np.array([0.6, 0.97])
    odds = rng.normal(0.0, sd, size=(20_000, 2))
    odds = (odds - odds.mean(axis=0)) @ np.linalg.inv(np.linalg.cholesky(np.cov(odds.T))).T * sd
    signs = np.r_[np.arange(40) < 22, np.arange(40) < 17].astype(np.int64)
    seen = SeenPlants.gathered(expit(np.repeat(odds, 40, axis=1)), [evidence(signs, sensitivity, specificity)], np.full(80, np.nan))
    rates, effective = sample_shocks(seen, 4000, rng)
    grid = np.linspace(-6, 6, 1201)
    likely = np.zeros(2)
    chance = np.zeros((2, 2))
    for row in (0, 1):
        given = expit(grid) * sensitivity[row] + expit(-grid) * (1 - specificity[row])
        weight = [given**yes * (1 - given) ** (40 - yes) * norm.pdf(grid, 0.0, sd) for yes in (22, 17)]
        likely[row] = np.prod([each.sum() for each in weight])
        chance[row] = [each @ (expit(grid) * sensitivity[row] / given) / each.sum() for each in weight]
    assert effective > 600
    yes = [rates[:, seen.group[plant]].mean() for plant in (0, 40)]
    assert yes == pytest.approx(likely @ chance / likely.sum(), abs=0.015)


def test_many_cells_are_sampled_with_enough_effective_draws():
    """With 500 columns the factor comes from random projections; each dome's sign must move its own plants."""
    rng = np.random.default_rng(2)
    cultivar, dome = np.arange(500) % 100, np.arange(500) // 50
    base = 0.3 + 0.5 * rng.normal(size=(2000, 1))
    draws = expit(base + (0.7 * rng.normal(size=(2000, 10)))[:, dome] + (0.3 * rng.normal(size=(2000, 100)))[:, cultivar])
    signs = np.where(dome < 5, 1, 0)
    seen = SeenPlants.gathered(draws, [evidence(signs, [0.8], [0.8])], np.full(500, np.nan))
    assert seen.log_odds.shape[1] == 500
    rates, effective = sample_shocks(seen, 1000, rng)
    assert effective >= 400
    chance = rates.mean(axis=0)[seen.group]
    assert chance[:250].min() > 0.85
    assert chance[250:].max() < 0.35


def test_known_ends_alone_need_no_sign():
    levels = np.random.default_rng(3).normal(0.0, 1.0, size=3000)
    ends = np.array([1.0] * 40 + [0.0] * 10 + [np.nan] * 5)
    seen = SeenPlants.gathered(shifted(levels, 55), [], ends)
    rates, effective = sample_shocks(seen, 1000, np.random.default_rng(1))
    assert effective > 600
    grid = np.linspace(-5, 5, 4001)
    weight = np.exp(40 * np.log(expit(grid)) + 10 * np.log(expit(-grid)) + norm.logpdf(grid, levels.mean(), levels.std()))
    assert rates[:, np.isnan(seen.end)].mean() == pytest.approx(weight @ expit(grid) / weight.sum(), abs=0.01)
    assert np.all(rates[:, seen.end == 1] == 1.0)


def test_draws_that_never_differ_leave_only_the_accuracy_to_be_sampled():
    rng = np.random.default_rng(4)
    sensitivity, specificity = rng.uniform(0.5, 0.99, size=200), rng.uniform(0.5, 0.99, size=200)
    signs = np.array([1] * 70 + [0] * 30)
    seen = SeenPlants.gathered(np.full((50, 100), 0.6), [evidence(signs, sensitivity, specificity)], np.full(100, np.nan))
    rates, _ = sample_shocks(seen, 2000, rng)
    yes = 0.6 * sensitivity + 0.4 * (1 - specificity)
    weight = yes**70 * (1 - yes) ** 30
    expected = np.sum(weight / weight.sum() * 0.6 * sensitivity / yes)
    assert rates[:, seen.kind[0] == 1].mean() == pytest.approx(expected, abs=0.01)
