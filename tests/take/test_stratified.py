"""Two arms compared inside trays, or tray against tray.

Short form: 1,000 simulated trials. Long form: SCIONARY_TRIALS=20000 pytest tests/take/test_stratified.py
"""

from itertools import combinations, product

import numpy as np
import pytest

from scionary.take.stratified import mantel_haenszel_odds_ratio, stratified_test, tray_test, whole_tray_test
from take.simulated_trials import errors, share, simulated_takes

pytestmark = pytest.mark.slow
TEN_EACH = np.full((12, 2), 10.0)


def test_stratified_test_comes_near_every_reassignment_listed():
    """Two trays of eight, four of either arm: all 70 x 70 ways that the lot could have fallen."""
    outcomes = np.array([[1, 1, 1, 0, 1, 0, 0, 0], [1, 1, 1, 1, 0, 1, 1, 0]], dtype=float)
    halves = [list(half) for half in combinations(range(8), 4)]
    grafts = np.full((2, 2), 4.0)

    def excess(first, second):
        return sum(row[half].sum() - row.sum() / 2.0 for row, half in zip(outcomes, (first, second), strict=True))

    seen = excess(halves[0], halves[0])
    ways = np.array([excess(first, second) for first, second in product(halves, halves)])
    # a count is compared with a continuous curve: half of what lies just at the edge belongs inside
    exact = np.mean(np.abs(ways) > abs(seen)) + 0.5 * np.mean(np.abs(ways) == abs(seen))
    takes = np.array([[outcomes[tray, 4:].sum(), outcomes[tray, :4].sum()] for tray in range(2)])
    assert stratified_test(grafts, takes) == pytest.approx(exact, abs=0.03)


def test_arms_turned_round_turn_the_odds_ratio_and_keep_the_tests():
    grafts, takes = np.array([[9.0, 11.0], [10.0, 8.0], [7.0, 7.0]]), np.array([[4.0, 9.0], [5.0, 6.0], [2.0, 5.0]])
    assert mantel_haenszel_odds_ratio(grafts[:, ::-1], takes[:, ::-1]) == pytest.approx(1 / mantel_haenszel_odds_ratio(grafts, takes))
    for test in (stratified_test, tray_test):
        assert test(grafts[:, ::-1], takes[:, ::-1]) == pytest.approx(test(grafts, takes))


def test_trays_with_one_arm_are_left_out():
    grafts, takes = np.array([[10.0, 10.0], [10.0, 10.0]]), np.array([[4.0, 8.0], [5.0, 7.0]])
    alone_grafts, alone_takes = np.array([[0.0, 30.0]]), np.array([[0.0, 30.0]])
    for function in (mantel_haenszel_odds_ratio, stratified_test, tray_test):
        assert function(np.vstack([grafts, alone_grafts]), np.vstack([takes, alone_takes])) == function(grafts, takes)


def test_where_nothing_can_be_told_there_is_no_number():
    all_took = np.array([[5.0, 5.0]])
    assert np.isnan(stratified_test(all_took, all_took))
    assert np.isnan(mantel_haenszel_odds_ratio(all_took, all_took))
    assert np.isnan(tray_test(all_took, np.array([[2.0, 3.0]])))
    assert np.isnan(whole_tray_test((np.array([5.0]), np.array([2.0])), (np.array([5.0, 5.0]), np.array([2.0, 3.0]))))
    assert mantel_haenszel_odds_ratio(all_took, np.array([[2.0, 5.0]])) == np.inf


def test_tray_tests_are_students_when_trays_are_alike_in_size():
    from scipy.stats import ttest_1samp, ttest_ind

    takes = np.array([[4.0, 9.0], [5.0, 6.0], [2.0, 5.0], [6.0, 6.0]])
    grafts = np.full((4, 2), 10.0)
    assert tray_test(grafts, takes) == pytest.approx(ttest_1samp((takes[:, 1] - takes[:, 0]) / 10, 0.0).pvalue)
    arms = (grafts[:, 0], takes[:, 0]), (grafts[:3, 1], takes[:3, 1])
    assert whole_tray_test(*arms) == pytest.approx(ttest_ind(takes[:, 0] / 10, takes[:3, 1] / 10).pvalue)


def test_trays_that_happen_to_be_equal_are_not_taken_for_certainty():
    grafts = np.full((3, 2), 10.0)
    takes = np.array([[7.0, 8.0]] * 3)
    assert tray_test(grafts, takes) > 0.2
    assert whole_tray_test((grafts[:, 0], takes[:, 0]), (grafts[:, 1], takes[:, 1])) > 0.2


@pytest.mark.parametrize("tray_sd", [0.0, 1.0])
def test_stratified_test_claims_as_seldom_as_it_says(tray_sd):
    takes = simulated_takes(TEN_EACH, (0.6, 0.6), tray_sd=tray_sd, seed=21)
    claims = share(stratified_test(TEN_EACH, one) < 0.05 for one in takes)
    assert claims == pytest.approx(0.05, abs=errors(0.05) + 0.005)


def test_treatment_that_works_differently_in_trays_needs_the_tray_test():
    grafts = np.full((8, 2), 20.0)
    takes = simulated_takes(grafts, (0.6, 0.6), tray_sd=0.5, interaction_sd=0.5, seed=22)
    by_graft = share(stratified_test(grafts, one) < 0.05 for one in takes)
    by_tray = share(tray_test(grafts, one) < 0.05 for one in takes)
    assert by_graft > 0.07
    assert by_tray == pytest.approx(0.05, abs=errors(0.05) + 0.01)


@pytest.mark.parametrize("tray_sd", [0.5, 0.8])
def test_whole_trays_counted_by_graft_claim_far_too_often_and_by_tray_do_not(tray_sd):
    grafts = np.full((10, 1), 20.0)
    rates = (0.6,)
    takes = simulated_takes(grafts, rates, tray_sd=tray_sd, seed=23)[:, :, 0]
    arms = [((grafts[:5, 0], one[:5]), (grafts[5:, 0], one[5:])) for one in takes]
    by_tray = share(whole_tray_test(*one) < 0.05 for one in arms)
    pooled = [np.array([[one[:5].sum(), one[5:].sum()]]) for one in takes]
    by_graft = share(stratified_test(np.array([[100.0, 100.0]]), one) < 0.05 for one in pooled)
    assert by_graft > 0.13
    assert by_tray == pytest.approx(0.05, abs=errors(0.05) + 0.01)
