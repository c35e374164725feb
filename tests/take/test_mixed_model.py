"""Take rates from crossed effects: three kinds of rate, predictions with shared shocks, and records that say little."""

import numpy as np
import pytest
from scipy.special import expit, logit
from scipy.stats import halfnorm, norm

from scionary.errors import BadValue
from scionary.take import Rate, TakeCells, TakePriors, TakeRecords, aggregate_records, chance_of_at_least, fit_take
from scionary.take.mixed_model import average_over_shocks
from take.simulated_records import simulated_records

RECORDS = simulated_records(160, {"cultivar": 6, "season": 3, "dome": 5}, seed=1, covariates=1)
FIT = fit_take(aggregate_records(RECORDS), points=128, rng=1)


def fitted(points=128, rng=1, priors=None, **given):
    return fit_take(aggregate_records(TakeRecords(**given)), points=points, rng=rng, priors=priors)


def same(one, other):
    return np.array_equal(one.latent, other.latent) and np.array_equal(one.scale_draws, other.scale_draws)


def weighed(values, weight, shares=(0.05, 0.95)):
    order = np.argsort(values)
    return np.interp(shares, np.cumsum(weight[order]) - weight[order] / 2, values[order])


# ------------------------------------------------------------------------------------- slower ways to the same posterior


def test_a_rate_alone_agrees_with_an_integral():
    fit = fitted(takes=[7], grafts=[9])
    eta = np.linspace(-6, 8, 20_001)
    weight = norm.pdf(eta, 0.5, 1.0) * expit(eta) ** 7 * (1 - expit(eta)) ** 2
    weight /= weight.sum()
    mean = eta @ weight
    sd = np.sqrt((eta - mean) ** 2 @ weight)
    assert fit.fixed.mean[0] == pytest.approx(mean, abs=0.06 * sd)
    assert fit.fixed.sd[0] == pytest.approx(sd, rel=0.05)
    assert [fit.fixed.low[0], fit.fixed.high[0]] == pytest.approx(weighed(eta, weight), abs=0.1 * sd)


def test_one_factor_agrees_with_draws_from_the_prior_weighed_by_the_record():
    grafts, takes = np.array([9, 4, 12]), np.array([8, 1, 7])
    rng = np.random.default_rng(5)
    size = 600_000
    sigma = np.abs(rng.normal(0, 0.5, size))
    rates = expit(rng.normal(0.5, 1.0, size)[:, None] + sigma[:, None] * rng.normal(size=(size, 3)))
    weight = np.prod(rates**takes * (1 - rates) ** (grafts - takes), axis=1)
    weight /= weight.sum()
    fit = fitted(points=512, takes=takes, grafts=grafts, factors={"lot": ["a", "b", "c"]}, priors=TakePriors(other_scale=0.5))
    table = fit.rates("lot", Rate.REFERENCE)
    for level in range(3):
        mean = rates[:, level] @ weight
        sd = np.sqrt((rates[:, level] - mean) ** 2 @ weight)
        assert table.mean[level] == pytest.approx(mean, abs=0.08 * sd)
        assert table.sd[level] == pytest.approx(sd, rel=0.06)
        assert [table.low[level], table.high[level]] == pytest.approx(weighed(rates[:, level], weight), abs=0.2 * sd)
    sd = np.sqrt((sigma - sigma @ weight) ** 2 @ weight)
    assert [fit.scales.low[0], fit.scales.high[0]] == pytest.approx(weighed(sigma, weight), abs=0.15 * sd)
    assert fit.scale_draws[:, 0].mean() == pytest.approx(sigma @ weight, abs=0.08 * sd)


# ------------------------------------------------------------------------------------------------- what must not matter


def test_the_same_seed_gives_the_same_fit_and_another_gives_another():
    cells = aggregate_records(RECORDS)
    assert same(fit_take(cells, points=64, rng=3), fit_take(cells, points=64, rng=np.random.default_rng(3)))
    assert not same(fit_take(cells, points=64, rng=3), fit_take(cells, points=64, rng=4))


