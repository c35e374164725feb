"""What a geometer would try: limits, tangents, turned ovals, tight bends, nothing at all; against points put down one by one."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.union import (
    METHODS,
    SKILLS,
    CutStem,
    Placement,
    Stage,
    Stem,
    advice,
    contact_chance,
    contact_length,
    flap_contact,
    line_half_width,
    match_stocks,
    shortfall_cost,
    thicknesses_to_order,
    union_view,
)

STOCK, SCION = CutStem(4.0, 0.6, 1.0), CutStem(2.0, 0.4, 1.0)
COST = shortfall_cost(method="side_veneer", tolerance_mm=0.5, error_mm=0.35, wanted_mm=5.0)


@pytest.fixture(autouse=True)
def _no_warnings():
    """No division by nothing, no overflow, no NaN made on the way."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        yield


def ring_of_points(cut, z, count=40_001):
    """Where the living ring of a stem is met by the plane of its cut at each height: (left, right); NaN where it is not.

    The stem is a heap of points: its ring of living cells, turned about the centre of the bend where it is bent. Of the points at a height
    those are looked for between which the plane lies.
    """
    angle = np.linspace(0.0, np.pi, count)
    across = cut.radius_mm if cut.across_radius_mm is None else cut.across_radius_mm
    out, aside = (cut.radius_mm - cut.bark_mm) * np.cos(angle), (across - cut.bark_mm) * np.sin(angle)
    found = np.full(len(z), np.nan)
    for at, height in enumerate(z):
        plane = cut.radius_mm - cut.depth_mm
        if np.isinf(cut.bend_radius_mm):
            x = out
        else:
            side, ring = np.sign(cut.bend_radius_mm), abs(cut.bend_radius_mm)
            squared = (ring + side * out) ** 2 - height**2
            x = np.where(squared >= 0.0, side * (np.sqrt(np.maximum(squared, 0.0)) - ring), np.nan)
        over = np.flatnonzero((x[:-1] >= plane) & (x[1:] < plane))
        if len(over):
            first = over[0]
            share = (x[first] - plane) / (x[first] - x[first + 1])
            found[at] = aside[first] + share * (aside[first + 1] - aside[first])
    return -found, found


def by_points(stock, scion, placement, tolerance_mm, pieces=4_000):
    """Contact as a heap of short pieces of the scion's lines, each asked whether a line of the stock lies near."""
    edges = np.linspace(-placement.length_mm / 2.0, placement.length_mm / 2.0, pieces + 1)
    z = (edges[1:] + edges[:-1]) / 2.0
    straight = np.isinf(stock.bend_radius_mm)
    left, right = ring_of_points(stock, z[:1] if straight else z, 400_001 if straight else 4_001)
    half = ring_of_points(scion, z[:1], 400_001)[1][0]
    total = 0.0
    for side in (-1.0, 1.0):
        line = placement.shift_mm + placement.lean_mm * z / placement.length_mm + side * half
        gap = np.fmin(np.abs(line - left), np.abs(line - right))
        total += np.count_nonzero(gap <= tolerance_mm) * np.hypot(placement.lean_mm, placement.length_mm) / pieces
    return total


HARD = {
    "a scion thicker than its stock": (CutStem(2.0, 0.2, 1.0), CutStem(4.0, 0.4, 2.0), Placement(0.3, 1.0, 25.0), 0.5),
    "equal circles cut to the pith": (CutStem(4.0, 0.5, 4.0), CutStem(4.0, 0.5, 4.0), Placement(0.2, 0.7, 20.0), 0.3),
    "an oval": (CutStem(4.0, 0.5, 1.2, 5.5), SCION, Placement(0.1, 2.0, 25.0), 0.4),
    "the same oval turned by a quarter": (CutStem(5.5, 0.5, 1.2, 4.0), SCION, Placement(0.1, 2.0, 25.0), 0.4),
    "no bark at all": (CutStem(3.5, 0.0, 0.6), CutStem(1.5, 0.0, 0.75), Placement(0.4, -1.5, 18.0), 0.25),
    "a cut a hair below the bark": (CutStem(4.0, 0.6, 0.6 + 1e-4), SCION, Placement(0.0, 3.0, 25.0), 0.5),
    "a cut to the pith": (CutStem(4.0, 0.6, 4.0), SCION, Placement(2.1, 1.0, 25.0), 0.5),
    "a cut to a hair before the far bark": (CutStem(4.0, 0.6, 7.4 - 1e-4), SCION, Placement(0.0, 3.0, 25.0), 0.5),
    "a lean wider than the face": (STOCK, SCION, Placement(0.0, 40.0, 25.0), 0.5),
    "a lean longer than the cut": (STOCK, SCION, Placement(0.5, -300.0, 25.0), 0.5),
    "more reach than stem": (STOCK, SCION, Placement(0.5, 5.0, 25.0), 30.0),
    "a bend as tight as the stem is thick": (CutStem(4.0, 0.6, 2.5, bend_radius_mm=8.0), SCION, Placement(0.5, 2.0, 13.0), 0.4),
    "the same on the inner side": (CutStem(4.0, 0.6, 1.0, bend_radius_mm=-8.0), SCION, Placement(0.5, 2.0, 13.0), 0.4),
    "a bend that leaves the stem before the cut ends": (CutStem(4.0, 0.6, 1.0, bend_radius_mm=9.0), SCION, Placement(0.0, 1.0, 40.0), 0.6),
    "a bent oval": (CutStem(4.0, 0.5, 1.5, 5.0, bend_radius_mm=30.0), SCION, Placement(0.2, 1.0, 25.0), 0.4),
}


