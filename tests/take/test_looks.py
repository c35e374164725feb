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
from scionary.take.stratified import stratified_test
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
    assert claims > 0.83 - errors(0.83, SIMULATED)
    assert mean < 160


@pytest.mark.slow
def test_twelve_looks_and_the_end_rarely_claim_a_difference_that_is_none():
    strict, _ = simulated((0.6, 0.6), 0.99, seed=42)
    loose, _ = simulated((0.6, 0.6), 0.975, seed=42)
    assert strict < 0.05 + errors(0.05, SIMULATED)
    assert loose > strict


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
    ends = [stratified_test(np.array([[160.0, 160.0]]), np.array([takes + extra], dtype=float)) < 0.05 for extra in more]
    assert seen.chance_of_claim == pytest.approx(np.mean(ends), abs=4 * np.sqrt(0.25 / plays))
    assert 0.05 < seen.chance_of_claim < 0.6


@pytest.mark.parametrize("takes", [(13, 3), (9, 3), (8, 5)])
def test_one_graft_before_the_end_the_chance_is_that_of_the_final_test(takes):
    """14 and 15 known, one to come: its two outcomes, put to the test that then decides."""
    seen = look_at_trial((14, 15), takes, at_most=15, waiting=(1, 0))
    ends = [look_at_trial((15, 15), (takes[0] + more, takes[1]), at_most=15) for more in (0, 1)]
    claimed = [end.verdict is LookVerdict.CLAIM for end in ends]
    p_values = [stratified_test(np.array([[15.0, 15.0]]), np.array([[takes[0] + more, takes[1]]], dtype=float)) for more in (0, 1)]
    assert claimed == [p_value < 0.05 for p_value in p_values]
    if claimed[0] == claimed[1]:
        assert seen.chance_of_claim == pytest.approx(float(claimed[0]), abs=1e-9)
    else:
        assert 0.4 < seen.chance_of_claim < 0.9
    assert seen.words.startswith("Go on: it is judged once, when all outcomes are known (chance of a claim then ")


def test_a_small_trial_says_that_it_is_looked_at_once():
    seen = look_at_trial((5, 5), (5, 1), at_most=15)
    assert (seen.verdict, seen.next_look) == (LookVerdict.GO_ON, 15)
    assert seen.assumptions[0].startswith("The trial is looked at once, at the end")
    assert not any("stops" in words for words in seen.assumptions)
    assert seen.chance_of_claim > 0.2
    assert look_at_trial((40, 40), (20, 24)).assumptions[0].startswith("Looks come every 20 known of each")


def test_nothing_is_over_while_a_graft_of_the_larger_arm_is_waited_for():
    seen = look_at_trial((30, 29), (18, 18), at_most=29, waiting=(0, 3))
    assert seen.verdict is not LookVerdict.ENDED
    assert look_at_trial((30, 32), (18, 20), at_most=30, waiting=(0, 0)).verdict is LookVerdict.ENDED


def test_before_the_first_look_nothing_is_decided():
    seen = look_at_trial((19, 19), (2, 19))
    assert seen.chance_second_better > 0.99
    assert seen.verdict is LookVerdict.GO_ON
    assert seen.next_look == 20
    assert seen.words == "Go on: it is too early to judge; look when 20 of each are known."


def test_a_clear_difference_is_claimed():
    seen = look_at_trial((100, 100), (50, 78))
    assert seen.verdict is LookVerdict.CLAIM
    assert (seen.chance_of_claim, seen.next_look) == (1.0, None)
    assert seen.words.startswith(
        "Claim it: the second arm takes better with a chance of more than 99.9 %; in 100 grafts that is about 28 more"
    )
    turned = look_at_trial((100, 100), (78, 50))
    assert turned.verdict is LookVerdict.CLAIM
    assert "the first arm takes better" in turned.words
    assert turned.words.split("; ")[1] == seen.words.split("; ")[1]


def test_going_on_says_when_to_look_again():
    seen = look_at_trial((47, 45), (28, 33))
    assert seen.verdict is LookVerdict.GO_ON
    assert seen.next_look == 60
    assert "look again when 60 of each are known" in seen.words
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
        (lambda: look_at_trial((20, 20), (1, 3), rule=LookRule(significance=1.0)), "significance is 1.0"),
        (lambda: look_at_trial((20, 20), (1, 3), waiting=(1, -1)), "waiting is .*two whole numbers"),
        (lambda: look_at_trial((20, 20), (1, 3), rule=LookRule(prior_sd=-1.0)), "prior_sd is -1.0"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
