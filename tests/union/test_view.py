"""What a drawing shows agrees with what is computed."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.union import METHODS, Placement, Stem, Way, contact_length, planned_joint, ways_compared
from scionary.union.view import union_view

VENEER = planned_joint(METHODS["side_veneer"], Stem(7.0), Stem(3.0))


def length_of(lines):
    return sum(float(np.hypot(*np.diff(np.array(line), axis=0).T).sum()) for line in lines)


@pytest.mark.parametrize(("shift_mm", "lean_mm"), [(0.0, 0.0), (0.4, 0.0), (0.0, 2.0), (0.3, -1.5)])
def test_the_stretches_that_meet_are_as_long_as_the_contact(shift_mm, lean_mm):
    placement = Placement(shift_mm, lean_mm, VENEER.length_mm)
    view = union_view(VENEER, placement, 0.5)
    assert view.met_mm == pytest.approx(contact_length(VENEER.stock, VENEER.scion, placement, tolerance_mm=0.5))
    assert length_of(view.met) == pytest.approx(view.met_mm, abs=0.2)


def test_the_stems_keep_their_sizes_and_the_scion_lies_on_the_face():
    view = union_view(VENEER, Placement(0.2, 0.0, VENEER.length_mm), 0.5)
    barks = {piece.part: np.array(piece.outline) for piece in view.pieces if piece.tissue == "bark"}
    assert np.ptp(barks["stock"][:, 0]) == pytest.approx(7.0, abs=0.02)
    assert np.ptp(barks["stock"][:, 1]) == pytest.approx(7.0 - VENEER.stock.depth_mm, abs=0.02)
    assert barks["scion"][:, 1].min() == pytest.approx(barks["stock"][:, 1].max())
    assert np.ptp(barks["scion"][:, 1]) == pytest.approx(3.0 - 1.5, abs=0.02)
    assert barks["scion"][:, 0].mean() == pytest.approx(0.2, abs=0.02)


def test_the_marks_lie_on_the_ring_under_the_bark():
    view = union_view(VENEER, Placement(0.0, 0.0, VENEER.length_mm), 0.5)
    for mark in view.marks:
        if mark.part == "stock":
            assert np.hypot(*mark.at) == pytest.approx(3.5 - 0.56)
    assert all(mark.meets for mark in view.marks)
    assert not any(mark.meets for mark in union_view(VENEER, Placement(6.0, 0.0, VENEER.length_mm), 0.5).marks)


@pytest.mark.parametrize("method", METHODS.values(), ids=METHODS)
def test_every_method_can_be_drawn(method):
    stock = Stem((method.stock_low_mm + method.stock_high_mm) / 2)
    joint = planned_joint(method, stock, Stem(stock.diameter_mm * (0.8 * method.ratio_low + 0.2 * method.ratio_high)))
    best = ways_compared(joint, method.ways, tolerance_mm=0.5, error_mm=0.3, wanted_mm=5.0)[0]
    view = union_view(joint, best, 0.5)
    assert {piece.part for piece in view.pieces} == {"stock", "scion"}
    assert view.met
    assert (view.bed is None) == (joint.opening_mm is None)
    assert all(np.isfinite(np.array(line)).all() for line in (*view.stock_lines, *view.scion_lines, *view.met, *view.flaps))


def test_a_face_that_is_too_wide_for_round_wood_shows_a_bed_that_is_narrower():
    joint = planned_joint(METHODS["side_inlay"], Stem(6.0), Stem(4.0))
    view = union_view(joint, Placement(0.0, 0.0, joint.length_mm, Way.BOTH_SIDES), 0.3)
    assert view.bed[1] < joint.opening_mm / 2
    assert view.met == ()
    assert not any(mark.meets for mark in view.marks if mark.part == "scion")
    assert view.met_mm == 0.0
