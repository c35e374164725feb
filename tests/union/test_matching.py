"""Pairing stems: never worse than any other pairing, whatever is forbidden."""

from __future__ import annotations

from itertools import permutations

import highspy
import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from scionary.errors import BadValue
from scionary.union import alike_pairs, assignment, match_stocks, pairs_in_order, shortfall_cost


def truncated(scion_mm, stock_mm):
    return np.minimum(np.abs(scion_mm - stock_mm), 1.0)


def best_by_enumeration(table):
    """Most pairs, then least cost, over every way of pairing a small table; n + 1 places for 'none'."""
    scions, stocks = table.shape
    best = (0, 0.0)
    for chosen in permutations([*range(stocks), *[-1] * scions], scions):
        pairs = [(at, stock) for at, stock in enumerate(chosen) if stock >= 0 and np.isfinite(table[at, stock])]
        cost = float(sum(table[pair] for pair in pairs))
        best = min(best, (-len(pairs), cost))
    return -best[0], best[1]


def enumerated_whole(table):
    """Least cost of a square table without forbidden pairs."""
    return min(table[range(len(table)), list(order)].sum() for order in permutations(range(len(table))))


def fixed(table):
    return lambda scion_mm, stock_mm: table


def test_sorted_order_is_not_best_when_a_large_gap_costs_no_more_than_a_small_one():
    found = match_stocks([2, 3], [3, 4], truncated)
    assert found.cost == 1.0
    assert found.pairs.tolist() == [[0, 1], [1, 0]]
    assert truncated(np.array([2, 3]), np.array([3, 4])).sum() == 2.0


@pytest.mark.parametrize("size", [2, 4, 6, 8])
def test_it_equals_enumeration(size):
    table = np.random.default_rng(size).random((size, size))
    assert match_stocks(np.ones(size), np.ones(size), fixed(table)).cost == pytest.approx(enumerated_whole(table))


@pytest.mark.parametrize("seed", range(30))
def test_with_forbidden_pairs_it_makes_as_many_as_can_be_at_least_cost(seed):
    rng = np.random.default_rng(seed)
    table = rng.random(rng.integers(1, 5, 2))
    table[rng.random(table.shape) < 0.5] = np.inf
    found = match_stocks(np.ones(len(table)), np.ones(table.shape[1]), fixed(table))
    count, cost = best_by_enumeration(table)
    assert len(found.pairs) == count
    assert found.cost == pytest.approx(cost)
    assert np.isfinite(found.costs).all()


@pytest.mark.parametrize("seed", range(10))
def test_it_is_never_worse_than_sorted_order(seed):
    rng = np.random.default_rng(seed)
    scions, stocks = np.sort(rng.uniform(2, 5, 40)), np.sort(rng.uniform(4, 10, 40))
    cost = shortfall_cost(method="side_veneer", tolerance_mm=0.4, error_mm=0.4, wanted_mm=12.0, depth_error_mm=0.15)
    in_order = cost(scions, stocks)
    found = match_stocks(scions, stocks, cost)
    assert len(found.pairs) >= np.isfinite(in_order).sum()
    if np.isfinite(in_order).all():
        assert found.cost <= in_order.sum() + 1e-9


@pytest.mark.parametrize("shape", [(100, 100), (80, 110), (110, 80)])
@pytest.mark.parametrize("kind", ["smooth", "smooth with forbidden pairs", "rough"])
def test_the_quick_way_for_many_is_as_good_as_a_linear_programme(shape, kind, monkeypatch):
    """A second solver: HiGHS on the same assignment as a linear programme."""
    monkeypatch.setattr(assignment, "_SMALL", 20)
    monkeypatch.setattr(assignment, "_SAMPLED", 15)
    rng = np.random.default_rng(1)
    scions, stocks = rng.uniform(2, 5, shape[0]), rng.uniform(4, 10, shape[1])
    table = np.sqrt(np.abs(stocks - 1.6 * scions[:, None])) if kind != "rough" else rng.random(shape)
    if kind == "smooth with forbidden pairs":
        table = np.where(stocks < 1.1 * scions[:, None], np.inf, table)
    found = match_stocks(scions, stocks, fixed(table))
    at = np.argwhere(np.isfinite(table))
    solver = highspy.Highs()
    solver.silent()
    use = [solver.addVariable(lb=0.0, ub=1.0, obj=float(table[tuple(pair)]) - 100.0) for pair in at]
    for axis in (0, 1):
        order = np.argsort(at[:, axis], kind="stable")
        for group in np.split(order, np.flatnonzero(np.diff(at[order, axis])) + 1):
            solver.addConstr(sum(use[one] for one in group) <= 1)
    solver.run()
    assert found.cost - 100.0 * len(found.pairs) == pytest.approx(solver.getObjectiveValue(), abs=1e-5)


