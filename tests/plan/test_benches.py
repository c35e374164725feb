"""Trays on a bench."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.plan import trays_on_bench


def assert_lies(layout):
    """Each tray on the bench, no two nearer than the gap, one pair at a time."""
    lie = zip(layout.corners, layout.sizes, strict=True)
    trays = [(x, y, x + along, y + across) for (x, y), (along, across) in lie]
    for left, low, right, high in trays:
        assert min(left, low) >= -1e-6
        assert right <= layout.length_mm + 1e-6
        assert high <= layout.width_mm + 1e-6
    for (a, b, c, d), (e, f, g, h) in combinations(trays, 2):
        assert max(e - c, a - g, f - d, b - h) >= layout.gap_mm - 1e-6


@settings(max_examples=40)
@given(
    along=st.floats(0.4, 6),
    across=st.floats(0.4, 3),
    tray=st.floats(200, 700),
    share=st.floats(0.3, 1),
    gap_mm=st.sampled_from([0.0, 20.0]),
)
def test_trays_never_overlap_nor_leave_the_bench(along, across, tray, share, gap_mm):
    layout = trays_on_bench(along * tray, across * tray, tray, share * tray, gap_mm=gap_mm)
    assert_lies(layout)
    assert layout.count <= layout.at_most
    length, width, long, short = (side + gap_mm for side in (along * tray, across * tray, tray, share * tray))
    assert layout.count >= max(int(length / long) * int(width / short), int(length / short) * int(width / long))


def test_one_way_round_where_that_is_best():
    assert trays_on_bench(2160, 560, 540, 280).count == 8


def test_some_lie_crosswise_where_that_holds_more():
    layout = trays_on_bench(3000, 900, 540, 280)
    assert (layout.count, layout.at_most) == (16, 16)
    assert 0 < layout.turned.sum() < 16


def test_five_parts_round_a_middle_hold_what_halves_do_not():
    # four domes as a pinwheel round a hole of 260: 540 + 280 each way
    layout = trays_on_bench(820, 820, 540, 280)
    assert layout.count == 4
    assert_lies(layout)
    assert trays_on_bench(819, 819, 540, 280).count == 2


def test_a_gap_is_kept_between_trays_and_not_to_the_edge():
    assert trays_on_bench(1100, 280, 540, 280, gap_mm=20).count == 2
    assert trays_on_bench(1099, 280, 540, 280, gap_mm=20).count == 1


def test_a_tray_that_does_not_fit_is_an_answer():
    layout = trays_on_bench(500, 250, 540, 280)
    assert (layout.count, layout.at_most, layout.corners.shape) == (0, 0, (0, 2))


@pytest.mark.parametrize(
    ("sizes", "message"),
    [
        ((0, 900, 540, 280), "length_mm is 0; allowed: more than 0 mm"),
        ((900, 900, 540, float("nan")), "tray_width_mm is nan"),
        ((90_000, 9_000, 540, 280), "a tray of which the bench holds at most 400"),
    ],
)
def test_what_cannot_be_is_refused(sizes, message):
    with pytest.raises(BadValue, match=message):
        trays_on_bench(*sizes)
    with pytest.raises(BadValue, match="gap_mm is -1"):
        trays_on_bench(900, 900, 540, 280, gap_mm=-1)
