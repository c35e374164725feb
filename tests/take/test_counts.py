"""Numbers to graft and takes to expect."""

from itertools import product

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import chance_of_at_least, grafts_needed, likely_takes

DRAWS = np.random.default_rng(11).beta(6, 3, size=500)


def test_chance_agrees_with_every_outcome_listed():
    rates, grafts, wanted = (0.3, 0.8), 6, 4
    total = 0.0
    for rate in rates:
        for outcome in product((0, 1), repeat=grafts):
            if sum(outcome) >= wanted:
                total += rate ** sum(outcome) * (1 - rate) ** (grafts - sum(outcome)) / len(rates)
    assert chance_of_at_least(rates, grafts, wanted) == pytest.approx(total, abs=1e-12)


def test_chance_agrees_with_simulation():
    rng = np.random.default_rng(3)
    seen = rng.binomial(14, rng.choice(DRAWS, size=200_000)) >= 10
    assert chance_of_at_least(DRAWS, 14, 10) == pytest.approx(seen.mean(), abs=5 * np.sqrt(0.25 / 200_000))


def test_wanting_nothing_is_certain_and_more_than_grafted_impossible():
    assert chance_of_at_least(0.0, 3, 0) == 1.0
    assert chance_of_at_least(1.0, 3, 4) == 0.0


@pytest.mark.parametrize(("rate", "chance"), [(0.0, 0.0), (1.0, 1.0)])
def test_sure_rates_give_sure_answers(rate, chance):
    assert chance_of_at_least(rate, 5, 5) == chance


@pytest.mark.parametrize(("wanted", "assurance"), [(1, 0.5), (10, 0.9), (10, 0.99), (0, 0.9), (200, 0.9)])
def test_number_needed_is_the_smallest_that_is_enough(wanted, assurance):
    needed = grafts_needed(DRAWS, wanted, assurance)
    assert chance_of_at_least(DRAWS, needed, wanted) >= assurance
    assert needed == wanted or chance_of_at_least(DRAWS, needed - 1, wanted) < assurance


def test_doubt_about_the_rate_costs_grafts():
    assert grafts_needed(DRAWS, 10) > grafts_needed(float(DRAWS.mean()), 10)


def test_no_number_is_given_when_none_is_sensible():
    one_in_five_never_takes = np.array([0.0, 0.7, 0.7, 0.7, 0.7])
    assert grafts_needed(one_in_five_never_takes, 1, 0.9) is None
    assert grafts_needed(one_in_five_never_takes, 1, 0.75) is not None
    assert grafts_needed(0.5, 11, at_most=10) is None


@pytest.mark.parametrize("grafts", [0, 1, 10, 61])
def test_likely_takes_are_quantiles_of_the_mixture(grafts):
    from scipy.stats import binom

    cumulative = binom.cdf(np.arange(grafts + 1)[:, None], grafts, DRAWS).mean(axis=1)
    expected = tuple(int(np.argmax(cumulative >= share)) for share in (0.05, 0.5, 0.95))
    assert likely_takes(DRAWS, grafts, 0.9) == expected


def test_likely_takes_hold_at_least_the_confidence():
    low, middle, high = likely_takes(DRAWS, 25, 0.8)
    assert low <= middle <= high
    inside = chance_of_at_least(DRAWS, 25, low) - chance_of_at_least(DRAWS, 25, high + 1)
    assert inside >= 0.8


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: chance_of_at_least([0.5, 1.2], 3, 1), r"probability_draws is 1\.2.*; allowed: 0 to 1"),
        (lambda: chance_of_at_least([], 3, 1), "allowed: one or more numbers"),
        (lambda: chance_of_at_least([0.5, np.nan], 3, 1), "none missing"),
        (lambda: chance_of_at_least(0.5, -1, 1), "grafts is -1; allowed: a whole number"),
        (lambda: grafts_needed(0.5, 2.5), "wanted is 2.5; allowed: a whole number"),
        (lambda: grafts_needed(0.5, 2, 1.0), "assurance is 1.0"),
        (lambda: likely_takes(0.5, 2, 0.0), "confidence is 0.0"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
