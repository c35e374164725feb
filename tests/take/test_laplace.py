"""The take model with its scales held fixed, against dense algebra, a general optimiser and grids of quadrature."""

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import expit

from scionary.take import TakeCells, TakePriors, aggregate_records
from scionary.take.design import Design
from scionary.take.laplace import Conditional
from take.simulated_records import simulated_records

CELLS = aggregate_records(simulated_records(150, {"cultivar": 6, "season": 3, "lot": 4}, seed=1, covariates=1))
DESIGN = Design.of(CELLS, TakePriors())
SCALES = np.array([0.7, 0.3, 0.5])


def dense(design):
    return design.matrix.toarray()


def log_density(design, scales, v):
    """Log likelihood plus log prior of v, written out."""
    eta = dense(design) @ (design.prior_mean + design.prior_sd(scales) * v)
    return np.sum(design.takes * eta - design.grafts * np.logaddexp(0, eta)) - 0.5 * v @ v


def tiny(grafts, takes, **priors):
    """One factor of two levels: three latent numbers, few enough for a grid."""
    cells = TakeCells(grafts=np.array(grafts), takes=np.array(takes), factors={"lot": np.arange(len(grafts))})
    return Design.of(cells, TakePriors(**priors))


def on_a_grid(design, scales, nodes=60):
    """All points of a Gauss-Hermite grid over v, and the logarithms of their weights times likelihood."""
    node, weight = np.polynomial.hermite_e.hermegauss(nodes)
    grids = np.meshgrid(*[node] * design.latent, indexing="ij")
    v = np.stack([grid.ravel() for grid in grids])
    log_weight = np.add.reduce(np.meshgrid(*[np.log(weight / weight.sum())] * design.latent, indexing="ij")).ravel()
    x = design.prior_mean[:, None] + design.prior_sd(scales)[:, None] * v
    eta = dense(design) @ x
    return x, log_weight + design.takes @ eta - design.grafts @ np.logaddexp(0, eta)


def total(log_weight):
    top = log_weight.max()
    return top + np.log(np.sum(np.exp(log_weight - top)))


def test_mode_is_where_a_general_optimiser_finds_it():
    found = Conditional.at(DESIGN, SCALES)
    truth = minimize(lambda v: -log_density(DESIGN, SCALES, v), np.zeros(DESIGN.latent), method="BFGS", options={"gtol": 1e-7})
    assert found.mode == pytest.approx(truth.x, abs=1e-4)
    assert found.log_density == pytest.approx(-truth.fun, abs=1e-7)
    assert found.log_density == pytest.approx(log_density(DESIGN, SCALES, found.mode), abs=1e-9)


def test_mode_does_not_depend_on_where_the_search_began():
    far = Conditional.at(DESIGN, SCALES, start=np.random.default_rng(1).normal(0.0, 6.0, DESIGN.latent))
    assert far.mode == pytest.approx(Conditional.at(DESIGN, SCALES).mode, abs=1e-6)


def test_covariance_is_the_inverse_of_the_dense_curvature():
    found = Conditional.at(DESIGN, SCALES)
    matrix = dense(DESIGN) * DESIGN.prior_sd(SCALES)
    rate = expit(dense(DESIGN) @ found.latent_mode)
    curvature = np.eye(DESIGN.latent) + matrix.T @ ((DESIGN.grafts * rate * (1 - rate))[:, None] * matrix)
    assert found.factor.T @ found.factor == pytest.approx(curvature)
    assert np.triu(found.covariance()) == pytest.approx(np.triu(np.linalg.inv(curvature)), abs=1e-9)
    assert found.cell_variance() == pytest.approx(np.diag(matrix @ np.linalg.inv(curvature) @ matrix.T))
    assert found.log_marginal() == pytest.approx(found.log_density - 0.5 * np.linalg.slogdet(curvature)[1])


def test_derivatives_are_those_of_the_likelihood():
    found = Conditional.at(DESIGN, SCALES)
    eta, step = dense(DESIGN) @ found.latent_mode, 1e-3

    def weight(at):
        return -DESIGN.grafts * expit(at) * (1 - expit(at))  # second derivative

    second, third, fourth = found.derivatives()
    assert second == pytest.approx(-weight(eta))
    assert third == pytest.approx((weight(eta + step) - weight(eta - step)) / (2 * step), abs=1e-5)
    assert fourth == pytest.approx((weight(eta + step) - 2 * weight(eta) + weight(eta - step)) / step**2, abs=1e-5)


@pytest.mark.parametrize("scales", [[0.7, 0.3, 0.5], [0.01, 1.5, 0.2], [3.0, 0.001, 1.0]])
def test_gradients_agree_with_differences(scales):
    scales, step = np.array(scales), 1e-5
    gradient, mode_gradient = Conditional.at(DESIGN, scales).gradient()
    for k, move in enumerate(step * np.eye(3)):
        up, down = (Conditional.at(DESIGN, scales + side * move, tolerance=1e-14) for side in (1, -1))
        assert gradient[k] == pytest.approx((up.log_marginal() - down.log_marginal()) / (2 * step), abs=1e-5)
        assert mode_gradient[:, k] == pytest.approx((up.mode - down.mode) / (2 * step), abs=1e-4)


