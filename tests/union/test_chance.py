"""Chance of contact: closed form, quadrature and draws agree, and chances go where they must."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from scionary.errors import BadValue
from scionary.union import CutStem, Placement, contact_chance, contact_length, leaning, sampled_chance

STOCK, SCION = CutStem(4.0, 0.6, 1.0), CutStem(2.0, 0.4, 1.0)


@pytest.mark.parametrize("seed", range(25))
def test_draws_equal_the_closed_form_within_their_error(seed):
    rng = np.random.default_rng(seed)
    placement = Placement(rng.normal(0, 0.4), rng.choice([0.0, 1.0]) * rng.normal(0, 2), rng.uniform(12, 35))
    given = {"tolerance_mm": rng.uniform(0.1, 1.0), "error_mm": rng.uniform(0.1, 0.8), "wanted_mm": rng.uniform(1, 25)}
    exact = contact_chance(STOCK, SCION, placement, **given)
    drawn = sampled_chance(STOCK, SCION, placement, **given, rng=seed, draws=200_000)
    assert drawn == pytest.approx(exact, abs=4.0 * np.sqrt(max(exact * (1 - exact), 1e-6) / 200_000) + 4e-4)


def test_one_line_set_straight_by_hand():
    """Only the shift errs: all of a line or nothing. The right lines meet within ±0.5; 2 mm further the left one meets the right."""
    from scionary.union.chance import shift_chance

    numbers = (3.0, 1.0, 2.0, 0.0, 20.0, 0.5, 0.4, 15.0)  # halves 3 and 1, shift 2, no lean, length, tolerance, error, wanted
    found = shift_chance(*(np.asarray([value]) for value in numbers))[0]
    assert found == pytest.approx(norm.cdf(1.25) - norm.cdf(-1.25) + norm.cdf(2.5 / 0.4) - norm.cdf(1.5 / 0.4), abs=1e-12)


def test_a_steady_hand_gets_what_the_geometry_says():
    placement = leaning(5.0, length_mm=25.0)
    length = contact_length(STOCK, STOCK, placement, tolerance_mm=0.5)
    for wanted, chance in ((length - 0.01, 1.0), (length + 0.01, 0.0)):
        assert contact_chance(STOCK, STOCK, placement, tolerance_mm=0.5, error_mm=0.0, wanted_mm=wanted) == chance


def test_leaning_beats_one_side_when_the_hand_errs_by_more_than_callus_bridges():
    given = {"tolerance_mm": 0.1, "error_mm": 0.3, "wanted_mm": 3.0}
    leant = contact_chance(STOCK, SCION, Placement(0.0, 1.8, 25.0), **given)
    one_side = contact_chance(STOCK, SCION, Placement(0.351, 0.0, 25.0), **given)
    assert leant > 0.95
    assert one_side < 0.75


def test_one_side_beats_leaning_when_the_hand_is_steady_and_much_is_wanted():
    given = {"tolerance_mm": 0.2, "error_mm": 0.08, "wanted_mm": 20.0}
    one_side = contact_chance(STOCK, SCION, Placement(0.351, 0.0, 25.0), **given)
    leant = max(contact_chance(STOCK, SCION, Placement(0.0, lean, 25.0), **given) for lean in (0.8, 1.2, 1.8, 2.5))
    assert one_side > 0.95
    assert leant < 0.9


def test_both_sides_fail_when_the_lines_lie_too_far_apart():
    scion = CutStem(0.6, 0.1, 0.2)  # its lines lie 1.3 mm nearer to one another on each side
    assert contact_chance(STOCK, scion, Placement(0.0, 0.0, 25.0), tolerance_mm=0.3, error_mm=0.2, wanted_mm=3.0) < 1e-6


def test_more_wanted_is_never_likelier():
    chances = contact_chance(STOCK, SCION, Placement(0.0, 1.5, 25.0), tolerance_mm=0.3, error_mm=0.4, wanted_mm=np.linspace(0, 40, 30))
    assert chances[0] == 1.0
    assert np.all(np.diff(chances) <= 1e-12)
    assert chances[-1] < 0.05


def test_a_knife_that_errs_makes_it_less_likely():
    given = {"tolerance_mm": 0.5, "error_mm": 0.2, "wanted_mm": 10.0}
    placement = Placement(0.351, 0.0, 25.0)
    steady = contact_chance(STOCK, SCION, placement, **given)
    assert contact_chance(STOCK, SCION, placement, **given, depth_error_mm=0.3, rng=1) < steady - 0.1


def test_the_same_seed_gives_the_same_chance():
    given = {"tolerance_mm": 0.5, "error_mm": 0.2, "wanted_mm": 10.0, "depth_error_mm": 0.1, "draws": 2000}
    assert contact_chance(STOCK, SCION, Placement(), **given, rng=5) == contact_chance(STOCK, SCION, Placement(), **given, rng=5)
    assert contact_chance(STOCK, SCION, Placement(), **given, rng=np.random.default_rng(5)) == pytest.approx(
        contact_chance(STOCK, SCION, Placement(), **given, rng=6), abs=0.06
    )


def test_bent_stems_are_drawn():
    bent = CutStem(4.0, 0.6, 1.0, bend_radius_mm=1e8)
    given = {"tolerance_mm": 0.4, "error_mm": 0.3, "wanted_mm": 8.0}
    found = contact_chance(bent, SCION, Placement(0.2, 1.0, 25.0), **given, rng=2, draws=4000)
    assert found == pytest.approx(contact_chance(STOCK, SCION, Placement(0.2, 1.0, 25.0), **given), abs=0.03)


def test_shapes_and_what_is_not_known():
    chances = contact_chance(STOCK, SCION, Placement([0.0, 0.3, np.nan]), tolerance_mm=0.5, error_mm=[[0.2], [0.4]], wanted_mm=5.0)
    assert chances.shape == (2, 3)
    assert np.isnan(chances[:, 2]).all()
    assert not np.isnan(chances[:, :2]).any()
    assert type(contact_chance(STOCK, SCION, Placement(), tolerance_mm=0.5, error_mm=0.2, wanted_mm=5.0)) is float
    assert np.isnan(sampled_chance(STOCK, SCION, Placement(), tolerance_mm=np.nan, error_mm=0.2, wanted_mm=5.0))


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"error_mm": -0.1}, r"error_mm is -0\.1; allowed: 0 to 50 mm"),
        ({"wanted_mm": -1.0}, r"wanted_mm is -1\.0"),
        ({"depth_error_mm": 0.1, "draws": 3}, r"draws is 3\.0; allowed: 100"),
    ],
)
def test_what_cannot_be_is_refused(given, message):
    with pytest.raises(BadValue, match=message):
        contact_chance(STOCK, SCION, Placement(), **{"tolerance_mm": 0.5, "error_mm": 0.2, "wanted_mm": 5.0, **given})
