"""Length of contact: against polygons, against sampling, and where it is plain what it must be."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.union import CutStem, Placement, contact_length, leaning, line_half_width

STORED = Path(__file__).resolve().parent.parent / "data" / "oracle" / "contact_lengths.npz"
STOCK, SCION = CutStem(4.0, 0.6, 1.0), CutStem(2.0, 0.4, 1.0)


def sampled(stock, scion, placement, tolerance_mm, count):
    """The same length by walking along the scion's lines in small steps; the stock's lines found on a ring of points."""

    def half(cut, z):
        depth = cut.depth_mm - cut.deeper_mm * z / placement.length_mm
        if np.isfinite(cut.bend_radius_mm):
            ring, outward = abs(cut.bend_radius_mm), np.sign(cut.bend_radius_mm)
            from_centre = np.hypot(ring + outward * (cut.radius_mm - depth), z)  # of the face's middle, at that height
            depth = cut.radius_mm - outward * (from_centre - ring)
        inside = cut.radius_mm - cut.bark_mm
        height = (cut.radius_mm - depth) / inside
        across = cut.radius_mm if cut.across_radius_mm is None else cut.across_radius_mm
        with np.errstate(invalid="ignore"):
            return (across - cut.bark_mm) * np.sin(np.arccos(height))

    z = np.linspace(-placement.length_mm / 2, placement.length_mm / 2, count + 1)
    middle = (z[1:] + z[:-1]) / 2
    total = 0.0
    for side in (-1, 1):
        line = placement.shift_mm + placement.lean_mm * z / placement.length_mm + side * half(scion, z)
        at = placement.shift_mm + placement.lean_mm * middle / placement.length_mm + side * half(scion, middle)
        near = np.minimum(abs(at - half(stock, middle)), abs(at + half(stock, middle))) <= tolerance_mm
        total += np.nansum(np.hypot(np.diff(line), np.diff(z))[near])
    return total


def test_it_equals_polygons_on_ten_thousand_random_cases():
    with np.load(STORED) as stored:
        case = dict(zip(json.loads(str(stored["metadata"]))["columns"], stored["micrometres"].T / 1000.0, strict=True))
        expected = stored["contact_mm"]
    stock = CutStem(case["stock_radius"], case["stock_bark"], case["stock_depth"])
    scion = CutStem(case["scion_radius"], case["scion_bark"], case["scion_depth"])
    found = contact_length(stock, scion, Placement(case["shift"], case["lean"], case["length"]), tolerance_mm=case["tolerance"])
    assert len(expected) == 10_000
    assert np.mean(expected > 0.0) > 0.5
    assert np.max(np.abs(found - expected)) < 1e-3


@pytest.mark.parametrize("seed", range(40))
def test_it_equals_small_steps_along_the_lines(seed):
    rng = np.random.default_rng(seed)
    radius, small = rng.uniform(2, 8), rng.uniform(1, 4)
    stock = CutStem(radius, 0.1 * radius, rng.uniform(0.2, 1.8) * radius, rng.uniform(0.8, 1.3) * radius)
    scion = CutStem(small, 0.1 * small, rng.uniform(0.2, 1.8) * small)
    placement = Placement(rng.normal(), rng.normal(0, 2), rng.uniform(10, 40))
    tolerance_mm = rng.uniform(0.05, 1.5)
    found = contact_length(stock, scion, placement, tolerance_mm=tolerance_mm)
    assert found == pytest.approx(sampled(stock, scion, placement, tolerance_mm, 400_000), abs=1e-3)


@pytest.mark.parametrize(
    ("stock", "scion"),
    [
        (CutStem(4, 0.5, 1.5, bend_radius_mm=80.0), SCION),  # on the outer side of a bend
        (CutStem(4, 0.5, 1.5, bend_radius_mm=-80.0), SCION),  # on the inner side
        (CutStem(3, 0.3, 3, deeper_mm=-6.0), CutStem(2.8, 0.3, 2.8, deeper_mm=5.6)),  # two slopes right through
        (CutStem(6, 0.5, 6), CutStem(2, 0.3, 1, deeper_mm=2.0)),  # a wedge in a split
        (CutStem(6, 0.5, 6, across_radius_mm=7.0), CutStem(2, 0.3, 1, deeper_mm=2.0)),
    ],
)
@pytest.mark.parametrize(("shift_mm", "lean_mm"), [(0.0, 0.0), (0.4, 0.0), (0.3, 2.0), (2.0, -3.0), (4.0, 0.5)])
def test_bent_stems_and_slopes_equal_small_steps(stock, scion, shift_mm, lean_mm):
    placement = Placement(shift_mm, lean_mm, 24.0)
    expected = sampled(stock, scion, placement, 0.5, 200_000)
    assert contact_length(stock, scion, placement, tolerance_mm=0.5) == pytest.approx(expected, abs=0.1)


def test_a_bend_that_is_nearly_straight_is_as_straight():
    bent = CutStem(4.0, 0.6, 1.0, bend_radius_mm=1e9)
    placement = leaning(4.0, length_mm=25.0, shift_mm=0.2)
    straight = contact_length(STOCK, SCION, placement, tolerance_mm=0.3)
    assert contact_length(bent, SCION, placement, tolerance_mm=0.3) == pytest.approx(straight, abs=1e-4)


def test_on_the_outer_side_of_a_bend_the_face_narrows_towards_its_ends():
    cut = CutStem(4.0, 0.6, 1.2, bend_radius_mm=60.0)
    middle, end = line_half_width(cut, np.array([0.0, 8.0]), 20.0)
    assert end < middle
    assert np.isnan(line_half_width(cut, 9.9, 20.0)) or line_half_width(cut, 9.9, 20.0) < end


def test_like_faces_set_straight_meet_all_along_both_lines():
    assert contact_length(STOCK, STOCK, Placement(0.0, 0.0, 25.0), tolerance_mm=0.0) == 50.0


def test_lines_out_of_reach_do_not_meet():
    assert contact_length(STOCK, SCION, Placement(0.0, 0.0, 25.0), tolerance_mm=0.3) == 0.0
    assert contact_length(STOCK, SCION, Placement(20.0, 1.0, 25.0), tolerance_mm=1.0) == 0.0


def test_one_side_meets_where_the_other_does_not():
    assert contact_length(STOCK, SCION, Placement(0.351, 0.0, 25.0), tolerance_mm=0.1) == pytest.approx(25.0)


def test_leaning_right_is_the_mirror_image_of_leaning_left():
    right = contact_length(STOCK, SCION, Placement(0.4, 1.7, 25.0), tolerance_mm=0.2)
    assert contact_length(STOCK, SCION, Placement(-0.4, -1.7, 25.0), tolerance_mm=0.2) == pytest.approx(right, abs=1e-12)


def test_what_lies_near_both_lines_counts_once():
    narrow = CutStem(2.0, 0.3, 0.31)
    assert contact_length(narrow, narrow, Placement(0.0, 0.0, 20.0), tolerance_mm=5.0) == pytest.approx(40.0)


def test_numbers_give_numbers_and_arrays_broadcast():
    assert type(contact_length(STOCK, SCION, Placement(0.1, 0.2, 25.0), tolerance_mm=0.5)) is float
    many = contact_length(STOCK, SCION, Placement(np.zeros((3, 1)), np.arange(4.0), 25.0), tolerance_mm=0.5)
    assert many.shape == (3, 4)
    one_by_one = [contact_length(STOCK, SCION, Placement(0.0, lean, 25.0), tolerance_mm=0.5) for lean in range(4)]
    assert many[1] == pytest.approx(one_by_one)


def test_many_placements_are_as_one_by_one():
    shift = np.random.default_rng(3).normal(0.0, 0.5, 40_000)
    many = contact_length(STOCK, SCION, Placement(shift, 1.5, 25.0), tolerance_mm=0.4)
    assert many[-3:] == pytest.approx([contact_length(STOCK, SCION, Placement(at, 1.5, 25.0), tolerance_mm=0.4) for at in shift[-3:]])


def test_not_measured_stays_not_measured():
    assert np.isnan(contact_length(CutStem(np.nan, 0.6, 1.0), SCION, Placement(), tolerance_mm=0.5))
    assert np.isnan(contact_length(STOCK, SCION, Placement([np.nan, 0.0]), tolerance_mm=0.5)).tolist() == [True, False]
    assert np.isnan(contact_length(STOCK, SCION, Placement(), tolerance_mm=np.nan))


@pytest.mark.parametrize(
    ("stock", "placement", "tolerance_mm", "message"),
    [
        (CutStem(4.0, 4.0, 5.0), Placement(), 0.5, r"bark_mm is 4\.0; allowed: less than radius_mm"),
        (CutStem(4.0, 0.6, 0.5), Placement(), 0.5, "stays in the bark shows no cambium"),
        (CutStem(4.0, 0.6, 7.6), Placement(), 0.5, "far side's bark"),
        (CutStem(-4.0, 0.6, 1.0), Placement(), 0.5, r"radius_mm is -4\.0; allowed: 0 to 500 mm"),
        (CutStem(0.0, 0.0, 0.0), Placement(), 0.5, "bark_mm is 0.0; allowed: less than radius_mm"),
        (STOCK, Placement(0.0, 0.0, 0.0), 0.5, r"length_mm is 0\.0; allowed: more than 0"),
        (STOCK, Placement(0.0, 0.0, [25.0, -1.0]), 0.5, r"length_mm is -1\.0 at index 1"),
        (STOCK, Placement(), -0.1, r"tolerance_mm is -0\.1; allowed: 0 to 100 mm"),
        (STOCK, Placement("left", 0.0, 25.0), 0.5, "shift_mm is 'left'; allowed: numbers"),
        (CutStem(4.0, 0.6, 1.0, bend_radius_mm=4.0), Placement(), 0.5, "bend_radius_mm is 4.0; allowed: more than the stem's own radius"),
        (CutStem(4.0, 0.6, 1.0, bend_radius_mm=0.0), Placement(), 0.5, "no stem bends tighter"),
        (CutStem(4.0, 0.6, 1.0, across_radius_mm=0.5), Placement(), 0.5, "across_radius_mm is 0.5; allowed: more than bark_mm"),
    ],
)
def test_what_cannot_be_is_refused(stock, placement, tolerance_mm, message):
    with pytest.raises(BadValue, match=message):
        contact_length(stock, SCION, placement, tolerance_mm=tolerance_mm)