def test_the_order_of_rows_does_not_matter():
    order = np.random.default_rng(2).permutation(160)
    turned = TakeRecords(takes=RECORDS.takes[order], factors={name: column[order] for name, column in RECORDS.factors.items()})
    straight = TakeRecords(takes=RECORDS.takes, factors=RECORDS.factors)
    assert same(fit_take(aggregate_records(straight), points=64, rng=1), fit_take(aggregate_records(turned), points=64, rng=1))


def test_a_row_a_graft_equals_a_row_a_count():
    counts = fitted(points=64, takes=[3, 1], grafts=[5, 2], factors={"cultivar": ["Tarn", "Ember"]})
    single = fitted(points=64, takes=[1, 1, 1, 0, 0, 1, 0], factors={"cultivar": ["Tarn"] * 5 + ["Ember"] * 2})
    assert same(counts, single)


def test_codes_equal_names():
    named = fitted(points=64, takes=[1, 0, 1], factors={"cultivar": ["Ember", "Tarn", "Tarn"]})
    coded = fitted(points=64, takes=[1, 0, 1], factors={"cultivar": [0, 1, 1]}, levels={"cultivar": ["Ember", "Tarn"]})
    assert same(named, coded)


def test_another_seed_moves_the_ranges_by_little():
    other = fit_take(FIT.cells, points=128, rng=9).rates("cultivar", Rate.LONG_RUN)
    table = FIT.rates("cultivar", Rate.LONG_RUN)
    assert np.all(np.abs(other.mean - table.mean) < 0.1 * table.sd)
    assert np.all(np.abs(other.low - table.low) < 0.2 * table.sd)


# ---------------------------------------------------------------------------------------------------- three kinds of rate


def test_a_reference_rate_is_the_logistic_of_intercept_and_effect():
    draws = FIT.rate_draws("cultivar", Rate.REFERENCE)
    start = FIT.design.starts[0]
    assert draws == pytest.approx(expit(FIT.latent[:, :1] + FIT.latent[:, start : start + 6]))


def test_a_long_run_rate_is_the_mean_over_shocks():
    rng = np.random.default_rng(3)
    passing = np.sqrt(np.sum(FIT.scale_draws[:, 1:] ** 2, axis=1))
    total = np.zeros((4000, 6))
    for _ in range(400):
        total += expit(logit(FIT.rate_draws("cultivar", Rate.REFERENCE)) + (passing * rng.normal(size=4000))[:, None])
    assert FIT.rate_draws("cultivar", Rate.LONG_RUN).mean(axis=0) == pytest.approx(total.mean(axis=0) / 400, abs=0.002)


@pytest.mark.parametrize("sd", [0.0, 0.3, 1.0, 2.5])
def test_averaging_over_shocks_agrees_with_an_integral(sd):
    eta = np.array([-3.0, -0.5, 0.0, 2.0])
    shock = norm.ppf((np.arange(20_000) + 0.5) / 20_000)
    truth = expit(eta[:, None] + sd * shock).mean(axis=1)
    assert average_over_shocks(eta[None], np.array([sd]))[0] == pytest.approx(truth, abs=5e-4)


def test_a_long_run_rate_lies_nearer_to_a_half():
    reference, long_run = (FIT.rate_draws("cultivar", kind) for kind in (Rate.REFERENCE, Rate.LONG_RUN))
    assert np.all(np.abs(long_run - 0.5) <= np.abs(reference - 0.5) + 1e-12)


def test_a_coming_season_is_less_sure_than_the_long_run_and_has_the_same_mean():
    long_run, coming = (FIT.rates("cultivar", kind) for kind in (Rate.LONG_RUN, Rate.NEXT_SEASON))
    assert np.all(coming.high - coming.low > 1.1 * (long_run.high - long_run.low))
    assert coming.mean == pytest.approx(long_run.mean, abs=0.012)


def test_in_a_coming_season_all_cultivars_share_its_luck():
    long_run, coming = (FIT.rate_draws("cultivar", kind) for kind in (Rate.LONG_RUN, Rate.NEXT_SEASON))
    luck = logit(coming) - logit(FIT.rate_draws("cultivar", Rate.REFERENCE))
    assert luck == pytest.approx(np.repeat(luck[:, :1], 6, axis=1))
    assert np.corrcoef(coming[:, 0], coming[:, 1])[0, 1] > np.corrcoef(long_run[:, 0], long_run[:, 1])[0, 1]