@pytest.mark.parametrize("seed", range(4))
def test_the_quick_way_for_many_is_as_good_as_the_plain_way(seed):
    rng = np.random.default_rng(seed)
    scions, stocks = rng.uniform(2, 5, rng.integers(300, 500)), rng.uniform(4, 10, rng.integers(300, 500))
    table = np.minimum(np.abs(stocks - 1.7 * scions[:, None]), 1.0 + seed)
    rows, columns = linear_sum_assignment(table)
    assert match_stocks(scions, stocks, fixed(table)).cost == pytest.approx(table[rows, columns].sum(), abs=1e-9)


def test_no_pair_is_made_twice():
    rng = np.random.default_rng(4)
    found = match_stocks(rng.uniform(2, 5, 500), rng.uniform(4, 9, 450), truncated)
    assert len(np.unique(found.pairs[:, 0])) == len(np.unique(found.pairs[:, 1])) == 450
    assert len(found.left_scions) == 50
    assert set(found.left_scions) | set(found.pairs[:, 0]) == set(range(500))


@pytest.mark.parametrize("count", [2, 3, 5, 7])
def test_one_pair_more_is_made_though_every_pair_then_costs_the_most(count):
    table = np.full((count, count), np.inf)
    for at in range(count - 1):
        table[at, at], table[at, at + 1] = 0.0, 1.0  # all but the last scion for nothing, or each one further on
    table[-1, 0] = 1.0
    found = match_stocks(np.ones(count), np.ones(count), fixed(table))
    assert (len(found.pairs), found.cost) == (count, float(count))


def test_too_few_stocks_go_to_those_with_priority():
    cost = fixed(np.array([[0.1, 0.2], [0.9, 0.9], [0.5, 0.4]]))
    assert match_stocks([1, 1, 1], [1, 1], cost).left_scions.tolist() == [1]
    assert match_stocks([1, 1, 1], [1, 1], cost, priority=[0, 1, 0]).left_scions.tolist() == [2]
    assert match_stocks([1, 1, 1], [1, 1], cost, priority=[0, 1, 1]).left_scions.tolist() == [0]


def test_priority_never_makes_fewer_pairs():
    table = np.array([[0.0, np.inf], [0.0, 0.0]])
    assert len(match_stocks([1, 1], [1, 1], fixed(table), priority=[0, 100]).pairs) == 2


def test_labels_forbid_pairs():
    allowed = alike_pairs(["pot 9", None, "pot 13"], ["pot 9", "pot 9", None])
    assert allowed.tolist() == [[True, True, True], [True, True, True], [False, False, True]]
    found = match_stocks([3, 3, 3], [3, 3, 9], truncated, allowed=allowed)
    assert [2, 2] in found.pairs.tolist()


def test_where_nothing_can_be_paired_all_is_left_over():
    found = match_stocks([3, 3], [3], fixed(np.full((2, 1), np.inf)))
    assert (len(found.pairs), found.cost, found.left_scions.tolist(), found.left_stocks.tolist()) == (0, 0.0, [0, 1], [0])


@pytest.mark.parametrize(("scions", "stocks"), [([], [3, 4]), ([3, 4], []), ([], [])])
def test_an_empty_side_leaves_the_other_over(scions, stocks):
    found = match_stocks(scions, stocks, truncated)
    assert (len(found.pairs), len(found.left_scions), len(found.left_stocks)) == (0, len(scions), len(stocks))


def test_the_list_goes_as_the_stocks_stand():
    found = match_stocks([2, 3], [3, 4], truncated)
    assert [(stock, scion) for stock, scion, _ in pairs_in_order(found)] == [(0, 1), (1, 0)]
    assert [(stock, scion) for stock, scion, _ in pairs_in_order(found, [1, 0])] == [(1, 0), (0, 1)]


def test_one_that_was_not_measured_is_taken_by_what_is_likely():
    likely = np.array([[2.0, 4.0], [3.0, 3.0]])
    found = match_stocks(likely, [3.0, 3.9], lambda scion, stock: np.abs(scion - stock))
    assert found.pairs.tolist() == [[0, 1], [1, 0]]
    assert found.costs == pytest.approx([1.0, 0.0])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: match_stocks([2, 0], [3], truncated), r"scion_mm is 0\.0 at index 1; allowed: more than 0 mm"),
        (lambda: match_stocks([2], [np.nan], truncated), "stock_mm is nan at index 0; .*give its lot's likely thicknesses"),
        (lambda: match_stocks([2], ["thick"], truncated), "stock_mm is .*allowed: numbers"),
        (lambda: match_stocks([2], [3], fixed(np.array([[-np.inf]]))), "cost is '-inf'"),
        (lambda: match_stocks([2], [3], truncated, allowed=[[True, False]]), "allowed is 'a table of"),
        (lambda: match_stocks([2], [3], truncated, priority=[-1]), r"priority is -1\.0 at index 0; allowed: 0 to 100"),
        (lambda: match_stocks([2], [3], truncated, priority=[1, 2]), "one for each of 1 scions"),
        (lambda: pairs_in_order(match_stocks([2, 3], [3, 4], truncated), [1, 1]), "every paired stock once"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
