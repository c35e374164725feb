"""Stems by their lot, and what to order."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.union import likely_thicknesses, match_stocks, shortfall_cost, thicknesses_to_order

COST = shortfall_cost(method="side_veneer", tolerance_mm=0.4, error_mm=0.4, wanted_mm=12.0, depth_error_mm=0.15)


def test_a_measured_stem_is_as_it_was_measured():
    assert likely_thicknesses([6.0], ["A"], {}).tolist() == [[6.0] * 7]


def test_an_unmeasured_stem_is_as_the_measured_ones_of_its_lot():
    measured = [5.0, 6.0, 7.0, 8.0, 9.0, np.nan, 20.0]
    found = likely_thicknesses(measured, ["A"] * 6 + ["B"], {}, count=4)
    assert found[5] == pytest.approx(np.quantile([5, 6, 7, 8, 9], [0.125, 0.375, 0.625, 0.875]))


def test_with_few_measured_the_lot_s_usual_thickness_and_spread_are_taken():
    found = likely_thicknesses([np.nan], ["A"], {"A": 8.0}, count=50)
    assert (np.mean(found), np.std(found)) == (pytest.approx(8.0), pytest.approx(0.15 * 8.0, rel=0.05))


def test_a_lot_of_which_nothing_is_known_is_refused():
    with pytest.raises(BadValue, match="usual_mm is None; allowed: a thickness above 0 mm for lot A"):
        likely_thicknesses([np.nan], ["A"], {})


def test_unmeasured_stocks_are_matched():
    stocks = likely_thicknesses([7.0, np.nan, np.nan], ["A", "A", "B"], {"A": 8.0, "B": 30.0})
    found = match_stocks([3.0, 3.4], stocks, COST)
    assert sorted(found.pairs[:, 1].tolist()) == [0, 1]


def test_what_to_order_suits_what_is_left_over():
    lines = thicknesses_to_order([3.0, 3.1, 6.0], COST)
    assert sum(line.count for line in lines) == 3
    for line in lines:
        assert np.isfinite(COST([3.0, 6.0], (line.low_mm + line.high_mm) / 2)).any()


def test_scions_for_which_no_stock_can_be_are_not_counted():
    assert thicknesses_to_order([30.0], COST) == []
    assert thicknesses_to_order([], COST) == []
