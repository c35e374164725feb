"""Looks at a trial that runs.

Short form: 500 simulated trials. Long form: SCIONARY_TRIALS=20000 pytest tests/take/test_looks.py
"""

from functools import cache

import numpy as np
import pytest
from scipy.stats import beta, binom

from scionary.errors import BadValue
from scionary.take import LookRule, LookVerdict, look_at_trial
from scionary.take.effect import common_effect
from take.simulated_trials import TRIALS, errors

SIMULATED = TRIALS // 2


@cache
def look(an_arm, first, second, claim):
    return look_at_trial((an_arm, an_arm), (first, second), rule=LookRule(claim=claim))


def simulated(rates, claim, *, seed):
    """Share of trials with a claim, and the mean number of grafts an arm."""
    rng = np.random.default_rng(seed)
    claims, grafts = 0, 0
    for _ in range(SIMULATED):
        for number, (first, second) in enumerate(np.cumsum(rng.binomial(20, rates, (12, 2)), axis=0), start=1):
            seen = look(20 * number, int(first), int(second), claim)
            if seen.verdict is not LookVerdict.GO_ON:
                break
        claims += seen.verdict is LookVerdict.CLAIM
        grafts += seen.an_arm
    return claims / SIMULATED, grafts / SIMULATED


@pytest.mark.slow
def test_a_real_difference_is_mostly_claimed_and_before_the_end():
    claims, mean = simulated((0.6, 0.75), 0.99, seed=41)
    # a prototype of this rule, simulated elsewhere, gave 0.83 and 134
    assert claims == pytest.approx(0.83, abs=errors(0.83, SIMULATED) + 0.03)
    assert mean == pytest.approx(134, abs=4 * 75 / np.sqrt(SIMULATED) + 5)


@pytest.mark.slow
def test_twelve_looks_rarely_claim_a_difference_that_is_none():
    strict, _ = simulated((0.6, 0.6), 0.99, seed=42)
    loose, _ = simulated((0.6, 0.6), 0.975, seed=42)
    assert strict < 0.05 + errors(0.04, SIMULATED)
    assert loose > strict
    assert loose == pytest.approx(0.09, abs=errors(0.09, SIMULATED) + 0.01)


def test_chance_of_a_claim_agrees_with_trials_played_to_their_end():
    grafts, takes = np.array([80, 80]), np.array([50, 58])
    seen = look_at_trial(grafts, takes, at_most=160)
    rng = np.random.default_rng(2)
    plays = 600
    effect = common_effect(np.array([grafts], dtype=float), np.array([takes], dtype=float))
    apart = rng.choice(effect.log_odds, plays, p=effect.weight)
    level = beta(takes.sum() + 1, (grafts - takes).sum() + 1).rvs(plays, random_state=rng)
    middle = np.log(level / (1 - level))
    more = rng.binomial(80, 1 / (1 + np.exp(-(middle[:, None] + np.outer(apart, [-0.5, 0.5])))))
    ends = [look_at_trial((160, 160), takes + extra, at_most=160).verdict is LookVerdict.CLAIM for extra in more]
    assert seen.chance_of_claim == pytest.approx(np.mean(ends), abs=4 * np.sqrt(0.25 / plays))
    assert 0.05 < seen.chance_of_claim < 0.6


def test_before_the_first_look_nothing_is_decided():
    seen = look_at_trial((19, 19), (2, 19))
    assert seen.chance_second_better > 0.99
    assert seen.verdict is LookVerdict.GO_ON
    assert seen.next_look == 20


def test_a_clear_difference_is_claimed():
    seen = look_at_trial((100, 100), (50, 78))
    assert seen.verdict is LookVerdict.CLAIM
    assert (seen.chance_of_claim, seen.next_look) == (1.0, None)
    assert seen.words.startswith(
        "Claim it: the second arm takes better with a chance of more than 99.9 %; in 100 grafts that is about 21 more"
    )
    turned = look_at_trial((100, 100), (78, 50))
    assert turned.verdict is LookVerdict.CLAIM
    assert "the first arm takes better" in turned.words
    assert turned.words.split("; ")[1] == seen.words.split("; ")[1]


