"""Is it really worse: differences with their chance, what matters most, what cannot be told apart."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import Rate, TakeRecords, aggregate_records, compare, confounding, fit_take, variance_shares
from take.simulated_records import simulated_records

CELLS = aggregate_records(simulated_records(200, {"cultivar": 5, "season": 3}, seed=1))
FIT = fit_take(CELLS, points=128, rng=1)
FIRST, SECOND = CELLS.level_names("cultivar")[:2]


def fitted(**given):
    return fit_take(aggregate_records(TakeRecords(**given)), points=128, rng=1)


def test_a_comparison_counts_draws():
    found = compare(FIT, "cultivar", FIRST, SECOND)
    draws = FIT.rate_draws("cultivar", Rate.REFERENCE)
    points = draws[:, 0] - draws[:, 1]
    assert found.chance_higher == pytest.approx(np.mean(points > 0))
    assert (found.points, found.points_low, found.points_high) == pytest.approx((points.mean(), *np.quantile(points, [0.05, 0.95])))
    odds = draws[:, 0] / (1 - draws[:, 0]) / (draws[:, 1] / (1 - draws[:, 1]))
    assert (found.odds_ratio, found.odds_ratio_low, found.odds_ratio_high) == pytest.approx(np.quantile(odds, [0.5, 0.05, 0.95]))


def test_turning_a_comparison_round_turns_its_answer_round():
    one, other = compare(FIT, "cultivar", FIRST, SECOND), compare(FIT, "cultivar", SECOND, FIRST)
    assert one.chance_higher == pytest.approx(1 - other.chance_higher)
    assert one.points == pytest.approx(-other.points)
    assert one.points_low == pytest.approx(-other.points_high)
    assert one.odds_ratio == pytest.approx(1 / other.odds_ratio)


def test_a_level_against_itself_is_even():
    found = compare(FIT, "cultivar", FIRST, FIRST)
    assert (found.chance_higher, found.points, found.odds_ratio) == (0.5, 0.0, 1.0)


def test_a_plain_difference_is_nearly_sure_and_never_quite():
    fit = fitted(takes=[95, 30], grafts=[100, 100], factors={"method": ["side", "cleft"]})
    found = compare(fit, "method", "side", "cleft")
    assert 0.999 < found.chance_higher < 1
    assert 0 < compare(fit, "method", "cleft", "side").chance_higher < 0.001
    assert found.points_low > 0.4


def test_a_thin_record_does_not_make_a_difference_sure():
    found = compare(fitted(takes=[3, 2], grafts=[3, 3], factors={"method": ["side", "cleft"]}), "method", "side", "cleft")
    assert 0.5 < found.chance_higher < 0.8
    assert found.points_low < 0 < found.points_high


def test_comparing_what_is_not_there_is_refused_by_name():
    with pytest.raises(BadValue, match="second is 'Nowhere'; allowed: a level of cultivar: cultivar 000, "):
        compare(FIT, "cultivar", FIRST, "Nowhere")
    with pytest.raises(BadValue, match="factor is 'lot'"):
        compare(FIT, "lot", "a", "b")


def test_a_comparison_turns_into_plain_values():
    assert compare(FIT, "cultivar", FIRST, SECOND).to_dict()["first"] == FIRST


def test_shares_of_variance_sum_to_one_the_weightiest_first():
    shares = variance_shares(FIT)
    assert shares.mean.sum() == pytest.approx(1.0)
    assert np.all(np.diff(shares.mean) <= 0)
    assert np.all((shares.low <= shares.mean) & (shares.mean <= shares.high))
    assert np.all((shares.sd_low <= shares.sd) & (shares.sd <= shares.sd_high))
    assert set(shares.to_dict()) == {"factor", "mean", "low", "high", "sd_low", "sd", "sd_high"}


def test_what_moves_takes_most_comes_first():
    rng = np.random.default_rng(2)
    cultivar, dome, thick = rng.integers(0, 8, 1500), rng.integers(0, 8, 1500), rng.normal(size=1500)
    eta = np.linspace(-2.5, 2.5, 8)[cultivar] + 0.05 * thick
    takes = rng.binomial(1, 1 / (1 + np.exp(-eta)))
    shares = variance_shares(fitted(takes=takes, factors={"dome": dome, "cultivar": cultivar}, covariates={"diameter": thick}))
    assert shares.factor[0] == "cultivar"
    assert shares.low[0] > 0.8
    assert set(shares.factor) == {"dome", "cultivar", "diameter"}


def test_without_factors_there_is_nothing_to_share_out():
    assert variance_shares(fitted(takes=[1, 0])).factor == ()


def records(**factors):
    return aggregate_records(TakeRecords(takes=np.zeros(len(next(iter(factors.values()))), int), factors=factors))


def test_factors_that_split_the_grafts_alike_are_wholly_confounded():
    found = confounding(records(lot=["a", "a", "b"], dome=["A", "A", "B"]))
    assert {(each.factor, each.level, each.other, each.other_level, each.grafts, each.whole) for each in found} == {
        ("lot", "a", "dome", "A", 2, True),
        ("lot", "b", "dome", "B", 1, True),
        ("dome", "A", "lot", "a", 2, True),
        ("dome", "B", "lot", "b", 1, True),
    }
    assert [each.grafts for each in found] == [2, 2, 1, 1]


def test_a_level_inside_another_is_named_and_not_whole():
    found = confounding(records(day=["d1", "d2", "d3", "d3"], season=["s1", "s1", "s2", "s2"]))
    assert ("day", "d1", "season", "s1", False) in {(e.factor, e.level, e.other, e.other_level, e.whole) for e in found}
    assert ("season", "s2", "day", "d3", False) in {(e.factor, e.level, e.other, e.other_level, e.whole) for e in found}
    assert not any(each.factor == "season" and each.level == "s1" for each in found)


def test_crossed_factors_and_factors_of_one_level_are_not_confounded():
    assert confounding(records(lot=["a", "a", "b", "b"], dome=["A", "B", "A", "B"])) == []
    assert confounding(records(lot=["a", "b"], season=["s", "s"])) == []
    assert confounding(records(lot=[], dome=[])) == []


def test_what_was_not_recorded_does_not_hide_or_make_confounding():
    found = confounding(records(lot=["a", "b", "", "b"], dome=["A", "B", "B", ""]))
    assert {(each.level, each.other_level) for each in found if each.factor == "lot"} == {("a", "A"), ("b", "B")}


def test_confounding_turns_into_plain_values():
    assert confounding(records(lot=["a", "b"], dome=["A", "B"]))[0].to_dict()["whole"] is True
