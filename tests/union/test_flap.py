"""A scion under a flap of bark: lengths and area against a grid of points, and by hand."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.union import CutStem, Placement, flap_contact, line_half_width

STOCK, SCION = CutStem(6.0, 0.5, 0.6), CutStem(2.0, 0.3, 2.0)  # wood of 5.5 mm; lines 1.7 mm from the scion's middle


def on_a_grid(placement, opening_mm, tolerance_mm, *, flat, steps=1201):
    """Line, edge and area by points on the scion's lines and face."""
    wood, half = 5.5, float(line_half_width(SCION, 0.0, 1.0))
    side, reach = opening_mm / 2, opening_mm / 2
    gap = 0.0
    if not flat:
        gap = wood - np.sqrt(wood**2 - side**2)
        reach = min(side, np.sqrt(2 * wood * tolerance_mm - tolerance_mm**2))
    z = (np.arange(steps) + 0.5) / steps - 0.5
    middle = placement.shift_mm + placement.lean_mm * z
    slant = np.hypot(placement.length_mm, placement.lean_mm)
    line = edge = 0.0
    for sign in (-1, 1):
        y = middle + sign * half
        on_edge = (np.hypot(abs(y) - side, gap) <= tolerance_mm) if gap <= tolerance_mm else np.zeros(steps, bool)
        on_wood = abs(y) <= reach
        between = (abs(y) <= side) & (gap <= tolerance_mm)
        line += np.mean(on_wood | on_edge | between) * slant
        edge += np.mean(on_edge) * slant
    across = (np.arange(steps) + 0.5) / steps * 2 * half - half
    near_line = half - abs(across) <= tolerance_mm
    y = middle[:, None] + across
    area = np.mean(near_line & (abs(y) <= reach)) * 2 * half * placement.length_mm
    return line, edge, area


@pytest.mark.parametrize("flat", [False, True])
@pytest.mark.parametrize(
    ("placement", "opening_mm", "tolerance_mm"),
    [
        (Placement(0.0, 0.0, 20.0), 4.0, 0.5),
        (Placement(0.3, 1.5, 20.0), 4.0, 0.5),
        (Placement(1.1, -2.0, 20.0), 3.0, 0.3),
        (Placement(0.2, 0.5, 30.0), 8.0, 0.2),
        (Placement(0.0, 3.0, 15.0), 2.0, 1.9),
    ],
)
def test_it_equals_a_grid_of_points(placement, opening_mm, tolerance_mm, flat):
    found = flap_contact(STOCK, SCION, placement, opening_mm=opening_mm, tolerance_mm=tolerance_mm, flat_bed=flat)
    line, edge, area = on_a_grid(placement, opening_mm, tolerance_mm, flat=flat)
    assert (found.line_mm, found.edge_mm) == (pytest.approx(line, abs=0.1), pytest.approx(edge, abs=0.1))
    assert found.area_mm2 == pytest.approx(area, rel=0.01, abs=0.1)


def test_a_thin_stock_is_too_round_for_a_wide_face():
    """By hand: the gap at 1.7 mm beside the middle is 3 − √(3² − 1.7²) = 0.528 on wood of 3 mm, 0.138 on wood of 10.5 mm."""
    given = {"opening_mm": 3.6, "tolerance_mm": 0.4}
    thin = flap_contact(CutStem(3.5, 0.5, 0.6), SCION, Placement(0.0, 0.0, 20.0), **given)
    thick = flap_contact(CutStem(11.0, 0.5, 0.6), SCION, Placement(0.0, 0.0, 20.0), **given)
    assert thin.line_mm == 0.0
    assert thick.line_mm == 40.0


def test_sideways_errors_inside_the_opening_do_no_harm():
    found = flap_contact(STOCK, SCION, Placement([0.0, 0.3, -0.3], 0.0, 20.0), opening_mm=4.2, tolerance_mm=0.5)
    assert found.line_mm.tolist() == [40.0, 40.0, 40.0]


@pytest.mark.parametrize(
    ("stock", "scion", "opening_mm", "message"),
    [
        (STOCK, SCION, 12.0, "at most the thickness of the stock's wood"),
        (CutStem(6.0, 6.0, 0.6), SCION, 3.0, "bark_mm is 6.0; allowed: less than radius_mm"),
        (STOCK, CutStem(2.0, 0.3, 1.0, deeper_mm=2.0), 3.0, "a sloping cut'; allowed: straight stems"),
        (CutStem(6.0, 0.5, 0.6, bend_radius_mm=90.0), SCION, 3.0, "a bent stem"),
    ],
)
def test_what_cannot_be_is_refused(stock, scion, opening_mm, message):
    with pytest.raises(BadValue, match=message):
        flap_contact(stock, scion, Placement(), opening_mm=opening_mm, tolerance_mm=0.5)
