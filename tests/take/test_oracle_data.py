"""The stored posteriors that the estimates of takes are held against are complete and do not contradict themselves."""

import numpy as np
import pytest
from oracle.nursery import NURSERIES
from oracle.store import read

STORED = {nursery.name: read(nursery.name) for nursery in NURSERIES}
POINTS = ("q05", "q25", "q50", "q75", "q95")
each_data_set = pytest.mark.parametrize(("cells", "posterior"), STORED.values(), ids=STORED)


def rows(posterior, kind):
    """Which rows are of this kind of quantity."""
    return np.char.startswith(posterior["names"], f"{kind}:")


def test_sizes_run_from_a_small_season_to_a_large_one():
    assert [int(cells.grafts.sum()) for cells, _ in STORED.values()] == [60, 203, 600, 2000]


@each_data_set
def test_takes_never_exceed_grafts(cells, posterior):
    assert np.all((cells.takes >= 0) & (cells.takes <= cells.grafts) & (cells.grafts > 0))


@each_data_set
def test_every_level_occurs_and_every_factor_has_a_prior(cells, posterior):
    assert all(np.array_equal(np.unique(codes), np.arange(cells.levels(name))) for name, codes in cells.factors.items())
    assert cells.priors.scale.keys() == cells.factors.keys()
    assert cells.priors.slope_sd.keys() == cells.covariates.keys()


@each_data_set
def test_covariates_are_standardised_over_grafts(cells, posterior):
    for values in cells.covariates.values():
        assert np.average(values, weights=cells.grafts) == pytest.approx(0.0, abs=1e-9)
        assert np.average(values**2, weights=cells.grafts) == pytest.approx(1.0)


@each_data_set
def test_each_parameter_and_each_rate_is_summarised_once(cells, posterior):
    cultivars = range(cells.levels("cultivar"))
    effects = [f"effect:{name}:{code}" for name in cells.factors for code in range(cells.levels(name))]
    parameters = [f"fixed:{name}" for name in ("intercept", *cells.covariates)] + [f"scale:{name}" for name in cells.factors] + effects
    rates = [f"{kind}:{code}" for kind in ("rate_at_reference", "long_run_rate") for code in cultivars]
    assert posterior["names"].tolist() == parameters + rates
    assert all(
        len(values) == len(posterior["names"]) and (key == "names" or np.all(np.isfinite(values))) for key, values in posterior.items()
    )


@each_data_set
def test_chains_agree_and_none_diverged(cells, posterior):
    run = cells.metadata["run"]
    assert run["chains"] == 4
    assert run["divergences"] == 0
    assert posterior["r_hat"].max() < 1.005
    assert min(posterior[key].min() for key in ("ess_bulk", "ess_q05", "ess_q95")) >= 4000


@each_data_set
def test_every_stored_number_is_known_to_a_thirtieth_of_the_posterior_sd(cells, posterior):
    for key in ("mean", "sd", *POINTS):
        error = posterior[f"mcse_{key}"]
        assert np.all(error > 0), key
        assert np.all(error < posterior["sd"] / 30), key


@each_data_set
def test_quantiles_are_in_order_and_the_width_is_their_distance(cells, posterior):
    points = np.array([posterior[key] for key in POINTS])
    assert np.all(np.diff(points, axis=0) > 0)
    assert posterior["width90"] == pytest.approx(points[-1] - points[0])


@each_data_set
def test_rates_are_chances_and_scales_are_positive(cells, posterior):
    rates = rows(posterior, "rate_at_reference") | rows(posterior, "long_run_rate")
    assert np.all((posterior["q05"][rates] > 0) & (posterior["q95"][rates] < 1))
    assert np.all(posterior["q05"][rows(posterior, "scale")] > 0)


@each_data_set
def test_long_run_rates_lie_nearer_to_a_half(cells, posterior):
    reference, long_run = (posterior["q50"][rows(posterior, kind)] for kind in ("rate_at_reference", "long_run_rate"))
    far = np.abs(reference - 0.5) > 0.1
    assert np.any(far)
    assert np.all(np.abs(long_run - 0.5)[far] < np.abs(reference - 0.5)[far])


def weighted_draws(cells, size, rng):
    """Draw from the prior and weigh by the chance of the record: slow, and shares nothing with the sampler but the model."""
    priors = cells.priors
    intercept = rng.normal(priors.intercept_mean, priors.intercept_sd, size)
    eta, drawn = np.tile(intercept[:, None], len(cells.grafts)), {"fixed:intercept": intercept}
    for name, codes in cells.factors.items():
        drawn[f"scale:{name}"] = np.abs(rng.normal(0.0, priors.scale[name], size))
        effects = rng.normal(size=(size, cells.levels(name))) * drawn[f"scale:{name}"][:, None]
        eta += effects[:, codes]
        drawn |= {f"effect:{name}:{code}": effects[:, code] for code in range(cells.levels(name))}
    for code in range(cells.levels("cultivar")):
        drawn[f"rate_at_reference:{code}"] = 1.0 / (1.0 + np.exp(-intercept - drawn[f"effect:cultivar:{code}"]))
    chance = np.sum(cells.takes * eta - cells.grafts * np.logaddexp(0.0, eta), axis=1)
    weight = np.exp(chance - chance.max())
    return drawn, weight / weight.sum()


def test_the_smallest_posterior_agrees_with_weighing_draws_from_the_prior():
    cells, posterior = STORED["grafts_60"]
    drawn, weight = weighted_draws(cells, 300_000, np.random.default_rng(11))
    stored = {name: row for row, name in enumerate(posterior["names"].tolist())}
    for name, values in drawn.items():
        mean, row = weight @ values, stored[name]
        noise = np.hypot(np.sqrt(weight**2 @ (values - mean) ** 2), posterior["mcse_mean"][row])
        assert abs(mean - posterior["mean"][row]) < 4 * noise, name
        assert np.sqrt(weight @ (values - mean) ** 2) == pytest.approx(posterior["sd"][row], rel=0.08), name
