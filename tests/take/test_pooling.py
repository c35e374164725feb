"""Rates that borrow strength from one another."""

import numpy as np
import pytest
from scipy.stats import beta, binom

from scionary.errors import BadValue
from scionary.take import RatePrior, pooled_rates, rate_draws, wilson_interval

GRAFTS, TAKES = np.array([10, 3, 0, 25]), np.array([9, 1, 0, 12])


def weighted_draws(grafts, takes, size=400_000, seed=5):
    """Draw from the prior and weigh by the chance of the record: slow, and shares nothing with the engine."""
    rng = np.random.default_rng(seed)
    mean, tightness = rng.uniform(size=size), np.exp(np.log(8.0) + rng.normal(size=size))
    rates = rng.beta((mean * tightness)[:, None], ((1 - mean) * tightness)[:, None], size=(size, len(grafts)))
    weight = np.prod(binom.pmf(takes, grafts, rates), axis=1)
    return rates, weight / weight.sum()


def test_agrees_with_weighing_draws_from_the_prior():
    rates, weight = weighted_draws(GRAFTS, TAKES)
    table = pooled_rates(GRAFTS, TAKES)
    mean = weight @ rates
    noise = 4 * np.sqrt((weight**2) @ (rates - mean) ** 2)
    assert np.all(np.abs(table.mean - mean) < noise)
    assert table.sd == pytest.approx(np.sqrt(weight @ (rates - mean) ** 2), rel=0.03)
    for level in range(len(GRAFTS)):
        inside = (rates[:, level] >= table.low[level]) & (rates[:, level] <= table.high[level])
        assert weight[inside].sum() == pytest.approx(0.9, abs=0.015)


def test_ranges_hold_what_they_promise_when_the_prior_is_true():
    rng = np.random.default_rng(8)
    held = []
    for _ in range(100):
        mean, tightness = rng.uniform(), np.exp(np.log(8.0) + rng.normal())
        truth = rng.beta(mean * tightness, (1 - mean) * tightness, size=6)
        grafts = rng.integers(0, 20, size=6)
        table = pooled_rates(grafts, rng.binomial(grafts, truth))
        held.append(np.mean((truth >= table.low) & (truth <= table.high)))
    assert np.mean(held) == pytest.approx(0.9, abs=4 * np.std(held) / np.sqrt(len(held)))


def test_thin_records_are_pulled_to_the_others_and_long_ones_stand():
    table = pooled_rates([4, 400, 50, 50, 50], [4, 360, 25, 24, 26])
    assert table.mean[0] < 0.9
    assert table.mean[1] == pytest.approx(0.9, abs=0.01)


def test_a_level_without_record_is_as_wide_as_a_new_one():
    table = pooled_rates(GRAFTS, TAKES)
    assert (table.mean[2], table.low[2], table.high[2]) == (table.new_level.mean, table.new_level.low, table.new_level.high)
    assert table.high[2] - table.low[2] > table.high[0] - table.low[0]


def test_new_level_and_known_levels_ignore_the_order_of_the_record():
    order = [3, 0, 2, 1]
    table, turned = pooled_rates(GRAFTS, TAKES), pooled_rates(GRAFTS[order], TAKES[order])
    assert turned.mean == pytest.approx(table.mean[order], abs=1e-9)
    assert turned.high == pytest.approx(table.high[order], abs=1e-5)


def test_no_record_at_all_leaves_everything_possible():
    table = pooled_rates([], [])
    assert table.mean.size == 0
    assert table.new_level.mean == pytest.approx(0.5, abs=1e-6)
    assert table.new_level.low < 0.05
    assert table.new_level.high > 0.95


def test_three_grafts_of_one_cultivar_stay_honest():
    table = pooled_rates([3], [2])
    low, high = wilson_interval(2, 3, 0.9)
    assert table.high[0] - table.low[0] > 0.8 * (high - low)


def test_many_grafts_of_one_cultivar_give_the_plain_binomial_answer():
    table = pooled_rates([5000], [3000])
    assert (table.low[0], table.high[0]) == pytest.approx(beta(3001, 2001).ppf([0.05, 0.95]), abs=1e-3)


def test_a_tighter_prior_is_obeyed_and_told():
    prior = RatePrior(tightness_median=500, tightness_spread=0.1)
    table = pooled_rates([30, 30], [27, 9], prior=prior)
    assert abs(table.mean[0] - table.mean[1]) < 0.08
    assert any("500 grafts" in line and "unsourced" in line for line in table.assumptions)
    assert any("single coming season" in line for line in table.assumptions)


def test_draws_follow_the_table():
    table, draws = pooled_rates(GRAFTS, TAKES), rate_draws(GRAFTS, TAKES, draws=100_000, rng=2)
    assert draws.shape == (100_000, 4)
    assert np.all(np.abs(draws.mean(axis=0) - table.mean) < 5 * table.sd / np.sqrt(100_000))
    assert draws.std(axis=0) == pytest.approx(table.sd, rel=0.02)


def test_draws_of_new_levels_share_their_mean():
    draws = rate_draws([0, 0], [0, 0], draws=20_000, rng=2)
    assert np.corrcoef(draws.T)[0, 1] > 0.5


def test_same_seed_gives_the_same_draws():
    first = rate_draws(GRAFTS, TAKES, draws=5, rng=7)
    assert np.array_equal(first, rate_draws(GRAFTS, TAKES, draws=5, rng=np.random.default_rng(7)))
    assert not np.array_equal(first, rate_draws(GRAFTS, TAKES, draws=5, rng=8))


def test_table_gives_plain_lists():
    columns = pooled_rates(GRAFTS, TAKES).to_dict()
    assert columns["level"] == [0, 1, 2, 3]
    assert columns["takes"] == [9, 1, 0, 12]
    assert all(isinstance(number, float) for number in columns["mean"])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: pooled_rates([3], [4]), r"takes is 4\.0.*; allowed: at most grafts"),
        (lambda: pooled_rates([np.nan], [0]), "missing number"),
        (lambda: pooled_rates(3, 2), "one number a level"),
        (lambda: pooled_rates([3], [2], confidence=0), "confidence is 0"),
        (lambda: rate_draws([3], [2], draws=0, rng=1), "draws is 0; allowed: 1 or more"),
        (lambda: RatePrior(tightness_median=0), "tightness_median is 0; allowed: a number above 0"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