def test_correction_is_the_sum_over_all_pairs_of_cells():
    found = Conditional.at(DESIGN, SCALES)
    matrix = dense(DESIGN) * DESIGN.prior_sd(SCALES)
    covariance = matrix @ np.linalg.inv(found.factor.T @ found.factor) @ matrix.T
    own = np.diag(covariance)
    _, third, fourth = found.derivatives()
    truth = np.sum(fourth * own**2) / 8 + (third * own) @ covariance @ (third * own) / 8 + third @ covariance**3 @ third / 12
    assert found.correction(found.cell_variance()) == pytest.approx(truth, rel=1e-4)


@pytest.mark.parametrize(("grafts", "takes"), [([6, 4], [5, 1]), ([3, 2], [3, 2]), ([12, 30], [4, 22]), ([1, 1], [1, 0])])
def test_marginal_likelihood_agrees_with_a_grid_and_better_with_the_correction(grafts, takes):
    design = tiny(grafts, takes)
    for scale in (0.1, 0.5, 1.2):
        truth = total(on_a_grid(design, np.array([scale]))[1])
        found = Conditional.at(design, np.array([scale]))
        plain, corrected = found.log_marginal(), found.log_marginal() + found.correction(found.cell_variance())
        assert plain == pytest.approx(truth, abs=0.06)
        assert corrected == pytest.approx(truth, abs=0.012)
        assert abs(corrected - truth) < abs(plain - truth)


@pytest.mark.parametrize(("grafts", "takes"), [([9, 1], [8, 1]), ([3, 2], [3, 2]), ([8, 0], [8, 0])])
def test_draws_have_the_mean_and_spread_of_a_grid(grafts, takes):
    design, scales = tiny(grafts, takes), np.array([0.8])
    x, log_weight = on_a_grid(design, scales)
    weight = np.exp(log_weight - total(log_weight))
    mean = x @ weight
    sd = np.sqrt((x - mean[:, None]) ** 2 @ weight)
    found = Conditional.at(design, scales)
    draws = found.draw(np.random.default_rng(2).normal(size=(design.latent, 200_000)), found.cell_variance())
    assert np.all(np.abs(draws.mean(axis=1) - mean) < 0.04 * sd)
    assert abs(found.latent_mode - mean)[0] > 0.08 * sd[0]  # what the bend is for
    assert np.all(np.abs(draws.std(axis=1) / sd - 1) < 0.05)


def test_draws_are_as_skewed_as_the_grid():
    design, scales = tiny([4, 3], [4, 3]), np.array([0.8])
    x, log_weight = on_a_grid(design, scales)
    weight = np.exp(log_weight - total(log_weight))
    found = Conditional.at(design, scales)
    draws = found.draw(np.random.default_rng(3).normal(size=(design.latent, 200_000)), found.cell_variance())

    def skewness(values, share):
        apart = values - share @ values
        return (share @ apart**3) / (share @ apart**2) ** 1.5

    truth = skewness(x[0], weight)
    assert truth > 0.1
    assert skewness(draws[0], np.full(200_000, 1 / 200_000)) == pytest.approx(truth, rel=0.35)


def test_a_scale_of_zero_is_one_pooled_logistic():
    found = Conditional.at(DESIGN, np.zeros(3))
    alone = aggregate_records(simulated_records(150, {}, seed=1))  # the intercept alone
    assert len(alone) == 1
    assert found.latent_mode[2:].tolist() == [0.0] * (DESIGN.latent - 2)
    x = CELLS.covariates["x0"]

    def minus(b):
        eta = b[0] + b[1] * x
        return -(CELLS.takes @ eta - CELLS.grafts @ np.logaddexp(0, eta)) + (b[0] - 0.5) ** 2 / 2 + b[1] ** 2 / (2 * 0.5**2)

    assert found.latent_mode[:2] == pytest.approx(minimize(minus, np.zeros(2), method="BFGS").x, abs=1e-5)


def test_no_records_leave_the_prior():
    design = Design.of(
        TakeCells(grafts=np.array([], dtype=int), takes=np.array([], dtype=int), factors={"lot": np.array([], dtype=int)}), TakePriors()
    )
    found = Conditional.at(design, np.array([0.5]))
    assert found.log_marginal() == 0.0
    assert found.latent_mode.tolist() == [0.5]


def test_a_million_grafts_that_all_took_have_a_mode():
    found = Conditional.at(tiny([10**6, 5], [10**6, 1]), np.array([0.8]))
    assert np.all(np.isfinite(found.mode))
    eta = dense(found.design) @ found.latent_mode
    slope = found.sd * (dense(found.design).T @ (found.design.takes - found.design.grafts * expit(eta))) - found.mode
    assert slope == pytest.approx(np.zeros(3), abs=1e-4)


def test_the_bend_moves_the_mean_by_half_of_what_the_third_derivative_pulls():
    found = Conditional.at(DESIGN, SCALES)
    normal = np.random.default_rng(4).normal(size=(DESIGN.latent, 20_000))
    normal = np.hstack([normal, -normal])
    normal /= np.sqrt(np.mean(normal**2, axis=1, keepdims=True))
    matrix = dense(DESIGN) * found.sd
    covariance = np.linalg.inv(found.factor.T @ found.factor)
    third = found.derivatives()[1]
    shift = 0.5 * found.sd * (covariance @ matrix.T @ (third * np.diag(matrix @ covariance @ matrix.T)))
    moved = found.draw(normal, found.cell_variance()).mean(axis=1) - found.latent_mode
    assert moved == pytest.approx(shift, abs=0.03 * np.abs(shift).max())