@pytest.mark.parametrize("case", HARD.values(), ids=HARD)
def test_contact_is_that_of_points_put_down_one_by_one(case):
    stock, scion, placement, tolerance_mm = case
    found = contact_length(stock, scion, placement, tolerance_mm=tolerance_mm)
    slant = np.hypot(placement.lean_mm, placement.length_mm)
    assert found == pytest.approx(by_points(stock, scion, placement, tolerance_mm), abs=max(0.1, 4.0 * slant / 4_000))
    assert 0.0 <= found <= 2.0 * slant + 1e-9


def test_some_hard_cases_meet_in_part_or_the_comparison_would_say_little():
    lengths = [
        contact_length(stock, scion, placement, tolerance_mm=t) / placement.length_mm for stock, scion, placement, t in HARD.values()
    ]
    assert sum(0.05 < share < 1.95 for share in lengths) >= 10


def test_lines_at_the_very_edge_of_reach_meet_and_none_counts_twice():
    stock, scion = (float(line_half_width(cut, 0.0, 25.0)) for cut in (STOCK, SCION))
    tangent = Placement(0.0, 0.0, 25.0)
    assert contact_length(STOCK, SCION, tangent, tolerance_mm=stock - scion) == 50.0
    for shift in np.linspace(-3.0, 3.0, 25):  # a line of the scion laid on the stock's, whatever the last digit does
        assert contact_length(STOCK, SCION, Placement(stock - scion, 0.0, 25.0), tolerance_mm=0.0) == 25.0
        aside = contact_length(STOCK, SCION, Placement(shift, 0.0, 25.0), tolerance_mm=stock)
        assert aside in (0.0, 25.0, 50.0)
    assert (
        contact_length(STOCK, SCION, Placement(scion, 0.0, 25.0), tolerance_mm=stock) == 50.0
    )  # a line half way between both of the stock's


@pytest.mark.parametrize("size_mm", [1e-320, 1e-300, 1e-12, 1e-3])
def test_the_thinnest_stems_that_can_be_written_meet_once(size_mm):
    thin = CutStem(size_mm, 0.0, size_mm / 2.0)
    assert contact_length(thin, thin, Placement(0.0, 0.0, 10.0), tolerance_mm=0.0) == 20.0
    for stock, scion in ((Stem(size_mm), Stem(3.0)), (Stem(7.0), Stem(size_mm)), (Stem(size_mm), Stem(size_mm))):
        offer = advice(stock, scion, METHODS["side_veneer"], stage=None, skill=SKILLS["practised"], methods={}).chosen
        assert not offer.fits


def test_an_oval_stem_has_the_same_bark_whichever_way_it_is_turned():
    assert Stem(8.0, across_mm=10.0).bark == pytest.approx(Stem(10.0, across_mm=8.0).bark)
    assert Stem(8.0, across_mm=8.0).bark == pytest.approx(Stem(8.0).bark)


@pytest.mark.parametrize(
    ("made", "told"),
    [
        (lambda: Stem(5e-324), "diameter_mm is 5e-324; allowed: more than 0"),
        (lambda: Stem(7.0, float("nan")), "bark_mm is nan; allowed: less than half"),
        (lambda: Stem(7.0, bend_radius_mm=float("nan")), "bend_radius_mm is nan; allowed: more than the stem's own radius"),
        (lambda: Stem(7.0, bend_radius_mm=-3.5), "no stem bends tighter"),
        (lambda: Stem(float("inf")), "diameter_mm is inf"),
        (lambda: contact_length(CutStem(4.0, 0.6, 0.6), SCION, Placement(), tolerance_mm=0.5), "stays in the bark"),
        (lambda: contact_length(CutStem(4.0, 0.6, 7.4), SCION, Placement(), tolerance_mm=0.5), "far side's bark"),
    ],
)
def test_what_is_no_stem_and_no_cut_is_refused(made, told):
    with pytest.raises(BadValue, match=told):
        made()


