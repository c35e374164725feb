"""Widths on a cut's face, worked out by hand from the circle."""

import pytest

from scionary.union import cambium_half_width, cut_face_width


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
