"""Stems cut for a method."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.union import (
    METHODS,
    SKILLS,
    Code,
    Placement,
    Shape,
    Stage,
    Stem,
    advice,
    contact_length,
    cut_length_mm,
    line_half_width,
    matching_depth_mm,
    planned_joint,
)
from scionary.union.joint import face_length_mm
from scionary.union.stems import depth_at


@pytest.mark.parametrize("method", METHODS.values(), ids=METHODS)
def test_every_method_cuts_a_pair_that_suits_it(method):
    stock = Stem((method.stock_low_mm + method.stock_high_mm) / 2)
    joint = planned_joint(method, stock, Stem(stock.diameter_mm * (method.ratio_low + method.ratio_high) / 2))
    assert method.cut_low_mm <= joint.length_mm <= method.cut_high_mm
    assert (joint.opening_mm is None) == (method.shape_of("stock") is not Shape.LIFTED)


def test_a_side_cut_is_as_deep_as_makes_its_lines_lie_like_the_scion_s():
    stock, scion = Stem(8.0, 0.5), Stem(5.0, 0.4)
    joint = planned_joint(METHODS["side_veneer"], stock, scion)
    assert float(joint.apart_mm) == pytest.approx(0.0, abs=1e-9)
    assert line_half_width(joint.stock, 0.0, 20.0) == pytest.approx(2.1)
    assert joint.stock.depth_mm == pytest.approx(4.0 - (3.5**2 - 2.1**2) ** 0.5)  # by hand: R − √((R − b)² − a²)


def test_a_side_cut_always_goes_into_the_wood_and_never_deep():
    method = METHODS["side_veneer"]
    shallow = planned_joint(method, Stem(12.0, 0.6), Stem(2.0, 0.2)).stock.depth_mm
    deep = planned_joint(method, Stem(6.0, 0.5), Stem(6.0, 0.5)).stock.depth_mm
    assert shallow == pytest.approx(0.6 + method.least_wood_mm)
    assert deep == pytest.approx(method.deepest_share * 6.0)


def test_an_oval_stock_is_cut_for_its_own_width():
    oval = Stem(8.0, 0.5, across_mm=10.0)
    depth = matching_depth_mm(oval, 2.0)
    assert line_half_width(oval.cut(depth), 0.0, 20.0) == pytest.approx(2.0)


def test_the_cut_keeps_to_the_method_s_lengths():
    method = METHODS["side_veneer"]
    lengths = [cut_length_mm(method, Stem(thickness)) for thickness in (1.0, 4.0, 20.0)]
    assert lengths == [method.cut_low_mm, 24.0, method.cut_high_mm]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Stem(0.0), r"diameter_mm is 0\.0; allowed: more than 0"),
        (lambda: Stem(-3.0), r"diameter_mm is -3\.0"),
        (lambda: Stem(float("nan")), "diameter_mm is nan; allowed: more than 0"),
        (lambda: Stem(5.0, 2.5), r"bark_mm is 2\.5; allowed: less than half the stem's thickness"),
        (lambda: Stem(5.0, 1.5, across_mm=2.0), "bark_mm"),
        (lambda: planned_joint(METHODS["side_veneer"], Stem(7.0), Stem(3.0), depth_mm=3.6), "up to the pith, 3.5 mm"),
        (lambda: planned_joint(METHODS["side_veneer"], Stem(7.0), Stem(3.0), depth_mm=0.3), "stays in the bark"),
        (lambda: planned_joint(METHODS["side_veneer"], Stem(7.0), Stem(3.0), length_mm=0.0), r"length_mm is 0\.0; allowed: more than 0"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()


@pytest.mark.parametrize("key", ["splice", "saddle", "whip_and_tongue"])
def test_like_stems_cut_to_fit_one_another_meet_all_along(key):
    """Two stems of one thickness, cut by planes that match: what is cut off one is what the other keeps."""
    joint = planned_joint(METHODS[key], Stem(8.0, 0.5), Stem(8.0, 0.5))
    z = np.linspace(-0.4, 0.4, 9) * joint.length_mm
    assert line_half_width(joint.stock, z, joint.length_mm) == pytest.approx(line_half_width(joint.scion, z, joint.length_mm), nan_ok=True)
    placement = Placement(0.0, 0.0, joint.length_mm)
    assert contact_length(joint.stock, joint.scion, placement, tolerance_mm=1e-6) > 1.7 * joint.length_mm


def bent(bend_mm, key="side_veneer", **more):
    return planned_joint(METHODS[key], Stem(12.0, bend_radius_mm=bend_mm), Stem(7.0), **more)


def test_on_the_inner_side_of_a_bend_a_cut_is_shortened_until_its_ends_are_no_deeper_than_allowed():
    joint = bent(-30.0)
    middle, ends, beyond = (float(depth_at(joint.stock, z, 40.0)) for z in (0.0, joint.length_mm / 2, joint.length_mm / 2 + 0.5))
    assert (joint.usual_mm, joint.length_mm) == (40.0, 21.0)
    assert middle < ends <= 0.33 * 12.0 < beyond
    assert ends == pytest.approx(middle + np.hypot(30.0 - 6.0 + middle, 10.5) - (30.0 - 6.0 + middle))  # by hand


def test_a_cut_whose_ends_would_pass_the_pith_on_a_bend_is_refused():
    with pytest.raises(BadValue, match=r"a flat cut of 40 mm on the inner side of this bend goes 8\.7 mm deep at its ends"):
        bent(-30.0, length_mm=40.0)
    with pytest.raises(BadValue, match="up to the pith, 6 mm"):
        bent(-7.0)


def test_on_the_outer_side_of_a_bend_a_cut_is_as_long_as_its_face():
    joint = bent(60.0)
    assert joint.length_mm == np.floor(face_length_mm(joint.stock, 1e3)) < joint.usual_mm
    assert float(depth_at(joint.stock, face_length_mm(joint.stock, 1e3) / 2, 40.0)) == pytest.approx(0.0, abs=1e-9)
    assert float(depth_at(joint.stock, joint.length_mm / 2, 40.0)) >= 0.0


@pytest.mark.parametrize("bend_mm", [-400.0, -60.0, -30.0, -15.0, -8.0, 8.0, 20.0, 60.0, 400.0])
@pytest.mark.parametrize("key", ["side_veneer", "chip_bud", "approach"])
def test_no_bend_makes_advice_pass_the_pith_or_hide_what_it_does(key, bend_mm):
    offer = advice(
        Stem(12.0, bend_radius_mm=bend_mm), Stem(7.0), METHODS[key], stage=Stage.DORMANT, skill=SKILLS["practised"], methods={}
    ).chosen
    codes = {problem.code for problem in offer.problems}
    if offer.joint is None:
        assert Code.CANNOT_BE_CUT in codes
        return
    ends = float(depth_at(offer.joint.stock, offer.joint.length_mm / 2, offer.joint.length_mm))
    assert ends <= 6.0
    assert (ends < 0.0) == (Code.FACE_SHORT in codes)
    assert (ends > METHODS[key].deepest_share * 12.0 + 1e-9) == (Code.ENDS_DEEP in codes)
    assert Code.BEND_SHORTENS not in codes or offer.joint.length_mm < offer.joint.usual_mm