@pytest.mark.parametrize("bend_radius_mm", [np.inf, 80.0])
def test_what_is_not_known_leaves_contact_and_chance_unknown_bent_or_straight(bend_radius_mm):
    asked = {"radius_mm": 4.0, "bark_mm": 0.6, "depth_mm": 1.0, "shift_mm": 0.0, "lean_mm": 1.0, "length_mm": 20.0, "tolerance_mm": 0.5}
    for name in asked:
        known = {**asked, name: [np.nan, asked[name]]}
        stock = CutStem(known["radius_mm"], known["bark_mm"], known["depth_mm"], bend_radius_mm=bend_radius_mm)
        placement = Placement(known["shift_mm"], known["lean_mm"], known["length_mm"])
        contact = contact_length(stock, SCION, placement, tolerance_mm=known["tolerance_mm"])
        errors = {"error_mm": 0.3, "wanted_mm": 5.0, "draws": 200}
        chance = contact_chance(stock, SCION, placement, tolerance_mm=known["tolerance_mm"], **errors)
        assert np.isnan(contact).tolist() == np.isnan(chance).tolist() == [True, False], name
    unknown = flap_contact(STOCK, SCION, Placement(), opening_mm=3.0, tolerance_mm=float("nan"))
    assert np.isnan([unknown.line_mm, unknown.edge_mm, unknown.area_mm2]).all()


def test_nothing_gives_nothing():
    none = Placement(np.empty(0))
    assert contact_length(STOCK, SCION, none, tolerance_mm=0.5).shape == (0,)
    for depth_error_mm in (0.0, 0.1):
        given = {"tolerance_mm": 0.5, "error_mm": 0.3, "wanted_mm": 5.0, "depth_error_mm": depth_error_mm}
        assert contact_chance(STOCK, SCION, none, **given).shape == (0,)
    assert flap_contact(STOCK, SCION, none, opening_mm=3.0, tolerance_mm=0.5).line_mm.shape == (0,)
    assert COST(np.empty(0), 7.0).shape == (0,)
    matching = match_stocks([], [7.0, 8.0], COST)
    assert (matching.pairs.shape, matching.left_stocks.tolist(), matching.cost) == ((0, 2), [0, 1], 0.0)
    assert match_stocks([30.0, 40.0], [7.0], COST).left_scions.tolist() == [0, 1]
    assert thicknesses_to_order([], COST) == []


def test_arrays_of_stems_and_of_placements_broadcast_to_what_each_alone_gives():
    bends, radii, leans = np.array([80.0, np.inf, -60.0]), np.array([[4.0], [5.0]]), np.array([0.5, 1.0, 3.0])
    found = contact_length(CutStem(radii, 0.6, 1.0, bend_radius_mm=bends), SCION, Placement(0.2, leans, 14.0), tolerance_mm=0.4)
    for row, radius in enumerate((4.0, 5.0)):
        for column, (bend, lean) in enumerate(zip(bends, leans, strict=True)):
            stock = CutStem(radius, 0.6, 1.0, bend_radius_mm=float(bend))
            alone = contact_length(stock, SCION, Placement(0.2, float(lean), 14.0), tolerance_mm=0.4)
            assert found[row, column] == pytest.approx(alone, abs=0.1 if np.isfinite(bend) else 0.02)


@pytest.mark.parametrize("error_mm", [0.0, 1e-320, 1e-15])
def test_a_hand_without_error_has_the_contact_or_has_it_not(error_mm):
    stock, scion = (float(line_half_width(cut, 0.0, 25.0)) for cut in (STOCK, SCION))
    shift = np.concatenate([np.random.default_rng(5).normal(0.0, 0.5, 5), [stock - scion, 0.0, scion]])
    for tolerance_mm, lean in ((0.0, 0.0), (stock - scion, 0.0), (0.3, 0.0), (0.3, 2.0), (0.0, 2.0)):
        placement = Placement(shift, lean, 25.0)
        contact = contact_length(STOCK, SCION, placement, tolerance_mm=tolerance_mm)
        chance = contact_chance(STOCK, SCION, placement, tolerance_mm=tolerance_mm, error_mm=error_mm, wanted_mm=4.0)
        assert chance.tolist() == (contact >= 4.0).astype(float).tolist()


@pytest.mark.parametrize("key", METHODS)
def test_no_pair_makes_a_method_stumble(key):
    pairs = [
        (Stem(8.0), Stem(8.0)),
        (Stem(8.0, 0.0), Stem(8.0, 0.0)),
        (Stem(5.0), Stem(9.0)),
        (Stem(8.0, across_mm=10.0), Stem(3.0, across_mm=2.0)),
        (Stem(10.0, across_mm=8.0), Stem(2.0, across_mm=3.0)),
        (Stem(8.0, 3.999), Stem(4.0, 1.999)),
        (Stem(8.0, bend_radius_mm=8.0), Stem(3.0)),
        (Stem(8.0, bend_radius_mm=-8.0), Stem(3.0)),
        (Stem(8.0), Stem(3.0, bend_radius_mm=20.0)),
        (Stem(1000.0), Stem(1000.0)),
    ]
    for stock, scion in pairs:
        offer = advice(stock, scion, METHODS[key], stage=Stage.IN_GROWTH, skill=SKILLS["beginner"], methods={}).chosen
        if offer.joint is None or offer.best is None:
            assert not offer.fits
            continue
        assert 0.0 <= offer.best.chance <= 1.0
        view = union_view(offer.joint, offer.best, 0.5)
        assert all(np.isfinite(piece.outline).all() for piece in view.pieces)
        assert np.isfinite(view.met_mm)
