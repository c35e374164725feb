"""Which latent numbers stand behind a cell, against dense matrices written out by hand."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import TakeCells, TakePriors, TakeRecords, aggregate_records
from scionary.take.design import Design
from take.simulated_records import simulated_records

CELLS = aggregate_records(simulated_records(120, {"cultivar": 6, "season": 3, "lot": 4}, seed=1, covariates=2))
DESIGN = Design.of(CELLS, TakePriors())


def dense(cells):
    """Intercept, covariates, then an indicator for each level of each factor."""
    columns = [np.ones(len(cells)), *cells.covariates.values()]
    for name, codes in cells.factors.items():
        columns += [(codes == level).astype(float) for level in range(len(cells.level_names(name)))]
    return np.stack(columns, axis=1)


def test_matrix_is_intercept_covariates_and_indicators():
    assert DESIGN.matrix.toarray() == pytest.approx(dense(CELLS))
    assert DESIGN.transposed.toarray() == pytest.approx(dense(CELLS).T)


def test_pairs_hold_the_weighted_cross_products():
    weight = np.random.default_rng(2).uniform(0.1, 2.0, len(CELLS))
    matrix, rows, columns, _ = DESIGN.pairs
    found = np.zeros((DESIGN.latent, DESIGN.latent))
    found[rows, columns] = matrix @ weight
    truth = dense(CELLS).T @ (weight[:, None] * dense(CELLS))
    assert found + np.tril(found, -1).T == pytest.approx(truth)


def test_pairs_hold_the_variances_of_the_log_odds():
    rng = np.random.default_rng(3)
    root = rng.normal(size=(DESIGN.latent, DESIGN.latent))
    covariance = root @ root.T
    _, rows, columns, doubled = DESIGN.pairs
    truth = np.einsum("ci,ij,cj->c", dense(CELLS), covariance, dense(CELLS))
    assert doubled @ covariance[rows, columns] == pytest.approx(truth)


def test_what_was_not_recorded_has_a_level_of_its_own_after_the_named_ones():
    cells = aggregate_records(TakeRecords(takes=[1, 0, 1], factors={"lot": ["L1", "", "L2"], "dome": ["A", "A", "B"]}))
    design = Design.of(cells, TakePriors())
    assert design.starts.tolist() == [1, 4, 6]
    assert design.matrix.toarray().sum(axis=0).tolist() == [3, 1, 1, 1, 2, 1]


def test_prior_moments_follow_the_priors():
    priors = TakePriors(intercept_mean=0.3, intercept_sd=2.0, slope_sd=0.7, scale={"cultivar": 0.9}, other_scale=0.4)
    design = Design.of(CELLS, priors)
    assert design.prior_mean.tolist() == [0.3] + [0.0] * (design.latent - 1)
    assert design.half_normal.tolist() == [0.9, 0.4, 0.4]
    sd = design.prior_sd(np.array([0.1, 0.2, 0.3]))
    assert sd.tolist() == [2.0, 0.7, 0.7] + [0.1] * 6 + [0.2] * 3 + [0.3] * 4
    assert design.factor_of.tolist() == [-1] * 3 + [0] * 6 + [1] * 3 + [2] * 4


def test_more_levels_than_can_be_handled_are_refused():
    cells = TakeCells(grafts=np.array([1]), takes=np.array([1]), factors={"plant": np.array([4000])})
    with pytest.raises(BadValue, match="factors is '4001 levels in all'; allowed: at most 3999"):
        Design.of(cells, TakePriors())


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"intercept_mean": np.nan}, "intercept_mean is nan"),
        ({"intercept_sd": 0.0}, "intercept_sd is 0.0; allowed: a number above 0"),
        ({"slope_sd": -1.0}, "slope_sd is -1.0"),
        ({"other_scale": np.inf}, "other_scale is inf"),
        ({"scale": {"cultivar": 0.0}}, "cultivar is 0.0"),
    ],
)
def test_priors_that_are_none_are_refused(given, message):
    with pytest.raises(BadValue, match=message):
        TakePriors(**given)


def test_priors_are_said_in_words_with_their_source():
    words = " ".join(TakePriors(scale={"cultivar": 0.9}).words(["cultivar", "dome"]))
    assert "24 to 90 %" in words
    assert "cultivar 0.9, dome 0.5" in words
    assert words.count("no source") + words.count("unsourced") == 2
