"""What a trial found."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import Verdict, analyse_trial, trial_layout
from scionary.take.effect import share_difference
from scionary.take.stratified import stratified_test
from take.simulated_trials import simulated_takes


def outcomes_with(layout, takes):
    """Outcomes of a layout in which so many of each tray (row) and arm (column) took."""
    known = np.zeros(layout.arm.size)
    for (tray, arm), count in np.ndenumerate(np.asarray(takes)):
        known[np.flatnonzero((layout.tray == tray) & (layout.arm == arm))[: int(count)]] = 1.0
    return known


def two_arms(trays=6, places=40):
    return trial_layout(["whip", "veneer"], [places] * trays, rng=5)


def test_a_clear_difference_is_claimed_in_a_growers_words():
    layout = two_arms()
    found = analyse_trial(layout, outcomes_with(layout, [[9, 17], [11, 15], [10, 16], [12, 18], [8, 14], [11, 17]]))
    (pair,) = found.comparisons
    assert pair.verdict is Verdict.SECOND_BETTER
    assert pair.p_value < 0.001
    assert pair.chance_second_better > 0.999
    assert found.words.startswith("veneer takes better than whip: 97 of 120 took with veneer and 61 of 120 took with whip; in 100 grafts")
    assert found.compared == "grafts inside trays"
    assert found.warnings == ()


def test_arms_in_the_other_order_give_the_same_finding_turned():
    layout = two_arms()
    turned = outcomes_with(layout, [[17, 9], [15, 11], [16, 10], [18, 12], [14, 8], [17, 11]])
    found = analyse_trial(layout, turned)
    (pair,) = found.comparisons
    assert pair.verdict is Verdict.FIRST_BETTER
    assert pair.high < 0.0
    assert found.words.startswith("whip takes better than veneer")
    low, high = found.words.split("(")[1].split(" more in")[0].split(" more to ")
    assert 0 < int(low) < int(high)


def test_no_difference_found_is_not_called_equality():
    layout = two_arms(trays=2, places=20)
    found = analyse_trial(layout, outcomes_with(layout, [[6, 7], [7, 8]]))
    (pair,) = found.comparisons
    assert pair.verdict is Verdict.NOT_TOLD_APART
    assert pair.low < 0.0 < pair.high
    assert "does not tell them apart" in found.words
    assert "need not be equal" in found.words
    assert "fewer to" in found.words


def test_the_verdict_turns_where_the_asked_significance_lies():
    layout = two_arms()
    known = outcomes_with(layout, [[11, 13], [12, 14], [10, 13], [12, 13], [11, 14], [12, 15]])
    p_value = analyse_trial(layout, known).comparisons[0].p_value
    assert 0.02 < p_value < 0.2
    for factor, verdict in ((1.01, Verdict.SECOND_BETTER), (0.99, Verdict.NOT_TOLD_APART)):
        assert analyse_trial(layout, known, significance=factor * p_value).comparisons[0].verdict is verdict


def test_the_size_pulls_towards_none_from_the_plain_difference():
    layout = two_arms()
    (pair,) = analyse_trial(layout, outcomes_with(layout, [[10, 14]] * 6)).comparisons
    assert 0.1 < pair.difference < 0.2
    assert pair.low < pair.difference < pair.high


def test_trays_of_unequal_luck_do_not_blur_what_happens_inside_them():
    layout = two_arms()
    takes = np.array([[1, 5], [2, 7], [9, 14], [16, 19], [17, 20], [8, 13]])
    (pair,) = analyse_trial(layout, outcomes_with(layout, takes)).comparisons
    pooled = stratified_test(np.array([[120.0, 120.0]]), takes.sum(axis=0, keepdims=True).astype(float))
    assert pair.p_value < pooled / 5


def test_trays_that_disagree_take_the_claim_back_when_that_is_allowed_for():
    layout = two_arms()
    known = outcomes_with(layout, [[5, 20], [4, 19], [5, 18], [16, 14], [14, 11], [13, 11]])
    plain, varying = analyse_trial(layout, known), analyse_trial(layout, known, interaction=True)
    assert plain.comparisons[0].verdict is Verdict.SECOND_BETTER
    assert "do not agree well enough on whip against veneer" in plain.warnings[-1]
    assert varying.comparisons[0].verdict is Verdict.NOT_TOLD_APART
    assert varying.comparisons[0].tray_spread > 0.5
    assert varying.comparisons[0].high - varying.comparisons[0].low > plain.comparisons[0].high - plain.comparisons[0].low
    assert varying.compared == "differences between trays"


def test_whole_trays_are_compared_and_not_their_grafts():
    layout = trial_layout(["warm", "cool"], [25] * 6, whole_tray=True, rng=2)
    # as grafts: 54 against 39 of 75, which would pass for sure; as trays, three against three that overlap
    counts = np.zeros((6, 2))
    counts[layout.counts[:, 0] > 0, 0] = [22, 12, 20]
    counts[layout.counts[:, 1] > 0, 1] = [18, 9, 12]
    found = analyse_trial(layout, outcomes_with(layout, counts))
    assert found.comparisons[0].verdict is Verdict.NOT_TOLD_APART
    assert found.comparisons[0].p_value > 0.1
    assert stratified_test(np.array([[75.0, 75.0]]), np.array([[54.0, 39.0]])) < 0.02
    assert found.compared == "whole trays"
    assert 0.5 < 1.0 - found.comparisons[0].chance_second_better < 0.95


def test_whole_trays_that_part_clearly_are_told_apart():
    layout = trial_layout(["warm", "cool"], [25] * 10, whole_tray=True, rng=2)
    counts = np.zeros((10, 2))
    counts[layout.counts[:, 0] > 0, 0] = [9, 12, 8, 11, 10]
    counts[layout.counts[:, 1] > 0, 1] = [21, 19, 23, 20, 22]
    (pair,) = analyse_trial(layout, outcomes_with(layout, counts)).comparisons
    assert pair.verdict is Verdict.SECOND_BETTER
    assert pair.chance_second_better > 0.99
    assert pair.low > 0.0


def test_one_tray_an_arm_cannot_be_told_however_clear_it_looks():
    layout = trial_layout(["warm", "cool"], [50, 50], whole_tray=True, rng=1)
    counts = np.where(layout.counts > 0, np.where(np.arange(2) == 0, 45, 5), 0)
    found = analyse_trial(layout, outcomes_with(layout, counts))
    assert found.comparisons[0].verdict is Verdict.CANNOT_BE_TOLD
    assert found.words.startswith("Nothing can be told from this trial")
    assert "Nothing can be claimed" in found.warnings[0]


def test_what_is_not_known_is_left_out_and_said():
    layout = two_arms()
    known = outcomes_with(layout, [[10, 14]] * 6)
    some = known.copy()
    lost = np.flatnonzero(layout.arm == 1)[:10]
    some[lost] = np.nan
    found = analyse_trial(layout, some)
    assert (found.arms[0].unknown, found.arms[1].unknown) == (0, 10)
    assert found.arms[1].known == 110
    assert "10 outcomes are not known (0 with whip, 10 with veneer)" in found.warnings[0]


def test_nothing_known_yet_is_no_finding():
    layout = two_arms()
    found = analyse_trial(layout, np.full(layout.arm.size, np.nan))
    assert found.comparisons[0].verdict is Verdict.CANNOT_BE_TOLD
    assert found.comparisons[0].chance_second_better == pytest.approx(0.5)
    assert np.isnan(found.arms[0].share)


@pytest.mark.parametrize("whole_tray", [False, True])
def test_all_took_everywhere_says_that_nothing_was_told(whole_tray):
    layout = trial_layout(["a", "b"], [20] * 8, whole_tray=whole_tray, rng=3)
    found = analyse_trial(layout, np.ones(layout.arm.size))
    assert found.comparisons[0].verdict in (Verdict.CANNOT_BE_TOLD, Verdict.NOT_TOLD_APART)
    assert found.comparisons[0].low < 0.0 < found.comparisons[0].high


def test_several_arms_are_compared_in_pairs_and_pay_for_it():
    layout = trial_layout(["a", "b", "c"], [30] * 6, rng=4)
    takes = np.array([[5, 6, 8], [4, 6, 9], [5, 5, 9], [6, 5, 9], [4, 5, 8], [5, 6, 9]])
    found = analyse_trial(layout, outcomes_with(layout, takes))
    assert [(pair.first, pair.second) for pair in found.comparisons] == [("a", "b"), ("a", "c"), ("b", "c")]
    plain = [stratified_test(np.full((6, 2), 10.0), takes[:, pair].astype(float)) for pair in ([0, 1], [0, 2], [1, 2])]
    smallest, middle, largest = sorted(plain)
    expected = {largest: max(largest, 2 * middle, 3 * smallest), middle: max(2 * middle, 3 * smallest), smallest: 3 * smallest}
    assert [pair.p_value for pair in found.comparisons] == pytest.approx([expected[p_value] for p_value in plain])
    assert found.words.count("takes better than") == 2
    assert len(found.to_dict()["comparisons"]) == 3


def test_a_size_from_few_grafts_does_not_shut_out_what_was_counted():
    layout = trial_layout(["clear film", "black film"], [30], rng=3)
    counts = layout.counts[0]
    found = analyse_trial(layout, outcomes_with(layout, [[counts[0] - 1, 2]]))
    (pair,) = found.comparisons
    counted = 2 / counts[1] - (counts[0] - 1) / counts[0]
    assert pair.verdict is Verdict.FIRST_BETTER
    assert pair.low < counted < pair.high < -0.4
    assert abs(pair.difference - counted) < 0.1
    assert any("so that they follow what was counted" in words for words in found.assumptions)


@pytest.mark.parametrize(("trays", "truth_sd"), [(5, 1.0), (2, 1.0)])
def test_ranges_of_the_size_hold_the_truth_as_often_as_they_say(trays, truth_sd):
    """Trays of ten grafts an arm: 90 % ranges of the difference, against truths at the mean rate."""
    trials = 600
    layout = trial_layout(["a", "b"], [20] * trays, rng=6)
    rng = np.random.default_rng(31)
    held = 0
    for number in range(trials):
        truth = rng.normal(0.0, truth_sd)
        odds = np.exp(0.5 + np.array([-0.5, 0.5]) * truth)
        takes = simulated_takes(layout.counts, odds / (1 + odds), tray_sd=0.5, trials=1, seed=number)[0]
        (pair,) = analyse_trial(layout, outcomes_with(layout, takes)).comparisons
        middle = float(np.mean((takes.sum(axis=0) + 0.5) / (10 * trays + 1)))
        held += bool(pair.low <= share_difference(truth, middle) <= pair.high)
    assert 0.88 <= held / trials <= 0.95


@pytest.mark.parametrize(
    ("outcomes", "named", "message"),
    [
        ([1, 0], {}, r"of shape \(2,\)'; allowed: one a graft, 8 in all"),
        ([2, 0, 0, 0, 0, 0, 0, 0], {}, r"outcomes is 2.0 at index 0; allowed: 1 \(took\)"),
        (["yes"] * 8, {}, "allowed: numbers"),
        ([1] * 8, {"significance": 0.0}, "significance is 0.0"),
        ([1] * 8, {"confidence": 1.0}, "confidence is 1.0"),
        ([1] * 8, {"prior_sd": 0.0}, "prior_sd is 0.0; allowed: more than 0"),
        ([1] * 8, {"size_prior_sd": 0.0}, "size_prior_sd is 0.0; allowed: more than 0"),
    ],
)
def test_what_cannot_be_is_refused(outcomes, named, message):
    layout = trial_layout(["a", "b"], [4, 4], rng=1)
    with pytest.raises(BadValue, match=message):
        analyse_trial(layout, outcomes, **named)
