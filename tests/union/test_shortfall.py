"""What a pair is expected to fall short by."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.union import METHODS, Stem, planned_joint, shortfall_cost, ways_compared
from scionary.union.placing import REPORTED, error_points

GIVEN = {"tolerance_mm": 0.4, "error_mm": 0.4, "wanted_mm": 12.0, "depth_error_mm": 0.15}


@pytest.mark.parametrize("method", ["side_veneer", "side_inlay", "whip_and_tongue"])
@pytest.mark.parametrize(("scion_mm", "stock_mm"), [(4.0, 8.0), (5.0, 7.2), (6.0, 9.0)])
def test_it_is_the_mean_shortfall_of_the_best_placement(method, scion_mm, stock_mm):
    cost = float(shortfall_cost(method=method, **GIVEN)(scion_mm, stock_mm))
    chosen = METHODS[method]
    if not chosen.ratio_low <= scion_mm / stock_mm <= chosen.ratio_high:
        assert cost == np.inf
        return
    joint = planned_joint(chosen, Stem(stock_mm), Stem(scion_mm))
    placements = ways_compared(joint, chosen.ways, **GIVEN)
    errors = (GIVEN["error_mm"], GIVEN["depth_error_mm"])
    contact = [joint.contact(one.shift_mm, one.lean_mm, 0.4, errors, error_points(REPORTED)) for one in placements]
    best = min(np.mean(np.maximum(12.0 - each, 0.0)) for each in contact)
    assert cost == pytest.approx(best, abs=0.45)


# Gap, error, wanted contact, error of depth, scion and stock at which a lean of 3, 8, 16 or 30 hundredths of the cut is best.
LEANING = {
    "hardly": (0.1, 0.1, 12.0, 0.15, 5.0, 9.0),
    "a little": (0.5, 0.8, 20.0, 0.0, 5.0, 9.0),
    "much": (0.5, 0.8, 12.0, 0.15, 3.0, 7.0),
    "very much": (0.5, 1.5, 12.0, 0.0, 3.0, 7.0),
}


@pytest.mark.parametrize("case", LEANING.values(), ids=LEANING)
def test_it_knows_of_little_and_of_much_leaning(case):
    tolerance_mm, error_mm, wanted_mm, depth_error_mm, scion_mm, stock_mm = case
    given = {"tolerance_mm": tolerance_mm, "error_mm": error_mm, "wanted_mm": wanted_mm, "depth_error_mm": depth_error_mm}
    joint = planned_joint(METHODS["side_veneer"], Stem(stock_mm), Stem(scion_mm))
    leans = np.linspace(0.0, 0.36, 40) * joint.length_mm
    contact = joint.contact(0.0 * leans, leans, tolerance_mm, (error_mm, depth_error_mm), error_points(1024))
    best = np.min(np.mean(np.maximum(wanted_mm - contact, 0.0), axis=-1))
    assert float(shortfall_cost(method="side_veneer", **given)(scion_mm, stock_mm)) == pytest.approx(best, abs=0.3)


def test_a_side_graft_wants_the_stock_thicker():
    cost = shortfall_cost(method="side_veneer", **GIVEN)
    assert cost(4.0, 7.0) < cost(4.0, 4.0 / 0.99) - 0.5


def test_a_scion_under_bark_wants_a_stock_that_is_not_too_round():
    cost = shortfall_cost(method="side_inlay", **GIVEN)
    assert cost(4.0, 12.0) < cost(4.0, 6.0) - 1.0


def test_a_thickness_outside_the_method_s_is_forbidden():
    cost = shortfall_cost(method="side_veneer", **GIVEN)
    assert np.isinf(cost([5.0, 1.0], 4.0)).all()
    assert np.isinf(cost(9.0, 60.0))


def test_thicknesses_are_taken_to_a_tenth():
    cost = shortfall_cost(method="side_veneer", **GIVEN)
    assert cost(4.01, 8.02) == cost(4.0, 8.0)


def test_shapes_and_what_is_not_known():
    found = shortfall_cost(method="side_veneer", **GIVEN)(np.array([[3.0], [np.nan]]), np.array([6.0, 7.0, np.nan]))
    assert found.shape == (2, 3)
    assert np.isnan(found).tolist() == [[False, False, True], [True, True, True]]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: shortfall_cost(method="glue", **GIVEN), "method is 'glue'; allowed: side_veneer"),
        (lambda: shortfall_cost(method="cleft", **{**GIVEN, "wanted_mm": -1.0}), r"wanted_mm is -1\.0"),
        (lambda: shortfall_cost(method="cleft", **GIVEN)(0.0, 8.0), r"scion_mm is 0\.0; allowed: more than 0"),
        (lambda: shortfall_cost(method="cleft", **GIVEN)([3.0, -2.0], 8.0), r"scion_mm is -2\.0 at index 1"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
