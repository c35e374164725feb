"""Contact on bends and slopes: against a bisection of its own, also where lines end within the cut."""

from __future__ import annotations

import os
from itertools import pairwise

import numpy as np
import pytest

from scionary.union import CutStem, Placement, contact_length
from scionary.union.contact import lines_contact
from scionary.union.stems import depth_at
from scionary.union.stretches import line_ends_mm, stretches

CASES = 1500 if os.environ.get("SCIONARY_HYPOTHESIS") == "long" else 12
STEPS = 20_000 if CASES > 100 else 4_000


def half_width(cut, z, length_mm):
    """Half the distance between a cut's lines: the ring of the bend met by the plane of the knife; NaN where it is missed."""
    depth = cut.depth_mm - cut.deeper_mm * z / length_mm
    if np.isfinite(cut.bend_radius_mm):
        side, ring = np.sign(cut.bend_radius_mm), abs(cut.bend_radius_mm)
        depth = cut.radius_mm - side * (np.hypot(ring + side * (cut.radius_mm - depth), z) - ring)
    height = (cut.radius_mm - depth) / (cut.radius_mm - cut.bark_mm)
    across = cut.radius_mm if cut.across_radius_mm is None else cut.across_radius_mm
    with np.errstate(invalid="ignore"):
        return (across - cut.bark_mm) * np.sqrt(1.0 - height**2)


def by_bisection(stock, scion, placement, tolerance_mm):
    """Each line of the scion is walked; where it comes within reach or leaves it is looked for by halving."""
    length = placement.length_mm

    def line(z, side):
        return placement.shift_mm + placement.lean_mm * z / length + side * half_width(scion, z, length)

    def near(z, side):
        at, stock_half = line(z, side), half_width(stock, z, length)
        return np.minimum(abs(at - stock_half), abs(at + stock_half)) <= tolerance_mm

    return sum(_length_near(lambda z, side=side: line(z, side), lambda z, side=side: near(z, side), length) for side in (-1.0, 1.0))


def _length_near(line, near, length):
    z = np.linspace(-length / 2.0, length / 2.0, STEPS + 1)
    there = near(z)
    changes = np.flatnonzero(there[1:] != there[:-1])
    low, high = z[changes], z[changes + 1]
    for _ in range(45):
        middle = (low + high) / 2.0
        same = near(middle) == there[changes]
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    ends = np.concatenate([z[:1], (low + high) / 2.0, z[-1:]])
    share = (1.0 - np.cos(np.linspace(0.0, np.pi, 2001))) / 2.0
    found = 0.0
    for at, (begin, end) in enumerate(pairwise(ends)):
        if there[0] ^ (at % 2 == 1):
            heights = begin + share * (end - begin)
            found += np.nansum(np.hypot(np.diff(line(heights)), np.diff(heights)))
    return found


def random_case(rng, kind):
    """A stock with a bend of 1.2 to some tens of its radii, and a scion; both bent; a splice on a bend; a wedge in a straight stock."""
    radius, small = rng.uniform(2.0, 8.0), rng.uniform(1.0, 4.0)
    bark, thin = rng.uniform(0.05, 0.16) * radius, rng.uniform(0.05, 0.16) * small
    bends = [np.exp(rng.uniform(np.log(1.2 * each), np.log(200.0))) * rng.choice((-1, 1)) for each in (radius, small)]
    across = radius * rng.uniform(0.8, 1.3)
    stock = CutStem(radius, bark, rng.uniform(bark + 0.02 * radius, radius), across, bends[0])
    scion = CutStem(small, thin, rng.uniform(thin + 0.02 * small, small), None, bends[1] if kind == "both bent" else np.inf)
    if kind == "a splice on a bend":
        stock, scion = CutStem(radius, bark, radius, None, bends[0], -2.0 * radius), CutStem(small, thin, small, deeper_mm=2.0 * small)
    if kind == "a wedge":
        stock, scion = CutStem(radius, bark, stock.depth_mm), CutStem(small, thin, small / 2.0, deeper_mm=small)
    return stock, scion, Placement(rng.normal(0.0, 0.7), rng.normal(0.0, 1.5), rng.uniform(10.0, 80.0)), rng.uniform(0.1, 1.0)


