"""Weighted points over the scales, against the definition of the map and integrals on fine grids."""

import numpy as np
import pytest
from scipy.stats import halfnorm

from scionary.take import TakeCells, TakePriors, aggregate_records
from scionary.take.design import Design
from scionary.take.laplace import Conditional
from scionary.take.scale_map import scale_of_score
from scionary.take.scale_points import _Gathered, _ScalePosterior, proposal_at_mode, spread_points
from scionary.take.scale_proposal import Proposal
from take.simulated_records import simulated_records

ONE = Design.of(aggregate_records(simulated_records(60, {"cultivar": 8}, seed=3, counts=True)), TakePriors())
TWO = Design.of(aggregate_records(simulated_records(80, {"cultivar": 8, "dome": 4}, seed=4)), TakePriors())
NO_GRAFTS = Design.of(
    TakeCells(grafts=np.array([], dtype=int), takes=np.array([], dtype=int), factors={"lot": np.array([], dtype=int)}), TakePriors()
)


def corrected(design, sigma):
    found = Conditional.at(design, sigma)
    return found.log_marginal() + found.correction(found.cell_variance())


def quantiles(values, weight, at):
    order = np.argsort(values)
    return np.interp(at, np.cumsum(weight[order]) - weight[order] / 2, values[order])


def test_one_scale_agrees_with_an_integral_on_a_fine_grid():
    sigma = np.linspace(1e-4, 4.0, 1500)
    log_weight = np.array([corrected(ONE, np.array([each])) for each in sigma]) + halfnorm.logpdf(sigma, scale=0.8)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    found = spread_points(ONE, 128, np.random.default_rng(1), None)
    mean = sigma @ weight
    sd = np.sqrt((sigma - mean) ** 2 @ weight)
    assert found.weights.sum() == pytest.approx(1.0)
    assert found.scales[:, 0] @ found.weights == pytest.approx(mean, abs=0.03 * sd)
    assert quantiles(found.dense[0][:, 0], found.dense[1], [0.05, 0.5, 0.95]) == pytest.approx(
        quantiles(sigma, weight, [0.05, 0.5, 0.95]), abs=0.03 * sd
    )


def test_two_scales_agree_with_an_integral_on_a_grid():
    theta = np.linspace(-5.0, 4.0, 46)
    grid = np.stack([each.ravel() for each in np.meshgrid(theta, theta, indexing="ij")], axis=1)
    scales = scale_of_score(grid, TWO.half_normal)[0]
    log_weight = np.array([corrected(TWO, each) for each in scales]) - 0.5 * np.sum(grid**2, axis=1)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    found = spread_points(TWO, 256, np.random.default_rng(1), None)
    mean = weight @ scales
    sd = np.sqrt(weight @ (scales - mean) ** 2)
    assert np.all(np.abs(found.weights @ found.scales - mean) < 0.03 * sd)


def test_without_records_the_points_are_the_prior():
    found = spread_points(NO_GRAFTS, 256, np.random.default_rng(1), None)
    assert found.theta[:, 0] @ found.weights == pytest.approx(0.0, abs=0.01)
    assert found.theta[:, 0] ** 2 @ found.weights == pytest.approx(1.0, abs=0.02)
    assert found.effective_size > 0.8 * 256


def test_modes_are_kept_with_their_points():
    found = spread_points(TWO, 64, np.random.default_rng(1), None)
    for i in (0, 17, 63):
        assert found.modes[i] == pytest.approx(Conditional.at(TWO, found.scales[i]).mode, abs=1e-3)


def test_without_factors_there_is_one_point():
    design = Design.of(aggregate_records(simulated_records(20, {}, seed=1)), TakePriors())
    found = spread_points(design, 64, np.random.default_rng(1), None)
    assert (len(found.weights), found.effective_size) == (1, 1.0)


def test_points_drawn_in_the_wrong_place_are_followed_by_better_ones():
    away = Proposal(np.array([-2.0, -2.0]), np.eye(2), np.array([0.5, 0.5]), np.array([0.5, 0.5]))
    gathered = _Gathered(_ScalePosterior(TWO), away, 256, None)
    rng = np.random.default_rng(2)
    gathered.draw(128, rng)
    poor = gathered.effective_size / 128
    gathered.draw(128, rng)
    assert gathered.effective_size / 256 > 2 * poor


def test_progress_rises_to_its_end_and_may_stop_the_work():
    shares = []
    spread_points(TWO, 64, np.random.default_rng(1), lambda share, word: shares.append(share))
    assert shares == sorted(shares)
    assert 0 <= shares[0] < shares[-1] <= 1

    def stop(share, word):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        spread_points(TWO, 64, np.random.default_rng(1), stop)


def test_density_of_a_later_round_is_normalised():
    posterior = _ScalePosterior(ONE)
    gathered = _Gathered(posterior, proposal_at_mode(posterior), 256, None)
    rng = np.random.default_rng(6)
    gathered.draw(64, rng)
    _, log_density = gathered._where_the_surface_is_high(64, rng)
    grid = np.linspace(-8.0, 8.0, 4001)[:, None]
    assert np.trapezoid(np.exp(log_density(grid)), grid[:, 0]) == pytest.approx(1.0, abs=0.03)