def test_without_passing_factors_the_three_rates_are_one():
    fit = fitted(points=64, takes=[3, 1], grafts=[5, 5], factors={"cultivar": ["Tarn", "Ember"]})
    tables = [fit.rates("cultivar", kind) for kind in Rate]
    assert all(np.array_equal(table.low, tables[0].low) for table in tables)


def test_a_long_run_rate_keeps_the_method_of_its_own_grafts():
    methods = np.repeat(["side", "cleft"], 60)
    cultivars = np.repeat(["Tarn", "Ember"], 60)
    takes = np.r_[np.tile([1, 1, 1, 1, 1, 0], 10), np.tile([1, 0, 0, 0, 0, 0], 10)]
    fit = fitted(takes=takes, factors={"cultivar": cultivars, "method": methods})
    reference, long_run = (fit.rates("cultivar", kind).mean for kind in (Rate.REFERENCE, Rate.LONG_RUN))
    ember, tarn = 0, 1
    assert long_run[tarn] == pytest.approx(50 / 60, abs=0.05)
    assert long_run[ember] == pytest.approx(10 / 60, abs=0.05)
    assert long_run[ember] < reference[ember] < reference[tarn] < long_run[tarn]


def test_a_cultivar_without_a_record_has_the_methods_of_the_whole_record():
    methods = np.repeat(["side", "side", "cleft"], 40)
    takes = np.r_[np.tile([1, 1, 1, 1, 0], 16), np.zeros(40, int)]
    given = {"cultivar": [*np.repeat(["Tarn", "Ember"], 40), *np.repeat("Ash", 40), "Zephyr"], "method": [*methods, ""]}
    table = fitted(takes=[*takes, 0], grafts=[1] * 120 + [0], factors=given, points=512).rates("cultivar", Rate.LONG_RUN)
    assert table.grafts[3] == 0
    assert [table.mean[3], table.low[3], table.high[3]] == pytest.approx(
        [table.new_level.mean, table.new_level.low, table.new_level.high], abs=0.04
    )


