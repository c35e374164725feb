"""Grafts an arm."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import arms_needed


def claims_of_stratified_test(rates, an_arm, block_sd, *, trials, each, seed):
    """Simulate trials of blocks with `each` grafts of either arm; give the share that claims a difference. Its own code throughout."""
    rng = np.random.default_rng(seed)
    blocks = round(an_arm / each)
    shift = rng.normal(0.0, block_sd, (trials, blocks)) if block_sd else np.zeros((trials, blocks))
    odds = [rate / (1.0 - rate) * np.exp(shift) for rate in rates]
    first, second = (rng.binomial(each, value / (1.0 + value)) for value in odds)
    took, size = first + second, 2 * each
    variance = each * each * took * (size - took) / (size * size * (size - 1.0))
    z = (second - took / 2.0).sum(axis=1) / np.sqrt(variance.sum(axis=1))
    return float(np.mean(np.abs(z) > 1.959964))


def test_sixty_against_seventy_five_needs_about_one_hundred_and_fifty():
    assert arms_needed(0.6, 0.75) == 152
    assert arms_needed(0.75, 0.6) == 152


def test_blocks_cost_grafts():
    needed = [arms_needed(0.6, 0.75, block_sd=sd) for sd in (0.0, 0.5, 1.0)]
    assert needed == sorted(needed)
    assert needed == [152, 158, 175]


@pytest.mark.parametrize("block_sd", [0.0, 0.5, 1.0])
def test_simulated_trials_reach_the_power_asked_for(block_sd):
    trials, each = 4_000, 10
    needed = arms_needed(0.6, 0.75, block_sd=block_sd)
    claims = claims_of_stratified_test((0.6, 0.75), needed, block_sd, trials=trials, each=each, seed=7)
    # four standard errors, and what rounding to whole blocks of ten (at most five grafts in 152) and chance blocks move
    assert claims == pytest.approx(0.8, abs=4 * np.sqrt(0.16 / trials) + 0.02)


def test_two_small_arms_reach_the_power_asked_for_in_every_outcome_listed():
    from scipy.stats import binom

    needed = arms_needed(0.3, 0.7, power=0.9)
    counts = np.arange(needed + 1)
    first, second = np.meshgrid(counts, counts, indexing="ij")
    mean = (first + second) / (2.0 * needed)
    spread = np.sqrt(np.where(first + second > 0, 2.0 * mean * (1.0 - mean) / needed, 1.0))
    claims = np.abs(first - second) / needed / np.where(spread > 0, spread, 1.0) > 1.959964
    chance = binom.pmf(first, needed, 0.3) * binom.pmf(second, needed, 0.7)
    assert chance[claims].sum() == pytest.approx(0.9, abs=0.03)


def test_more_power_more_certainty_and_smaller_differences_cost_grafts():
    base = arms_needed(0.6, 0.75)
    assert arms_needed(0.6, 0.75, power=0.9) > base
    assert arms_needed(0.6, 0.75, significance=0.01) > base
    assert arms_needed(0.6, 0.7) > 2 * base
    assert arms_needed(0.6, 0.75, continuity=True) > base


@pytest.mark.parametrize(
    ("arguments", "named", "message"),
    [
        ((0.6, 0.6), {}, "second is 0.6; allowed: a rate other than the first"),
        ((0.0, 0.6), {}, "first is 0.0; allowed: more than 0"),
        ((0.5, 1.0), {}, "second is 1.0; allowed: more than 0"),
        ((0.5, 0.6), {"power": 1.0}, "power is 1.0"),
        ((0.5, 0.6), {"significance": 0.0}, "significance is 0.0"),
        ((0.5, 0.6), {"block_sd": -0.1}, "block_sd is -0.1; allowed: 0 to 5"),
        ((0.5, float("nan")), {}, "second is nan"),
        ((0.5, 0.6), {"block_sd": float("nan")}, "block_sd is nan"),
    ],
)
def test_what_cannot_be_is_refused(arguments, named, message):
    with pytest.raises(BadValue, match=message):
        arms_needed(*arguments, **named)
