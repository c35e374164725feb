"""Weighted points over the scales, against the definition of the map and integrals on fine grids."""

import numpy as np
import pytest
from scipy.stats import halfnorm, norm

from scionary.take import TakeCells, TakePriors, aggregate_records
from scionary.take.design import Design
from scionary.take.laplace import Conditional
from scionary.take.scale_points import Proposal, _Surface, _weighed, scale_of_score, spread_points
from take.simulated_records import simulated_records

ONE = Design.of(aggregate_records(simulated_records(60, {"cultivar": 8}, seed=3, counts=True)), TakePriors())
TWO = Design.of(aggregate_records(simulated_records(80, {"cultivar": 8, "dome": 4}, seed=4)), TakePriors())
NO_GRAFTS = Design.of(
    TakeCells(grafts=np.array([], dtype=int), takes=np.array([], dtype=int), factors={"lot": np.array([], dtype=int)}), TakePriors()
)


def corrected(design, sigma):
    found = Conditional.at(design, sigma)
    return found.log_marginal() + found.correction(found.inverse())


def quantiles(values, weight, at):
    order = np.argsort(values)
    return np.interp(at, np.cumsum(weight[order]) - weight[order] / 2, values[order])


def test_scale_for_a_score_is_what_the_map_says():
    theta = np.linspace(-4.0, 4.0, 33)[:, None]
    sigma, _ = scale_of_score(theta, np.array([0.8]))
    assert sigma == pytest.approx(0.8 * norm.ppf((1 + norm.cdf(theta)) / 2))


def test_normal_scores_make_half_normal_scales():
    theta = norm.ppf((np.arange(2000) + 0.5) / 2000)[:, None]
    sigma, _ = scale_of_score(theta, np.array([0.5]))
    assert np.sort(sigma[:, 0]) == pytest.approx(halfnorm.ppf((np.arange(2000) + 0.5) / 2000, scale=0.5))


def test_map_keeps_its_digits_far_out():
    theta = np.array([[-30.0], [-8.0], [8.0], [30.0]])
    sigma, slope = scale_of_score(theta, np.array([1.0]))
    assert np.all(np.isfinite([sigma, slope]))
    assert np.all(np.diff(sigma[:, 0], prepend=0.0) >= 0)
    assert sigma[1, 0] == pytest.approx(norm.cdf(-8.0) * np.sqrt(np.pi / 2), rel=1e-6)  # small p: sigma = s p √(π/2)
    assert sigma[2, 0] == pytest.approx(norm.isf(norm.sf(8.0) / 2), rel=1e-9)


def test_derivative_of_the_map_agrees_with_differences():
    theta, step, half = np.linspace(-4, 4, 17)[:, None], 1e-5, np.array([0.8])
    _, slope = scale_of_score(theta, half)
    assert slope == pytest.approx((scale_of_score(theta + step, half)[0] - scale_of_score(theta - step, half)[0]) / (2 * step), rel=1e-6)


def test_log_density_of_a_proposal_is_the_density_of_its_points():
    proposal = Proposal(np.array([0.5]), np.eye(1), np.array([1.5]), np.array([0.6]))
    theta, log_density = proposal.spread(4096, np.random.default_rng(1))
    order = np.argsort(theta[:, 0])
    points, density = theta[order, 0], np.exp(log_density[order])
    inner = slice(40, -40)
    gap = np.gradient(points)[inner] * density[inner]  # equally likely points: the gaps times the density are all alike
    smooth = np.convolve(gap, np.ones(200) / 200, mode="valid")
    assert smooth.max() / smooth.min() == pytest.approx(1.0, abs=0.15)


def test_one_scale_agrees_with_an_integral_on_a_fine_grid():
    sigma = np.linspace(1e-4, 4.0, 1500)
    log_weight = np.array([corrected(ONE, np.array([each])) for each in sigma]) + halfnorm.logpdf(sigma, scale=0.8)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    found = spread_points(ONE, 128, np.random.default_rng(1), None)
    mean = sigma @ weight
    sd = np.sqrt((sigma - mean) ** 2 @ weight)
    assert found.weights.sum() == pytest.approx(1.0)
    assert found.scales[:, 0] @ found.weights == pytest.approx(mean, abs=0.01 * sd)
    assert quantiles(*found.dense(ONE.half_normal)[0].T, found.dense(ONE.half_normal)[1], [0.05, 0.5, 0.95]) == pytest.approx(
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


def test_a_poor_proposal_is_made_anew_from_the_weighed_points():
    away = Proposal(np.array([-1.5, -1.5]), np.eye(2), np.array([0.6, 0.6]), np.array([0.6, 0.6]))
    poor = _weighed(_Surface(TWO), away, 256, np.random.default_rng(2), None, 0)
    better = _weighed(_Surface(TWO), Proposal.of_moments(poor), 256, np.random.default_rng(2), None, 1)
    assert poor.effective_size < 0.25 * 256
    assert better.effective_size > 2 * poor.effective_size


def test_progress_rises_to_its_end_and_may_stop_the_work():
    shares = []
    spread_points(TWO, 64, np.random.default_rng(1), lambda share, word: shares.append(share))
    assert shares == sorted(shares)
    assert 0 <= shares[0] < shares[-1] <= 1

    def stop(share, word):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        spread_points(TWO, 64, np.random.default_rng(1), stop)