def test_a_new_cultivar_brings_a_new_mother_tree():
    rng = np.random.default_rng(8)
    mother = np.repeat(np.arange(12), 40)
    takes = rng.binomial(1, expit(0.5 + rng.normal(0, 1.2, 12)[mother]))
    given = {"takes": takes, "points": 256, "priors": TakePriors(other_scale=1.0)}
    of_trees = fitted(factors={"cultivar": mother // 3, "mother": mother}, **given)
    shock = of_trees.scale_draws * rng.normal(size=of_trees.scale_draws.shape)
    truth = expit(of_trees.latent[:, 0] + shock.sum(axis=1))
    new = of_trees.rates("cultivar", Rate.LONG_RUN).new_level
    assert [new.low, new.high] == pytest.approx(np.quantile(truth, [0.05, 0.95]), abs=0.02)


def test_confidence_widens_the_range_around_the_same_mean():
    narrow, wide = (FIT.rates("cultivar", Rate.LONG_RUN, confidence=share) for share in (0.5, 0.95))
    assert np.array_equal(narrow.mean, wide.mean)
    assert np.all((wide.low < narrow.low) & (narrow.high < wide.high))
    assert (narrow.confidence, wide.confidence) == (0.5, 0.95)


def test_a_table_counts_the_record():
    table = FIT.rates("cultivar", Rate.REFERENCE)
    names = FIT.cells.level_names("cultivar")
    assert table.grafts.tolist() == [np.sum(RECORDS.factors["cultivar"] == name) for name in names]
    assert table.takes.tolist() == [RECORDS.takes[RECORDS.factors["cultivar"] == name].sum() for name in names]


def test_thin_records_are_pulled_to_the_others_and_long_ones_stand():
    table = fitted(takes=[2, 180, 60, 62, 58], grafts=[2, 200, 100, 100, 100], factors={"cultivar": list("abcde")}).rates(
        "cultivar", Rate.REFERENCE
    )
    assert 0.6 < table.mean[0] < 0.85
    assert table.mean[1] == pytest.approx(0.9, abs=0.02)


def test_a_confounded_record_is_less_sure_than_one_that_tells_factors_apart():
    takes = np.tile([1, 1, 1, 0, 1, 0, 1, 1, 0, 1], 8)
    cultivar = np.repeat(["Tarn", "Ember"], 40)
    together = fitted(takes=takes, factors={"cultivar": cultivar, "dome": np.repeat(["A", "B"], 40)})
    apart = fitted(takes=takes, factors={"cultivar": cultivar, "dome": np.tile(["A", "B"], 40)})
    assert np.all(together.effects("cultivar").sd > 1.05 * apart.effects("cultivar").sd)


def test_a_covariate_moves_the_rate_the_way_it_does_in_the_record():
    rng = np.random.default_rng(4)
    diameter = rng.normal(8.0, 2.0, 400)
    fit = fitted(takes=rng.binomial(1, expit(0.3 + 0.5 * (diameter - 8.0))), covariates={"diameter": diameter})
    slope = fit.fixed
    assert slope.name == ("intercept", "diameter")
    assert slope.low[1] < 0.5 * diameter.std() < slope.high[1]
    assert slope.low[1] > 0


# ------------------------------------------------------------------------------------------------------------- predictions


def coming(**given):
    """Cells to come: for each factor their codes and the names of its levels."""
    none = np.zeros(len(next(iter(given.values()))[0]), dtype=int)
    factors = {name: np.array(codes) for name, (codes, _) in given.items()}
    return TakeCells(grafts=none, takes=none, factors=factors, levels={name: names for name, (_, names) in given.items()})


def test_a_known_level_brings_its_own_draws():
    name = FIT.cells.level_names("cultivar")[2]
    cells = coming(
        cultivar=([0], (name,)), season=([0], (FIT.cells.level_names("season")[1],)), dome=([0], (FIT.cells.level_names("dome")[0],))
    )
    starts = FIT.design.starts
    truth = expit(FIT.latent[:, 0] + FIT.latent[:, starts[0] + 2] + FIT.latent[:, starts[1] + 1] + FIT.latent[:, starts[2]])
    assert np.sort(FIT.predict(cells, draws=4000, rng=1)[:, 0]) == pytest.approx(np.sort(truth))


def test_cells_under_the_same_new_level_share_its_shock():
    draws = FIT.predict(coming(dome=([0, 0, 1, -1, -1], ("new one", "another"))), draws=4000, rng=1)
    assert np.array_equal(draws[:, 0], draws[:, 1])
    assert np.array_equal(draws[:, 3], draws[:, 4])
    assert not np.any(draws[:, 0] == draws[:, 2])
    assert not np.any(draws[:, 0] == draws[:, 3])
    # what two domes share is the season and the cultivar; each dome adds luck of its own
    shared = np.corrcoef(logit(draws[:, 0]), logit(draws[:, 2]))[0, 1]
    assert 0.3 < shared < 0.97


def test_a_factor_that_is_left_out_is_one_new_level_for_all():
    left_out = FIT.predict(coming(cultivar=([0, 0], FIT.cells.level_names("cultivar"))), draws=4000, rng=1)
    assert np.array_equal(left_out[:, 0], left_out[:, 1])
    assert left_out.mean() == pytest.approx(FIT.rates("cultivar", Rate.LONG_RUN).mean[0], abs=0.015)
    assert left_out.std() == pytest.approx(FIT.rates("cultivar", Rate.NEXT_SEASON).sd[0], rel=0.06)


def test_a_covariate_at_its_mean_or_left_out_is_the_same():
    with_it = TakeCells(grafts=np.ones(1, int), takes=np.zeros(1, int), factors={}, covariates={"x0": np.zeros(1)})
    without = TakeCells(grafts=np.ones(1, int), takes=np.zeros(1, int), factors={})
    assert np.array_equal(FIT.predict(with_it, draws=500, rng=1), FIT.predict(without, draws=500, rng=1))
    higher = TakeCells(grafts=np.ones(1, int), takes=np.zeros(1, int), factors={}, covariates={"x0": np.full(1, 1.0)})
    moved = logit(FIT.predict(higher, draws=4000, rng=1)) - logit(FIT.predict(without, draws=4000, rng=1))
    assert np.sort(moved[:, 0]) == pytest.approx(np.sort(FIT.latent[:, 1]))


def test_predictions_can_be_more_or_fewer_than_the_draws():
    cells = coming(cultivar=([0, 1], FIT.cells.level_names("cultivar")))
    assert FIT.predict(cells, draws=10, rng=1).shape == (10, 2)
    assert FIT.predict(cells, draws=9000, rng=1).shape == (9000, 2)
    assert np.array_equal(FIT.predict(cells, draws=10, rng=1), FIT.predict(cells, draws=10, rng=np.random.default_rng(1)))
    with pytest.raises(BadValue, match="draws is 0; allowed: 1 or more"):
        FIT.predict(cells, draws=0, rng=1)


def test_numbers_to_graft_follow_from_predictions():
    draws = FIT.predict(coming(cultivar=([0], FIT.cells.level_names("cultivar"))), draws=4000, rng=1)[:, 0]
    assert chance_of_at_least(draws, 40, 10) > chance_of_at_least(draws, 20, 10)


# ----------------------------------------------------------------------------------------------- records that say little


def test_a_level_without_a_record_is_as_unsure_as_a_new_one():
    fit = fitted(takes=[8, 3, 0], grafts=[12, 12, 0], factors={"cultivar": ["Tarn", "Ember", "Zephyr"]}, points=512)
    table = fit.rates("cultivar", Rate.LONG_RUN)
    assert table.grafts[2] == 0
    assert [table.mean[2], table.low[2], table.high[2]] == pytest.approx(
        [table.new_level.mean, table.new_level.low, table.new_level.high], abs=0.03
    )
    assert table.high[2] - table.low[2] > 1.2 * (table.high[0] - table.low[0])


def test_no_rows_at_all_leave_what_was_supposed():
    fit = fitted(
        points=512, takes=[], factors={"cultivar": []}, levels={"cultivar": ["Tarn", "Ember"]}, priors=TakePriors(scale={}, other_scale=0.8)
    )
    rng = np.random.default_rng(1)
    truth = expit(rng.normal(0.5, 1, 400_000) + np.abs(rng.normal(0, 0.8, 400_000)) * rng.normal(size=400_000))
    table = fit.rates("cultivar", Rate.REFERENCE)
    for level in range(2):
        assert [table.low[level], table.mean[level], table.high[level]] == pytest.approx(
            [np.quantile(truth, 0.05), truth.mean(), np.quantile(truth, 0.95)], abs=0.02
        )
    assert [fit.scales.low[0], fit.scales.high[0]] == pytest.approx(halfnorm.ppf([0.05, 0.95], scale=0.8), abs=0.02)


def test_one_row_is_little_more_than_nothing():
    table = fitted(takes=[1], factors={"cultivar": ["Tarn"]}).rates("cultivar", Rate.LONG_RUN)
    assert table.low[0] < 0.4
    assert table.high[0] > 0.9
    assert table.mean[0] == pytest.approx(0.68, abs=0.03)


@pytest.mark.parametrize(("takes", "low", "high"), [(60, 0.9, 1.0), (0, 0.0, 0.1)])
def test_all_took_or_none_did_is_neither_certainty_nor_an_error(takes, low, high):
    table = fitted(takes=[takes] * 3, grafts=[60] * 3, factors={"cultivar": ["a", "b", "c"]}).rates("cultivar", Rate.REFERENCE)
    assert np.all((low < table.low) & (table.low < table.high) & (table.high < high))
    assert np.all((table.mean > low) & (table.mean < high))


def test_a_factor_of_one_level_adds_doubt_and_nothing_else():
    takes, grafts, cultivar = [9, 4], [12, 12], ["Tarn", "Ember"]
    without = fitted(takes=takes, grafts=grafts, factors={"cultivar": cultivar})
    with_it = fitted(takes=takes, grafts=grafts, factors={"cultivar": cultivar, "season": ["2025", "2025"]})
    one, other = (fit.rates("cultivar", Rate.LONG_RUN) for fit in (without, with_it))
    assert other.mean == pytest.approx(one.mean, abs=0.04)
    assert np.all(other.high - other.low > one.high - one.low)
    assert with_it.scales.high[1] == pytest.approx(halfnorm.ppf(0.95, scale=0.5), rel=0.15)


def test_two_factors_that_are_the_same_share_what_there_is():
    column = np.repeat(["a", "b", "c"], 20)
    fit = fitted(takes=np.tile([1, 1, 1, 0, 1], 12), factors={"lot": column, "day": column})
    assert fit.scales.mean[0] == pytest.approx(fit.scales.mean[1], rel=0.1)
    assert fit.effects("lot").mean == pytest.approx(fit.effects("day").mean, abs=0.05)


def test_a_covariate_never_measured_says_so_and_keeps_its_prior():
    fit = fitted(takes=[4, 2], grafts=[6, 6], factors={"lot": ["a", "b"]}, covariates={"diameter": [np.nan, np.nan]})
    assert fit.fixed.mean[1] == pytest.approx(0.0, abs=0.03)
    assert fit.fixed.sd[1] == pytest.approx(0.5, rel=0.05)
    assert "diameter was never measured, so it says nothing here." in fit.assumptions


def test_missing_measurements_are_counted_in_words():
    fit = fitted(takes=[4, 2], grafts=[6, 4], factors={"lot": ["a", "b"]}, covariates={"diameter": [7.0, np.nan]})
    assert "diameter is missing for 4 of 10 grafts; they are taken as average in it." in fit.assumptions


def test_what_was_not_recorded_takes_part_without_a_name():
    fit = fitted(takes=[5, 1, 3], grafts=[6, 6, 6], factors={"lot": ["L1", "", "L2"]})
    assert fit.effects("lot").name == ("L1", "L2")
    assert fit.rates("lot", Rate.REFERENCE).grafts.tolist() == [6, 6]


def test_a_name_of_300_characters_is_kept():
    name = "A" * 300
    assert fitted(takes=[1, 0], factors={"cultivar": [name, "b"]}).effects("cultivar").name[0] == name


def test_levels_that_cannot_differ_are_found_not_to():
    rng = np.random.default_rng(6)
    fit = fitted(takes=rng.binomial(200, 0.6, 12), grafts=np.full(12, 200), factors={"lot": np.arange(12)})
    assert fit.scales.high[0] < 0.25


def test_levels_that_differ_much_are_found_to():
    rates = np.linspace(0.1, 0.95, 12)
    fit = fitted(takes=np.round(200 * rates).astype(int), grafts=np.full(12, 200), factors={"lot": np.arange(12)})
    assert fit.scales.low[0] > 0.8
    assert fit.rates("lot", Rate.REFERENCE).mean == pytest.approx(rates, abs=0.02)


# -------------------------------------------------------------------------------------------------------- asking wrongly


@pytest.mark.parametrize(
    ("given", "message"),
    [({"points": 3}, "points is 3; allowed: 16 or more"), ({"draws": 10}, "draws is 10; allowed: 100 or more")],
)
def test_too_few_points_or_draws_are_refused(given, message):
    with pytest.raises(BadValue, match=message):
        fit_take(FIT.cells, rng=1, **given)


def test_a_factor_that_is_not_there_is_refused_by_name():
    with pytest.raises(BadValue, match="factor is 'lot'; allowed: cultivar, season, dome"):
        FIT.rates("lot", Rate.REFERENCE)
    with pytest.raises(BadValue, match="none: this record has no factors"):
        fitted(takes=[1, 0]).rate_draws("lot", Rate.REFERENCE)
    with pytest.raises(BadValue, match="factor is 'lot'"):
        FIT.effects("lot")


def test_a_confidence_that_is_no_share_is_refused():
    with pytest.raises(BadValue, match="confidence is 1"):
        FIT.rates("cultivar", Rate.REFERENCE, confidence=1.0)


def test_progress_may_stop_a_fit():
    def stop(share, word):
        raise KeyboardInterrupt(word)

    with pytest.raises(KeyboardInterrupt, match="weighing"):
        fit_take(FIT.cells, rng=1, progress=stop)


def test_effective_size_and_assumptions_are_told():
    assert 0.25 * 128 < FIT.effective_size <= 128
    assert any("cultivar 0.8" in line for line in FIT.assumptions)


def test_tables_turn_into_plain_lists():
    plain = FIT.scales.to_dict()
    assert plain["name"] == ["cultivar", "season", "dome"]
    assert all(isinstance(value, float) for value in plain["median"])


def test_a_covariate_that_is_not_known_widens_what_is_foretold():
    rng = np.random.default_rng(3)
    air = rng.normal(size=400)
    takes = (rng.random(400) < expit(0.3 + 1.2 * air)).astype(int)
    fit = fitted(points=16, takes=takes, factors={"cultivar": ["Red Tarn"] * 400}, covariates={"vpd_kpa": air})
    nothing = np.zeros(1, dtype=np.int64)
    cells = TakeCells(nothing, nothing, {"cultivar": nothing}, levels={"cultivar": ("Red Tarn",)})
    at_mean, varied = (fit.predict(cells, draws=4000, rng=1, vary=vary)[:, 0] for vary in (False, True))
    assert at_mean.std() < 0.05
    assert varied.std() > 0.18  # a slope of 1.2 on a standard normal number


# --------------------------------------------------------------------------------------------------- all grafts together


def test_the_rate_of_all_grafts_is_the_mean_of_their_own_levels_rates():
    fit = fitted(
        takes=[18, 3, 9, 6],
        grafts=[20, 10, 12, 12],
        factors={"cultivar": ["a", "b", "a", "b"], "method": ["x", "x", "y", "y"], "season": [1, 1, 2, 2]},
    )
    start = dict(zip(fit.design.factors, fit.design.starts, strict=False))
    cultivar, method = (fit.latent[:, start[name] : start[name] + 2] for name in ("cultivar", "method"))
    sd = fit.scale_draws[:, fit.design.factors.index("season")]
    total = np.zeros(len(fit.latent))
    for (c, m), grafts in {(0, 0): 20, (1, 0): 10, (0, 1): 12, (1, 1): 12}.items():
        eta = fit.latent[:, 0] + cultivar[:, c] + method[:, m]
        total += grafts / 54 * average_over_shocks(eta[:, None], sd)[:, 0]
    found = fit.overall(Rate.LONG_RUN)
    assert found.mean == pytest.approx(total.mean())
    assert [found.low, found.high] == pytest.approx(np.quantile(total, [0.05, 0.95]))


def test_a_coming_season_of_all_grafts_is_as_likely_and_less_sure():
    long_run, coming = (FIT.overall(kind) for kind in (Rate.LONG_RUN, Rate.NEXT_SEASON))
    assert coming.mean == pytest.approx(long_run.mean, abs=0.02)
    assert coming.low < long_run.low < long_run.mean < long_run.high < coming.high


def test_all_grafts_of_one_cultivar_have_its_rate_and_none_a_new_one_s():
    one = fitted(takes=[7, 9], grafts=[10, 15], factors={"cultivar": ["a", "a"], "season": [1, 2]})
    table = one.rates("cultivar", Rate.LONG_RUN)
    found = one.overall(Rate.LONG_RUN)
    assert [found.mean, found.low, found.high] == pytest.approx([table.mean[0], table.low[0], table.high[0]])
    empty = fitted(takes=[], grafts=[], factors={"cultivar": [], "season": []})
    new = empty.rates("cultivar", Rate.LONG_RUN).new_level
    assert [empty.overall(Rate.LONG_RUN).low, empty.overall(Rate.LONG_RUN).high] == pytest.approx([new.low, new.high], abs=0.03)


def test_the_surety_of_all_grafts_must_be_a_share():
    with pytest.raises(BadValue):
        FIT.overall(Rate.LONG_RUN, confidence=1.0)
