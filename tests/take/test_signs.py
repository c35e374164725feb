"""Sensitivity and specificity of early signs, with the plants thrown away that showed none."""

import os

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.take.signs import NOT_SEEN, SIGN_PRIORS, SignEvidence, SignPrior, score_signs

LONG = os.environ.get("SCIONARY_HYPOTHESIS") == "long"
REPLICATES = 4000 if LONG else 300
SEASONS = [
    # plants, take rate, sensitivity, specificity, share of "yes" and of "no" that is followed up, sign
    (200, 0.6, 0.9, 0.5, 1.0, 0.1, "stalk_drops"),
    (200, 0.6, 0.95, 0.4, 1.0, 0.1, "stalk_drops"),
    (600, 0.6, 0.85, 0.7, 0.8, 0.1, "stalk_drops"),
    (200, 0.7, 0.6, 0.8, 1.0, 0.1, "bud_moving"),
    (200, 0.5, 0.7, 0.85, 0.9, 0.15, "callus_seen"),
]


def season(plants, take_rate, sensitivity, specificity, follow_yes, follow_no, rng):
    """Signs, and truths of those followed up; the others are NaN."""
    taken = rng.random(plants) < take_rate
    signs = np.where(taken, rng.random(plants) < sensitivity, rng.random(plants) > specificity)
    followed = rng.random(plants) < np.where(signs, follow_yes, follow_no)
    return signs.astype(float), np.where(followed, taken, np.nan)


def verified_only(signs, truths):
    """What a grower would count: among plants with a known end."""
    return np.mean(signs[truths == 1]), 1 - np.mean(signs[truths == 0])


@pytest.mark.slow
@pytest.mark.parametrize("case", SEASONS)
def test_thrown_away_plants_leave_at_most_two_points_of_bias(case):
    *numbers, sign = case
    sensitivity, specificity = numbers[2], numbers[3]
    rng = np.random.default_rng(4)
    errors, naive, held = [], [], []
    for _ in range(REPLICATES):
        signs, truths = season(*numbers, rng)
        scored = score_signs(signs, truths, SIGN_PRIORS[sign], draws=400, rng=rng)
        errors.append((scored.sensitivity.mean - sensitivity, scored.specificity.mean - specificity))
        both = ((scored.sensitivity, sensitivity), (scored.specificity, specificity))
        held.append([rate.low <= truth <= rate.high for rate, truth in both])
        naive.append(verified_only(signs, truths)[1] - specificity)
    assert np.all(np.abs(np.mean(errors, axis=0)) <= 0.02)
    assert np.all(np.mean(held, axis=0) >= 0.85)
    assert np.mean(naive) < -0.2  # else this would be no test of thrown-away plants


def test_all_verified_gives_the_plain_shares():
    signs, truths = [1] * 90 + [0] * 10 + [1] * 30 + [0] * 70, [1] * 100 + [0] * 100
    scored = score_signs(signs, truths, SignPrior((1e-6, 1e-6), (1e-6, 1e-6), (1e-6, 1e-6)))
    assert (scored.sensitivity.mean, scored.specificity.mean) == pytest.approx((0.9, 0.7), abs=1e-6)
    assert scored.counts == {"yes_taken": 90, "yes_lost": 30, "yes_unknown": 0, "no_taken": 10, "no_lost": 70, "no_unknown": 0}


def test_ranges_hold_what_they_promise_when_the_prior_is_true():
    rng, held = np.random.default_rng(9), []
    prior = SIGN_PRIORS["bud_moving"]
    for _ in range(400):
        yes, no, share = (rng.beta(*pair) for pair in (prior.take_if_yes, prior.take_if_no, prior.yes_share))
        signs = (rng.random(60) < share).astype(float)
        taken = rng.random(60) < np.where(signs == 1, yes, no)
        truths = np.where(rng.random(60) < np.where(signs == 1, 0.9, 0.05), taken, np.nan)
        scored = score_signs(signs, truths, prior, draws=500, rng=rng)
        sensitivity = yes * share / (yes * share + no * (1 - share))
        held.append(scored.sensitivity.low <= sensitivity <= scored.sensitivity.high)
    assert np.mean(held) == pytest.approx(0.9, abs=4 * np.sqrt(0.09 / 400))


