"""The take model against published fits of logistic models with random effects; tolerance is half the last printed digit or as said."""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.optimize import minimize
from scipy.special import gammaln

from scionary.take import TakeCells, TakePriors
from scionary.take.design import Design
from scionary.take.laplace import Conditional

DATA = Path(__file__).parent.parent / "data" / "mixed_logits"


def rows(name):
    with (DATA / name).open() as file:
        return list(csv.DictReader(file))


class Likelihood:
    """Log likelihood of fixed effects and scales, random effects integrated out, from the engine's own pieces.

    The fixed part stands in the intercept's column, whose latent number is held at 1.
    """

    def __init__(self, grafts, takes, fixed, **factors):
        self.fixed = np.asarray(fixed, dtype=float)
        cells = TakeCells(grafts=np.asarray(grafts), takes=np.asarray(takes), factors={k: np.asarray(v) for k, v in factors.items()})
        self.design = Design.of(cells, TakePriors(intercept_mean=1.0, intercept_sd=1e-9))
        n, y = self.design.grafts, self.design.takes
        self.constant = float(np.sum(gammaln(n + 1) - gammaln(y + 1) - gammaln(n - y + 1)))

    def __call__(self, beta, scales, *, corrected=False):
        values = self.design.values.copy()
        values[:, 0] = self.fixed @ np.asarray(beta)
        found = Conditional.at(replace(self.design, values=values), np.atleast_1d(scales).astype(float))
        return self.constant + found.log_marginal() + (found.correction(found.cell_variance()) if corrected else 0.0)

    def best(self, start, *, corrected=False):
        """Maximum over fixed effects and one scale."""
        found = minimize(
            lambda x: -self(x[:-1], np.exp(x[-1]), corrected=corrected),
            [*start[:-1], np.log(start[-1])],
            method="BFGS",
            options={"gtol": 1e-4},
        )
        return found.x[:-1], float(np.exp(found.x[-1])), -found.fun


def cbpp():
    table = rows("cbpp.csv")
    grafts, takes, herd, period = (np.array([int(row[key]) for row in table]) for key in ("size", "incidence", "herd", "period"))
    fixed = np.column_stack([np.ones(len(table)), *[(period == each).astype(float) for each in (2, 3, 4)]])
    return Likelihood(grafts, takes, fixed, herd=herd - 1)


def contraception():
    table = rows("contraception.csv")
    age = np.array([float(row["age"]) for row in table])
    children = np.array([row["livch"] for row in table])
    urban = np.array([row["urban"] == "Y" for row in table]).astype(float)
    place = np.unique([row["district"] + row["urban"] for row in table], return_inverse=True)[1]
    fixed = np.column_stack([np.ones(len(age)), age, age**2, urban, *[children == each for each in ("1", "2", "3+")]])
    return Likelihood(np.ones(len(age), int), np.array([row["use"] == "Y" for row in table]).astype(int), fixed, place=place)


def verbal_aggression():
    table = rows("verbal_aggression.csv")
    items = list(table[0])[3:]
    answers = np.array([[int(row[item]) for item in items] for row in table])
    person, item = np.indices(answers.shape).reshape(2, -1)
    anger = np.array([float(row["anger"]) for row in table])[person]
    man = np.array([row["gender"] == "M" for row in table])[person]
    behaviour = np.array([name[-5:] for name in items])[item]
    own = np.array([name[1] in "34" for name in items])[item]
    fixed = np.column_stack([np.ones(len(person)), anger, man, behaviour == "Scold", behaviour == "Shout", own])
    return Likelihood(np.ones(len(person), int), answers.ravel(), fixed, person=person, item=item)


SEEDS_R = [10, 23, 23, 26, 17, 5, 53, 55, 32, 46, 10, 8, 10, 8, 23, 0, 3, 22, 15, 32, 3]
SEEDS_N = [39, 62, 81, 51, 39, 6, 74, 72, 51, 79, 13, 16, 30, 28, 45, 4, 12, 41, 30, 51, 7]


def seeds():
    """Germination of Orobanche seeds on 21 plates, Crowder 1978, Appl. Stat. 27, 34-37, table 3."""
    plate = np.arange(21)
    kind, extract = (plate >= 11).astype(float), ((plate >= 5) & (plate < 11) | (plate >= 16)).astype(float)
    return Likelihood(SEEDS_N, SEEDS_R, np.column_stack([np.ones(21), kind, extract, kind * extract]), plate=plate)


def test_herds_and_periods_of_lme4():
    beta, scale, height = cbpp().best([-1.0, 0.0, 0.0, 0.0, 0.5])
    # lme4, help page of glmer and vignette, period + (1 | herd): fixed effects
    assert beta == pytest.approx([-1.398, -0.992, -1.129, -1.580], abs=1e-3)
    # the same: standard deviation of herds
    assert scale == pytest.approx(0.642, abs=1e-3)
    # MixedModels.jl, test/pirls.jl: loglikelihood(gm2), within 0.001
    assert height == pytest.approx(-92.02628, abs=1e-3)


