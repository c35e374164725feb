"""The best placement: no other on a fine grid is better, and it goes where growers say."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.union import (
    METHODS,
    SKILLS,
    CutStem,
    Placement,
    Stem,
    Way,
    best_placement,
    contact_chance,
    placement_chance,
    planned_joint,
    ways_compared,
)
from scionary.union.placing import way_candidates

# Thicknesses, a hand, a gap and a contact at which a straight and a leaning scion come near one another.
NEAR = [((7.0, 3.0), "practised", 0.5, 1.0), ((14.0, 14.0), "practised", 0.5, 1.0), ((9.0, 4.0), "beginner", 1.0, 10.0)]
STOCK, SCION = CutStem(4.0, 0.6, 1.0), CutStem(2.0, 0.4, 1.0)


@pytest.mark.parametrize("seed", range(5))
def test_no_placement_on_a_fine_grid_is_likelier(seed):
    rng = np.random.default_rng(seed)
    stock, scion = CutStem(rng.uniform(3, 5), 0.5, rng.uniform(0.8, 1.6)), CutStem(rng.uniform(1.2, 2.5), 0.25, 1.0)
    given = {"tolerance_mm": rng.uniform(0.1, 0.6), "error_mm": rng.uniform(0.15, 0.6), "wanted_mm": rng.uniform(3, 12)}
    best = best_placement(stock, scion, **given, length_mm=20.0)
    shift, lean = np.meshgrid(np.linspace(-2, 2, 13), np.linspace(0, 6, 11))
    others = contact_chance(stock, scion, Placement(shift, lean, 20.0), **given)
    own = contact_chance(stock, scion, best, **given)
    assert own >= others.max() - 0.02
    assert best.chance == pytest.approx(own, abs=0.01)


def test_a_shaky_hand_leans_and_a_steady_one_sets_along_one_line():
    leant = best_placement(STOCK, SCION, tolerance_mm=0.1, error_mm=0.3, wanted_mm=3.0)
    assert leant.way is Way.CROSSED
    assert leant.chance > 0.98
    assert best_placement(STOCK, SCION, tolerance_mm=0.1, error_mm=0.04, wanted_mm=15.0).way is Way.ONE_SIDE


def test_like_faces_are_set_on_both_sides():
    best = best_placement(STOCK, STOCK, tolerance_mm=0.5, error_mm=0.1, wanted_mm=10.0)
    assert (best.way, best.shift_mm, best.lean_mm) == (Way.BOTH_SIDES, 0.0, 0.0)


def test_only_the_ways_that_are_asked_for_are_given():
    found = best_placement(STOCK, SCION, tolerance_mm=0.1, error_mm=0.3, wanted_mm=3.0, ways=(Way.ONE_SIDE, Way.BOTH_SIDES))
    assert found.way is Way.ONE_SIDE
    assert found.shift_mm == pytest.approx(1.6 - 1.249, abs=5e-4)


def test_the_lean_is_told_in_millimetres_at_both_ends():
    leant = best_placement(STOCK, SCION, tolerance_mm=0.1, error_mm=0.3, wanted_mm=3.0).to_dict()
    assert leant["top_mm"] - leant["foot_mm"] == pytest.approx(leant["lean_mm"])
    assert leant["lean_deg"] == pytest.approx(np.degrees(np.arctan(leant["lean_mm"] / 25.0)))


def test_the_best_way_comes_first_and_the_same_way_is_not_named_twice():
    joint = planned_joint(METHODS["side_veneer"], Stem(7.0), Stem(3.0))  # its lines lie alike: one side is both
    found = ways_compared(joint, tuple(Way), tolerance_mm=0.5, error_mm=0.35, wanted_mm=5.0)
    assert {placement.way for placement in found} == {Way.BOTH_SIDES, Way.CROSSED}
    assert found[0].chance >= max(placement.chance for placement in found) - 0.01


@pytest.mark.parametrize(("pair", "hand", "tolerance_mm", "wanted_mm"), NEAR)
def test_what_comes_first_is_a_hundredth_below_the_likeliest_at_most(pair, hand, tolerance_mm, wanted_mm):
    method = METHODS["side_veneer"]
    joint, skill = planned_joint(method, *(Stem(mm) for mm in pair)), SKILLS[hand]
    errors = {"error_mm": skill.error_mm, "depth_error_mm": skill.depth_error_mm}
    given = {"tolerance_mm": tolerance_mm, "wanted_mm": wanted_mm, **errors}
    every = [Placement(*place, joint.length_mm) for way in method.ways for place in way_candidates(joint, way).tolist()]
    likeliest = max(placement_chance(joint, placement, **given).chance for placement in every)
    assert ways_compared(joint, method.ways, **given)[0].chance >= likeliest - 0.0101


def test_it_is_the_same_every_time():
    given = {"tolerance_mm": 0.3, "error_mm": 0.3, "wanted_mm": 6.0, "depth_error_mm": 0.1}
    assert best_placement(STOCK, SCION, **given) == best_placement(STOCK, SCION, **given)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"error_mm": float("nan")}, "error_mm is nan; allowed: 0 to 50 mm"),
        ({"wanted_mm": -2.0}, r"wanted_mm is -2\.0"),
        ({"length_mm": 0.0}, "length_mm"),
    ],
)
def test_what_cannot_be_is_refused(given, message):
    with pytest.raises(BadValue, match=message):
        best_placement(STOCK, SCION, **{"tolerance_mm": 0.3, "error_mm": 0.3, "wanted_mm": 6.0, **given})
