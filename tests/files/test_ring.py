"""Geometry of the ring."""

from __future__ import annotations

import re

import pytest

from scionary.errors import BadValue
from scionary.files.ring import on_ring, ring_arcs


def points(path: str) -> list[tuple[float, float]]:
    """Ends of the pieces of a path."""
    return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)(?=A|L|$)", path)]


def test_quarter_runs_clockwise_from_the_top() -> None:
    arcs = ring_arcs(0.25, 0.5, 0.75, radius=16)
    assert arcs.sure == "M0.00 -16.00A16.00 16.00 0 0 1 16.00 0.00"
    assert arcs.possible == "M16.00 0.00A16.00 16.00 0 0 1 -16.00 0.00"
    assert points(arcs.best) == [(0.0, 12.4), (0.0, 19.6)]


def test_more_than_half_takes_the_long_way_round() -> None:
    assert " 0 1 1 " in ring_arcs(0.6, 0.7, 0.8).sure
    assert " 0 0 1 " in ring_arcs(0.4, 0.7, 0.8).sure
    assert " 0 1 1 " in ring_arcs(0.1, 0.5, 0.7).possible


def test_possible_begins_where_sure_ends() -> None:
    arcs = ring_arcs(0.31, 0.5, 0.77, radius=20, centre=(41, 38))
    assert points(arcs.sure)[-1] == points(arcs.possible)[0]


def test_full_ring_is_two_halves_that_close() -> None:
    arcs = ring_arcs(1.0, 1.0, 1.0, radius=10, centre=(5, 5))
    assert arcs.sure.count("A") == 2
    assert points(arcs.sure)[0] == points(arcs.sure)[-1] == (5.0, -5.0)
    assert arcs.possible == ""
    assert ring_arcs(0.0, 0.5, 1.0).possible.count("A") == 2


def test_nothing_sure_draws_no_dark_arc() -> None:
    assert ring_arcs(0.0, 0.2, 0.5).sure == ""


def test_centre_moves_every_point() -> None:
    assert points(ring_arcs(0.25, 0.5, 0.75, radius=16, centre=(100, 50)).sure) == [(100, 34), (116, 50)]
    assert on_ring(0.5, 2.0, (1.0, 1.0)) == pytest.approx((1.0, 3.0))


@pytest.mark.parametrize("chance", [(-0.1, 0.5, 0.9), (0.6, 0.5, 0.9), (0.1, 0.95, 0.9), (0.1, 0.5, 1.1), (float("nan"), 0.5, 0.9)])
def test_what_is_no_range_is_refused(chance: tuple[float, float, float]) -> None:
    with pytest.raises(BadValue, match="low ≤ mid ≤ high"):
        ring_arcs(*chance)


def test_radius_must_be_more_than_nothing() -> None:
    with pytest.raises(BadValue, match="radius is 0"):
        ring_arcs(0.1, 0.2, 0.3, radius=0)
