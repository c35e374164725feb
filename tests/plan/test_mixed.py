"""Pots of several sizes on one tray."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plan.standing import assert_stands
from scionary.errors import BadValue
from scionary.plan import RoundPot, SomePots, SquarePot, mixed_on_tray


def assert_holds(layout):
    pots = [
        (x, y, type(pot)(pot.width_mm - layout.tolerance_mm))
        for (x, y), pot in zip(layout.positions.tolist(), (layout.wanted[kind].pot for kind in layout.kinds), strict=True)
    ]
    assert_stands(pots, layout.length_mm, layout.width_mm, clearance_mm=layout.clearance_mm)


def most_by_trying(length, width, big, small, wanted_big, wanted_small):
    """How many whole squares lie on a board of whole size, big ones first, by trying every place of every one."""
    best = (0, 0)

    def place(taken, first, counts):
        nonlocal best
        best = max(best, counts)
        for kind, size in ((0, big), (1, small)):
            if counts[kind] == (wanted_big, wanted_small)[kind] or (kind == 0 and counts[1]):
                continue
            for x, y in product(range(length - size + 1), range(width - size + 1)):
                cells = {(x + i, y + j) for i in range(size) for j in range(size)}
                if (kind, x, y) >= first and not cells & taken:
                    place(taken | cells, (kind, x, y), tuple(c + (k == kind) for k, c in enumerate(counts)))

    place(set(), (0, 0, 0), (0, 0))
    return best


@pytest.mark.parametrize(
    ("length", "width", "big", "small", "wanted"),
    [(7, 5, 3, 2, (2, 9)), (8, 5, 3, 2, (2, 9)), (7, 6, 4, 3, (1, 9)), (7, 5, 4, 2, (1, 9)), (6, 6, 4, 2, (2, 5)), (7, 7, 4, 3, (1, 9))],
)
def test_squares_of_two_sizes_are_placed_as_well_as_by_trying_all(length, width, big, small, wanted):
    layout = mixed_on_tray(length, width, [SomePots(SquarePot(big), wanted[0]), SomePots(SquarePot(small), wanted[1])])
    assert layout.counts == most_by_trying(length, width, big, small, *wanted)
    assert layout.proved
    assert_holds(layout)


@settings(max_examples=25)
@given(
    shapes=st.lists(st.tuples(st.sampled_from([SquarePot, RoundPot]), st.sampled_from([60.0, 98.0, 114.3, 165.0])), min_size=1, max_size=2),
    counts=st.tuples(st.integers(1, 4), st.integers(1, 6)),
    length_mm=st.floats(100, 560),
    width_mm=st.floats(60, 300),
    clearance_mm=st.sampled_from([0.0, 12.0]),
)
def test_pots_never_overlap_nor_leave_the_tray(shapes, counts, length_mm, width_mm, clearance_mm):
    wanted = [SomePots(shape(size), count) for (shape, size), count in zip(shapes, counts, strict=False)]
    layout = mixed_on_tray(length_mm, width_mm, wanted, clearance_mm=clearance_mm)
    assert_holds(layout)
    assert all(0 <= stood <= some.count for stood, some in zip(layout.counts, layout.wanted, strict=True))


def test_one_kind_alone_is_what_division_gives():
    for size in (60, 77, 98, 130):
        layout = mixed_on_tray(540, 280, [SomePots(SquarePot(size))])
        assert layout.counts == (math.floor(540 / size) * math.floor(280 / size),)
        assert layout.proved


def test_small_pots_fill_what_large_ones_leave():
    layout = mixed_on_tray(540, 280, [SomePots(SquarePot(165), 2), SomePots(SquarePot(98))])
    assert layout.counts == (2, 7)
    assert layout.left_over == (0, 0)


def test_what_matters_most_comes_first_and_the_rest_is_left_over():
    layout = mixed_on_tray(540, 280, [SomePots(SquarePot(98), 10), SomePots(SquarePot(165), 2)])
    assert (layout.counts, layout.left_over) == ((10, 0), (0, 2))


def test_round_pots_among_square_ones_use_the_corners():
    squares = mixed_on_tray(540, 280, [SomePots(SquarePot(165), 2), SomePots(SquarePot(98))])
    rounds = mixed_on_tray(540, 280, [SomePots(RoundPot(165), 2), SomePots(RoundPot(98))])
    assert rounds.counts[0] == 2
    assert rounds.counts[1] > squares.counts[1]
    assert not rounds.proved
    assert_holds(rounds)


def test_a_round_pot_beside_a_square_one_needs_less_than_a_square_one():
    # a circle of 10 beside a square of 10, in a corner each: their corners meet at 45 degrees
    side = 10 + 5 + 5 * math.sqrt(0.5)
    pots = [SomePots(SquarePot(10), 1), SomePots(RoundPot(10), 1)]
    assert mixed_on_tray(side * 1.001, side * 1.001, pots).counts == (1, 1)
    assert mixed_on_tray(side * 0.999, side * 0.999, pots).counts == (1, 0)


def test_same_question_gives_the_same_layout():
    pots = [SomePots(RoundPot(165), 2), SomePots(RoundPot(98))]
    first, second = (mixed_on_tray(540, 280, pots).positions for _ in range(2))
    assert np.array_equal(first, second)


def test_a_stopped_search_still_answers_and_says_so():
    layout = mixed_on_tray(540, 280, [SomePots(RoundPot(165), 2), SomePots(RoundPot(98))], progress=lambda _share, _words: False)
    assert not layout.whole
    assert layout.counts[0] == 2
    assert_holds(layout)


def test_layout_gives_plain_values():
    values = mixed_on_tray(540, 280, [SomePots(SquarePot(165), 4), SomePots(RoundPot(98))]).to_dict()
    assert values["pots"][0] == {"pot_width_mm": 165, "round": False, "count": 3, "left_over": 1}
    assert len(values["positions"]) == len(values["kinds"])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: mixed_on_tray(540, 280, []), "allowed: 1 to 4 kinds of pots"),
        (lambda: mixed_on_tray(540, -280, [SomePots(SquarePot(98))]), "width_mm is -280"),
        (lambda: SomePots(SquarePot(98), 0), "count is 0; allowed: 1 to 500"),
        (lambda: SomePots(98), "pot is 98; allowed: a SquarePot or a RoundPot"),
        (lambda: mixed_on_tray(540, 280, [SomePots(SquarePot(5))]), "holds at most 500"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
