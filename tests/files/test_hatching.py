"""Hatching: four kinds that differ in form, each inside its pot."""

from __future__ import annotations

import math

import pytest

from scionary.files.hatching import KINDS, hatch_lines


def test_each_kind_has_lines_of_its_own() -> None:
    found = [tuple(hatch_lines(kind, 10.0, 4.0)) for kind in range(len(KINDS))]
    assert found[0] == ()
    assert len({*found}) == 4


@pytest.mark.parametrize("is_round", [True, False])
@pytest.mark.parametrize("kind", [1, 2, 3])
def test_no_line_leaves_its_pot(kind: int, is_round: bool) -> None:
    for x1, y1, x2, y2 in hatch_lines(kind, 10.0, 3.0, is_round=is_round):
        assert math.hypot(x2 - x1, y2 - y1) > 0
        for x, y in ((x1, y1), (x2, y2)):
            edge = math.hypot(x, y) if is_round else max(abs(x), abs(y))
            assert edge == pytest.approx(10.0)


def test_lines_of_one_direction_lie_a_gap_apart() -> None:
    heights = sorted(y1 for _, y1, _, _ in hatch_lines(2, 10.0, 4.0))
    assert heights == pytest.approx([-8.0, -4.0, 0.0, 4.0, 8.0])