def test_going_on_says_when_to_look_again():
    seen = look_at_trial((47, 45), (28, 33))
    assert seen.verdict is LookVerdict.GO_ON
    assert seen.next_look == 60
    assert "look again at 60 an arm" in seen.words
    assert look_at_trial((235, 235), (140, 155), at_most=238).next_look in (None, 238)


def test_equal_arms_late_in_the_trial_are_not_worth_the_rest():
    seen = look_at_trial((200, 200), (130, 131))
    assert seen.verdict is LookVerdict.STOP
    assert seen.words.startswith("Stop: the second arm takes better with a chance of 5")


def test_at_its_end_the_trial_is_over():
    seen = look_at_trial((240, 240), (150, 165))
    assert seen.verdict is LookVerdict.ENDED
    assert seen.chance_of_claim == 0.0
    assert seen.next_look is None


def test_rates_that_leave_no_room_do_not_end_in_an_error():
    for takes in [(0, 0), (20, 20), (0, 20)]:
        assert 0.0 <= look_at_trial((20, 20), takes).chance_of_claim <= 1.0


def test_trays_keep_their_own_luck_out_of_the_comparison():
    grafts = np.full((4, 2), 10)
    takes = np.array([[1, 4], [9, 10], [3, 7], [8, 10]])
    inside = look_at_trial(grafts, takes)
    pooled = look_at_trial(grafts.sum(axis=0), takes.sum(axis=0))
    assert inside.chance_second_better > pooled.chance_second_better


def test_more_certainty_asked_for_claims_less():
    takes = (54, 68)
    assert look_at_trial((90, 90), takes, rule=LookRule(claim=0.95)).verdict is LookVerdict.CLAIM
    assert look_at_trial((90, 90), takes, rule=LookRule(claim=0.995)).verdict is LookVerdict.GO_ON


def test_counts_alone_decide_and_a_binomial_oracle_agrees():
    """Chance that the second is better, by summing the likelihood over a fine mesh of both rates with the same prior."""
    rates = np.linspace(0.001, 0.999, 999)
    first, second = np.meshgrid(rates, rates, indexing="ij")
    log_odds = np.log(second / (1 - second)) - np.log(first / (1 - first))
    density = 1 / (first * (1 - first) * second * (1 - second))
    weight = binom.pmf(30, 50, first) * binom.pmf(37, 50, second) * np.exp(-2.0 * log_odds**2) * density
    oracle = weight[log_odds > 0].sum() / weight.sum()
    assert look_at_trial((50, 50), (30, 37)).chance_second_better == pytest.approx(oracle, abs=0.01)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: look_at_trial((20, 20, 20), (1, 2, 3)), "one number for each of two arms"),
        (lambda: look_at_trial(20, 10), "one number for each of two arms"),
        (lambda: look_at_trial((20, 20), (21, 3)), "takes is 21.0; allowed: at most grafts"),
        (lambda: look_at_trial((20, np.nan), (1, 3)), "leave out grafts whose outcome is not known"),
        (lambda: look_at_trial((20, 20), (1, 3), at_most=0), "at_most is 0; allowed: a whole number, 1 or more"),
        (lambda: look_at_trial((20, 20), (1, 3), rule=LookRule(every=0)), "every is 0"),
        (lambda: look_at_trial((20, 20), (1, 3), rule=LookRule(claim=0.5)), "claim is 0.5; allowed: more than 0.5"),
        (lambda: look_at_trial((20, 20), (1, 3), rule=LookRule(futility=0.0)), "futility is 0.0"),
        (lambda: look_at_trial((20, 20), (1, 3), rule=LookRule(prior_sd=-1.0)), "prior_sd is -1.0"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
