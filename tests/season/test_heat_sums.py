"""Heat sums of a stage, learned from few looks: pooled, honest, and right as often as they say."""

import os

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import HeatPriors, fit_heat_sums

SEASONS = int(os.environ.get("SCIONARY_TRIALS", "0")) // 20 or 100


def exact(looks):
    """Fit looks as (cultivar, season, heat sum)."""
    cultivar, season, heat = zip(*looks, strict=True)
    return fit_heat_sums(cultivar, season, heat, heat)


def test_without_a_look_the_prior_is_given_back():
    low, middle, high = fit_heat_sums([], [], [], []).quantile([0.05, 0.5, 0.95])
    assert middle == pytest.approx(150.0, rel=0.01)
    assert low < 60 < 350 < high


def test_looks_narrow_the_range_and_the_more_so_the_more_there_are():
    few = exact([("A", "2024", 200.0), ("A", "2025", 210.0)])
    many = exact([("A", str(year), 200.0 + year % 3 * 5) for year in range(2010, 2026)])
    widths = [np.diff(np.log(fit.quantile([0.05, 0.95], cultivar="A")))[0] for fit in (few, many)]
    assert widths[1] < widths[0] < 1.2
    assert many.quantile(0.5, cultivar="A") == pytest.approx(205.0, rel=0.03)


def test_a_cultivar_looked_at_once_is_pulled_towards_the_others():
    rng = np.random.default_rng(8)
    looks = [(name, year, 150.0 * rng.lognormal(0.0, 0.15)) for name in "ABCDE" for year in ("2022", "2023", "2024")]
    fit = exact([*looks, ("F", "2024", 300.0)])
    assert 160.0 < fit.quantile(0.5, cultivar="F") < 290.0
    assert fit.quantile(0.5, cultivar="A") == pytest.approx(150.0, rel=0.2)


def test_a_new_cultivar_has_a_wider_range_than_a_known_one():
    rng = np.random.default_rng(2)
    fit = exact([(name, year, h * rng.uniform(0.95, 1.05)) for name, h in zip("ABCD", (120, 150, 180, 230), strict=True) for year in "123"])
    known, new = (np.diff(np.log(fit.quantile([0.05, 0.95], cultivar=name)))[0] for name in ("A", None))
    assert new > 1.5 * known


def test_this_season_s_looks_at_others_count():
    looks = [(name, year, 150.0) for name in "ABC" for year in ("2021", "2022", "2023", "2024")]
    fit = exact([*looks, ("A", "2025", 190.0), ("B", "2025", 192.0)])
    assert fit.quantile(0.5, cultivar="C", season="2025") > 1.1 * fit.quantile(0.5, cultivar="C", season="2026")


def test_not_yet_reached_moves_the_chance_on():
    fit = exact([("A", "2024", 150.0), ("A", "2025", 160.0)])
    plain, seen = fit.chance([160.0], cultivar="A"), fit.chance([160.0], cultivar="A", above=150.0)
    assert 0.0 < seen[0] < plain[0]
    assert fit.chance([150.0], cultivar="A", above=150.0)[0] == pytest.approx(0.0, abs=1e-9)
    assert np.isnan(fit.chance([np.nan])[0])


def test_rare_looks_count_less_than_daily_ones():
    def fit(width):
        heat = np.full(4, 200.0)
        return fit_heat_sums(["A"] * 4, list("1234"), heat * np.exp(-width / 2), heat * np.exp(width / 2))

    widths = [np.diff(np.log(fit(width).quantile([0.05, 0.95], cultivar="A")))[0] for width in (0.0, 1.0)]
    assert widths[0] < widths[1]


def test_a_stage_reached_before_the_first_look_is_left_out_and_counted():
    fit = fit_heat_sums(["A", "B"], ["1", "1"], [100.0, np.nan], [120.0, 130.0])
    assert (fit.looks, fit.left_out, fit.cultivars) == (1, 1, ("A",))


def test_draws_follow_the_chances():
    fit = exact([("A", "1", 140.0), ("B", "1", 170.0), ("A", "2", 150.0)])
    drawn = fit.draws(20_000, rng=4, cultivar="A")
    assert np.mean(drawn <= 160.0) == pytest.approx(fit.chance(160.0, cultivar="A"), abs=0.015)
    assert fit.draws(5, rng=4).tolist() == fit.draws(5, rng=4).tolist()


def test_the_table_names_each_cultivar_and_a_new_one():
    rows = exact([("A", "1", 140.0), ("B", "1", 170.0)]).table()
    assert [row["cultivar"] for row in rows] == ["A", "B", None]
    assert all(row["low"] < row["middle"] < row["high"] for row in rows)


def simulated(rng, priors):
    """Looks of some cultivars in some seasons drawn from the model, and three truths to come."""
    tau, omega, sigma = np.abs(rng.normal(0.0, [priors.cultivars, priors.seasons, priors.rest]))
    mu = np.log(priors.middle) + rng.normal(0.0, priors.spread)
    cultivars, seasons = rng.normal(0.0, tau, 6), rng.normal(0.0, omega, 3)
    looks = [
        (str(i), str(j), np.exp(mu + a + b + rng.normal(0.0, sigma)), *rng.uniform(0.0, [0.15, 0.15]))
        for i, a in enumerate(cultivars)
        for j, b in enumerate(seasons)
        if rng.random() < 0.6
    ]
    rest = rng.normal(0.0, sigma, 3)
    known = np.exp(mu + cultivars[0] + rng.normal(0.0, omega) + rest[0])
    new = np.exp(mu + rng.normal(0.0, tau) + rng.normal(0.0, omega) + rest[1])
    return looks, (
        (known, {"cultivar": "0"}),
        (new, {}),
        (np.exp(mu + cultivars[0] + seasons[0] + rest[2]), {"cultivar": "0", "season": "0"}),
    )


def test_ranges_hold_the_truth_nine_times_in_ten():
    rng, priors = np.random.default_rng(11), HeatPriors()
    held = np.zeros((SEASONS, 3))
    for trial in range(SEASONS):
        looks, truths = simulated(rng, priors)
        before, at = ([h * np.exp(sign * w[k]) for _, _, h, *w in looks] for k, sign in ((0, -1), (1, 1)))
        fit = fit_heat_sums([look[0] for look in looks], [look[1] for look in looks], before, at)
        held[trial] = [0.05 <= float(fit.chance(truth, **which)) <= 0.95 for truth, which in truths]
    slack = 3.0 * np.sqrt(0.09 / SEASONS)
    assert np.all(np.abs(held.mean(axis=0) - 0.9) < slack)


@pytest.mark.parametrize(
    ("before", "at", "message"),
    [([100.0], [0.0], r"heat_at is 0\.0"), ([130.0], [120.0], r"heat_before is 130\.0"), ([1.0, 2.0], [3.0], "heat_at is '1 sums'")],
)
def test_looks_that_cannot_be_are_refused(before, at, message):
    with pytest.raises(BadValue, match=message):
        fit_heat_sums(["A"], ["1"], before, at)


def test_a_prior_without_width_is_refused():
    with pytest.raises(BadValue, match="spread is 0"):
        HeatPriors(spread=0.0)