def test_plates_of_seeds_after_the_correction():
    likelihood = seeds()
    beta, scale, height = likelihood.best([-0.5, 0.1, 1.3, -0.8, 0.3], corrected=True)
    # OpenBUGS examples, "Data cloning": maximum likelihood by 256 copies of the data, alpha0, alpha1, alpha2, alpha12, sigma; its own error
    # of simulation is up to 0.001, hence 0.003
    assert beta == pytest.approx([-0.5485, 0.09685, 1.337, -0.8105], abs=3e-3)
    # the same: sigma
    assert scale == pytest.approx(0.2364, abs=3e-3)
    assert likelihood([-0.5485, 0.09685, 1.337, -0.8105], 0.2364, corrected=True) == pytest.approx(height, abs=1e-3)


def test_a_hundred_places_of_a_contraception_survey():
    likelihood = contraception()
    # MixedModels.jl, test/pirls.jl: fixef(gm1), printed to six digits, and theta
    beta, scale = [-1.0592, 0.00328263, -0.00447496, 0.770853, 0.834578, 0.913848, 0.927232], 0.573054
    # the same: loglikelihood(gm1), within 0.001
    assert likelihood(beta, scale) == pytest.approx(-1180.7729, abs=1e-3)
    for place, step in enumerate([0.02, 0.001, 0.0001, 0.02, 0.02, 0.02, 0.02]):  # it is a maximum
        for side in (-step, step):
            moved = [each + side * (i == place) for i, each in enumerate(beta)]
            assert likelihood(moved, scale) < likelihood(beta, scale) + 1e-4
    assert max(likelihood(beta, 0.55), likelihood(beta, 0.60)) < likelihood(beta, scale)


def test_the_correction_brings_the_likelihood_to_that_of_fine_quadrature():
    # MixedModels.jl, test/pirls.jl: deviances with one and with seven adaptive quadrature nodes, 2361.5458 and 2360.8761
    plain, fine = -0.5 * 2361.545769, -0.5 * 2360.876088
    likelihood = contraception()
    beta, scale = [-1.0592, 0.00328263, -0.00447496, 0.770853, 0.834578, 0.913848, 0.927232], 0.573054
    corrected = likelihood(beta, scale, corrected=True)
    assert corrected == pytest.approx(fine, abs=0.03)
    assert abs(corrected - fine) < 0.1 * abs(plain - fine)


def test_persons_crossed_with_items():
    likelihood = verbal_aggression()
    # MixedModels.jl 2, documentation, "Generalized linear mixed models", mdl1: estimates of the fixed effects
    beta = np.array([0.199067, 0.0574286, 0.320724, -1.0588, -2.10541, -1.05545])
    # the same, mdl (its fixed effects are of a faster kind): standard deviations of persons and items
    scales = np.array([1.339564, 0.496833])
    unit = np.array([0.1, 0.005, 0.1, 0.1, 0.1, 0.1, 0.05, 0.1])

    def minus(step):
        x = np.concatenate([beta, np.log(scales)]) + unit * step
        return -2.0 * likelihood(x[:6], np.exp(x[6:]))

    found = minimize(minus, np.zeros(8), method="BFGS", options={"gtol": 1e-2})
    # MixedModels.jl, test/pirls.jl: Laplace deviance of gm3, within 0.001
    assert found.fun == pytest.approx(8151.39972, abs=1e-3)
    assert unit[:6] * found.x[:6] == pytest.approx(np.zeros(6), abs=2e-4)
    assert scales * np.exp(unit[6:] * found.x[6:]) == pytest.approx(scales, abs=2e-3)


def test_without_differences_between_levels_it_is_ordinary_logistic_regression():
    rng = np.random.default_rng(1)
    x = rng.normal(size=(60, 2))
    x = (x - x.mean(axis=0)) / x.std(axis=0)
    grafts = rng.integers(1, 12, 60)
    takes = rng.binomial(grafts, 1 / (1 + np.exp(-(0.4 + x @ [0.7, -0.3]))))
    cells = TakeCells(grafts=grafts, takes=takes, factors={"lot": np.arange(60) % 5}, covariates={"a": x[:, 0], "b": x[:, 1]})
    found = Conditional.at(Design.of(cells, TakePriors(intercept_sd=1e4, slope_sd=1e4)), np.zeros(1))
    # statsmodels 0.14 or later, GLM, family Binomial, computed here
    fit = sm.GLM(np.column_stack([takes, grafts - takes]), sm.add_constant(x), family=sm.families.Binomial()).fit(tol=1e-12)
    assert found.latent_mode[:3] == pytest.approx(fit.params, abs=1e-6)
    assert np.sqrt(np.diag(found.covariance()))[:3] * found.sd[:3] == pytest.approx(fit.bse, rel=1e-5)