def test_nothing_known_of_the_noes_leans_on_the_prior_says_so_and_stays_wide():
    signs, truths = np.repeat([1.0, 0.0], [150, 50]), np.repeat([1.0, 0.0, np.nan], [120, 30, 50])
    scored = score_signs(signs, truths)
    assert scored.take_if_no.mean == pytest.approx(0.25)
    assert scored.take_if_no.high - scored.take_if_no.low > 0.6
    assert scored.specificity.high - scored.specificity.low > 0.3
    assert any("No plant without the sign was followed up" in line for line in scored.assumptions)
    followed = score_signs(signs, np.where(np.arange(200) < 190, truths, 0.0))
    assert not any("followed up to its end" in line for line in followed.assumptions)


def test_a_stalk_that_drops_is_a_modest_sign_of_a_take_before_anything_is_seen():
    scored = score_signs([], [], SIGN_PRIORS["stalk_drops"])
    assert scored.sensitivity.mean == pytest.approx(0.9)
    assert scored.specificity.mean == pytest.approx(0.5)
    assert "alive, not that it is united" in " ".join(scored.assumptions)


def test_unscored_plants_change_nothing():
    signs, truths = [1, 1, 0, 1, 0], [1, 0, np.nan, 1, 0]
    more = score_signs([*signs, np.nan, np.nan], [*truths, 1, 0])
    assert more.sensitivity == score_signs(signs, truths).sensitivity


def test_draws_of_both_belong_together_and_follow_the_seed():
    first, again = (score_signs([1, 0, 1], [1, 0, np.nan], rng=3) for _ in range(2))
    assert np.array_equal(first.sensitivity_draws, again.sensitivity_draws)
    assert first.sensitivity_draws.shape == first.specificity_draws.shape == (4000,)


@given(st.lists(st.tuples(st.sampled_from([1.0, 0.0, np.nan]), st.sampled_from([1.0, 0.0, np.nan])), max_size=30))
def test_any_record_gives_ordered_ranges_and_finite_evidence(plants):
    signs, truths = [sign for sign, _ in plants], [truth for _, truth in plants]
    scored = score_signs(signs, truths, draws=50)
    for rate in (scored.sensitivity, scored.specificity, scored.take_if_yes, scored.take_if_no, scored.yes_share):
        assert 0 <= rate.low <= rate.high <= 1
        assert 0 < rate.mean < 1
    evidence = scored.evidence(signs)
    assert np.all(np.isfinite(evidence.if_taken))
    assert np.all(np.isfinite(evidence.if_lost))
    assert sum(scored.counts.values()) == np.sum(~np.isnan(signs)) == np.sum(evidence.kind != NOT_SEEN)


def test_evidence_is_the_log_of_the_shares():
    scored = score_signs([1, 0, 1, 0], [1, 0, 1, 1], draws=20)
    evidence = scored.evidence([0, 1, np.nan])
    assert evidence.kind.tolist() == [0, 1, NOT_SEEN]
    assert np.exp(evidence.if_taken[:, 1]) == pytest.approx(scored.sensitivity_draws)
    assert np.exp(evidence.if_lost[:, 0]) == pytest.approx(scored.specificity_draws)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: score_signs([1, 2], [1, 0]), "signs is 2.0 at index 1"),
        (lambda: score_signs([1, 0], [1, 0.5]), "truths is 0.5 at index 1"),
        (lambda: score_signs([1, 0], [1]), "truths is '1 numbers'; allowed: as many as signs"),
        (lambda: score_signs([1], [1], confidence=1.0), "confidence is 1.0"),
        (lambda: score_signs([1], [1], draws=0), "draws is 0"),
        (lambda: score_signs([[1]], [[1]]), "signs is 'an array of 2 dimensions'"),
        (lambda: SignPrior(take_if_no=(0.0, 1.0)), "take_if_no is"),
        (lambda: SignEvidence(np.array([2]), np.zeros((1, 2)), np.zeros((1, 2))), "evidence kind is 2; allowed: -1 to 1"),
        (lambda: SignEvidence(np.array([0]), np.zeros((1, 2)), np.zeros((2, 2))), "evidence is"),
        (lambda: SignEvidence(np.array([0]), np.full((1, 1), np.nan), np.zeros((1, 1))), "a missing log likelihood"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