@pytest.mark.parametrize("kind", ["a bent stock", "both bent", "a splice on a bend", "a wedge"])
def test_contact_equals_a_bisection_to_a_tenth_of_a_millimetre(kind):
    rng = np.random.default_rng(8)
    found = []
    for _ in range(CASES):
        stock, scion, placement, tolerance_mm = random_case(rng, kind)
        found.append(contact_length(stock, scion, placement, tolerance_mm=tolerance_mm))
        assert found[-1] == pytest.approx(by_bisection(stock, scion, placement, tolerance_mm), abs=0.1)
    assert np.count_nonzero(found) > CASES / 3


# Of many random cases those whose lines end within reach of one another: the last pieces of a line count.
ENDING = [
    (CutStem(6.35, 0.444, 6.311, None, -19.13), CutStem(1.316, 0.1105, 0.1758), Placement(-0.341, 1.13, 62.9), 0.932),
    (CutStem(2.198, 0.258, 1.7, None, 30.9), CutStem(3.755, 0.2154, 3.745, None, -8.163), Placement(-1.048, -0.973, 49.5), 0.805),
    (
        CutStem(5.475, 0.5817, 5.475, None, -29.1, -10.95),
        CutStem(1.163, 0.1227, 1.163, deeper_mm=2.326),
        Placement(-0.132, 1.78, 76.6),
        0.661,
    ),
    (CutStem(2.507, 0.401, 1.382, None, -97.7), CutStem(1.327, 0.212, 1.327), Placement(-0.735, -0.614, 75.6), 0.5),
]


@pytest.mark.parametrize("case", ENDING)
def test_lines_count_up_to_their_very_ends(case):
    stock, scion, placement, tolerance_mm = case
    assert contact_length(stock, scion, placement, tolerance_mm=tolerance_mm) == pytest.approx(by_bisection(*case), abs=0.02)


@pytest.mark.parametrize("cut", [ENDING[0][0], ENDING[1][0], ENDING[2][0], CutStem(2.0, 0.3, 1.0, deeper_mm=2.0)])
def test_a_line_ends_where_the_cut_leaves_the_wood(cut):
    ends = line_ends_mm(cut, np.asarray(60.0))
    within = ends[np.abs(ends) < 30.0]
    depth = depth_at(cut, within, 60.0)
    assert len(within) > 0
    assert np.minimum(np.abs(depth - cut.bark_mm), np.abs(depth - (2.0 * cut.radius_mm - cut.bark_mm))) == pytest.approx(0.0, abs=1e-9)


def test_many_placements_are_one_by_one_also_where_no_line_lives_at_all():
    deep, barely = (CutStem(4.0, 0.6, depth, bend_radius_mm=60.0) for depth in (1.2, 0.3))  # the second stays in its bark
    scion, length = CutStem(2.0, 0.3, 1.0), np.asarray(20.0)
    assert [len(list(stretches(stock, scion, length, 8))) for stock in (deep, barely)] == [1, 0]
    shift = np.array([-0.4, 0.0, 0.7])
    many = contact_length(deep, scion, Placement(shift, 1.0, 20.0), tolerance_mm=0.4)
    assert many == pytest.approx([contact_length(deep, scion, Placement(at, 1.0, 20.0), tolerance_mm=0.4) for at in shift])
    both = CutStem(4.0, 0.6, np.array([[1.2], [0.3]]), bend_radius_mm=60.0)
    found = lines_contact(both, scion, shift, 1.0, 20.0, 0.4)
    assert (found.shape, found[1].tolist()) == ((2, 3), [0.0] * 3)
    assert found[0] == pytest.approx(many)
