"""Widths on a cut's face and lengths of contact, worked out by hand, and against a table of circle segments."""

import pytest
from scipy.integrate import quad

from scionary.union import CutStem, Placement, cambium_half_width, contact_length, cut_face_width, leaning


@pytest.mark.parametrize(
    ("radius_mm", "depth_mm", "width_mm", "tolerance"),
    [
        # by hand: 2 √(2·4·1 − 1²) = 2 √7
        (4.0, 1.0, 5.2915, 5e-5),
        # by hand: 2 √(2·5·2 − 2²) = 2 √16
        (5.0, 2.0, 8.0, 1e-12),
    ],
)
def test_face_width_by_hand(radius_mm, depth_mm, width_mm, tolerance):
    assert cut_face_width(radius_mm, depth_mm) == pytest.approx(width_mm, abs=tolerance)


@pytest.mark.parametrize(
    ("radius_mm", "bark_mm", "depth_mm", "half_width_mm", "tolerance"),
    [
        # by hand: √(3.4² − 3²) = √2.56
        (4.0, 0.6, 1.0, 1.6, 1e-12),
        # by hand: √(1.6² − 1²) = √1.56
        (2.0, 0.4, 1.0, 1.249, 5e-4),
        # by hand: √(5² − 3²) = √16
        (6.0, 1.0, 3.0, 4.0, 1e-12),
    ],
)
def test_cambium_half_width_by_hand(radius_mm, bark_mm, depth_mm, half_width_mm, tolerance):
    assert cambium_half_width(radius_mm, bark_mm, depth_mm) == pytest.approx(half_width_mm, abs=tolerance)


@pytest.mark.parametrize(
    ("height", "area"),
    [
        # J. Burkardt, CIRCLE_SEGMENT, output of its test program (2013), TEST01: area of a segment of the unit circle by its height
        (1.0, 1.5708),
        (0.5, 0.614185),
        (0.25, 0.226656),
        (0.125, 0.081753),
        (0.0625, 0.029185),
        (0.03125, 0.0103677),
        (0.0078125, 0.00130056),
    ],
)
def test_faces_stacked_from_the_bark_inwards_fill_the_tabled_segment(height, area):
    """The chord is the derivative of the segment's area by its height."""
    found, _ = quad(lambda depth: cut_face_width(1.0, depth), 0.0, height)
    digits = len(f"{area}".split(".")[1])
    assert found == pytest.approx(area, abs=max(0.5 * 10**-digits, 5e-6 * area))


# by hand: like faces, T = 0.5, 5 degrees: each of two lines is within 0.5 for 2 T / sin 5° = 11.4737
def test_contact_of_leaning_lines_by_hand():
    stem = CutStem(4.0, 0.6, 1.0)
    assert contact_length(stem, stem, leaning(5.0, length_mm=25.0), tolerance_mm=0.5) == pytest.approx(22.947, abs=5e-4)


# by hand: lines 0.351 apart, T = 0.5: both meet all along when set on the middle; moved by 0.351 one meets, the other is 0.702 off
def test_contact_of_straight_lines_by_hand():
    stock, scion = CutStem(4.0, 0.6, 1.0), CutStem(2.0, 0.4, 1.0)
    assert contact_length(stock, scion, Placement(0.0, 0.0, 25.0), tolerance_mm=0.5) == 50.0
    assert contact_length(stock, scion, Placement(0.351, 0.0, 25.0), tolerance_mm=0.5) == 25.0


# by hand: a crossing is sure if |Δ| + E ≤ (L/2) tan θ: 0.351 + 0.6 = 0.951, and (25/2) tan θ = 0.951 at θ = 4.3508°
def test_a_crossing_is_sure_from_the_lean_that_the_formula_gives():
    stock, scion = CutStem(4.0, 0.6, 1.0), CutStem(2.0, 0.4, 1.0)
    for shift_mm in (-0.6, 0.6):
        found = contact_length(stock, scion, leaning(4.3508, length_mm=25.0, shift_mm=shift_mm), tolerance_mm=1e-3)
        assert found >= 0.99 * 2 * 1e-3 / 0.0759  # one whole crossing at least, 2 T / sin θ
        assert contact_length(stock, scion, leaning(4.2, length_mm=25.0, shift_mm=shift_mm), tolerance_mm=1e-3) < found
