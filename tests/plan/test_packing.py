"""Pots on trays."""

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plan.standing import assert_stands
from scionary.errors import BadValue
from scionary.plan import LayoutKind, RoundPot, SquarePot, pots_on_tray
from scionary.plan.lattices import best_rows

MM = 25.4
LENGTH, WIDTH = 20.5 * MM, 10.5 * MM


def assert_holds(layout, off_mm=1e-6):
    """Check by the pots' own outlines, pair by pair, that none overlaps and none leaves the tray."""
    pot = type(layout.pot)(layout.pot.width_mm - layout.tolerance_mm)
    pots = [(along, across, pot) for along, across in layout.positions.tolist()]
    assert_stands(pots, layout.length_mm, layout.width_mm, clearance_mm=layout.clearance_mm, off_mm=off_mm)


@pytest.mark.parametrize(
    ("pot", "count"),
    [(SquarePot(4 * MM), 10), (RoundPot(6.5 * MM), 3), (RoundPot(4.5 * MM), 9), (SquarePot(3.875 * MM), 10), (RoundPot(LENGTH), 0)],
)
def test_a_domed_tray_takes_what_growers_say(pot, count):
    layout = pots_on_tray(LENGTH, WIDTH, pot)
    assert layout.count == count
    assert_holds(layout)


def test_search_finds_the_pot_that_rows_have_no_room_for():
    layout = pots_on_tray(LENGTH, WIDTH, RoundPot(4.5 * MM))
    assert layout.kind is LayoutKind.SEARCHED


@settings(max_examples=25)
@given(
    size=st.floats(40, 200),
    along=st.floats(0.6, 7),
    across=st.floats(0.6, 4),
    clearance_mm=st.one_of(st.just(0.0), st.floats(0, 30)),
    tolerance=st.sampled_from([0.0, 0.02, -0.05]),
    kind=st.sampled_from([SquarePot, RoundPot]),
)
def test_pots_never_overlap_nor_leave_the_tray(size, along, across, clearance_mm, tolerance, kind):
    layout = pots_on_tray(along * size, across * size, kind(size), clearance_mm=clearance_mm, tolerance_mm=tolerance * size, tries=1)
    assert_holds(layout)
    assert layout.count <= layout.at_most
    assert layout.next_width_mm < size * (1 + 1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_turning_the_tray_changes_nothing(seed):
    rng = np.random.default_rng(seed)
    length_mm, width_mm, size = rng.uniform(300, 700), rng.uniform(200, 400), rng.uniform(40, 55)
    assert (
        pots_on_tray(length_mm, width_mm, RoundPot(size), tries=1).count == pots_on_tray(width_mm, length_mm, RoundPot(size), tries=1).count
    )


def test_round_pots_stand_no_fewer_than_square_ones():
    for size in (50, 75, 90, 120):
        assert pots_on_tray(520, 270, RoundPot(size), tries=1).count >= pots_on_tray(520, 270, SquarePot(size)).count


@pytest.mark.parametrize(("length", "width"), [(20.57, 11.0), (20.99, 10.85)])
def test_four_round_pots_in_a_zigzag_need_more_than_the_tray_has(length, width):
    pot = RoundPot(6.5 * MM)
    # two rows: three steps along of sqrt(6.5^2 - (width - 6.5)^2) in, and one pot
    needed = 6.5 + 3 * np.sqrt(6.5**2 - (width - 6.5) ** 2)
    assert needed == pytest.approx(length, abs=0.005)
    assert pots_on_tray((needed + 0.001) * MM, width * MM, pot).count == 4
    assert pots_on_tray((needed - 0.01) * MM, width * MM, pot).count == 3


def test_one_more_pot_stands_when_pots_are_as_narrow_as_said():
    for pot in (SquarePot(98), RoundPot(98), RoundPot(165), RoundPot(60)):
        layout = pots_on_tray(540, 280, pot)
        width_mm = layout.next_width_mm
        assert pots_on_tray(540, 280, type(pot)(width_mm * (1 - 1e-6))).count > layout.count
    # for square pots it is exact: three across 280
    assert pots_on_tray(540, 280, SquarePot(98)).next_width_mm == 280 / 3


def test_sizes_that_divide_exactly_lose_no_pot_to_rounding():
    for count in range(1, 40):
        assert pots_on_tray(count * 0.1, 0.1, SquarePot(0.1)).count == count
        assert pots_on_tray(count * 0.1, 0.1, RoundPot(0.1)).count == count


def test_clearance_keeps_neighbours_apart_but_not_from_the_side():
    assert pots_on_tray(210, 100, SquarePot(100), clearance_mm=10).count == 2
    assert pots_on_tray(209, 100, SquarePot(100), clearance_mm=10).count == 1
    positions = pots_on_tray(210, 100, RoundPot(100), clearance_mm=10).positions
    assert positions[0].tolist() == [50, 50]


def test_what_a_pot_gives_makes_room_and_what_is_unsure_takes_it():
    assert pots_on_tray(488, 100, SquarePot(98)).count == 4
    assert pots_on_tray(488, 100, SquarePot(98), tolerance_mm=0.5).count == 5
    assert pots_on_tray(490, 100, SquarePot(98), tolerance_mm=-0.5).count == 4
    assert pots_on_tray(490, 100, SquarePot(98), tolerance_mm=0.5).next_width_mm == pytest.approx(490 / 6 + 0.5)


def test_rows_alone_answer_without_a_search():
    layout = pots_on_tray(LENGTH, WIDTH, RoundPot(4.5 * MM), tries=0)
    assert (layout.count, layout.kind) == (8, LayoutKind.SQUARE_ROWS)


def test_a_stopped_search_still_answers_and_says_so():
    layout = pots_on_tray(LENGTH, WIDTH, RoundPot(4.5 * MM), progress=lambda _share, _words: False)
    assert (layout.count, layout.whole) == (8, False)
    assert_holds(layout)
    assert pots_on_tray(LENGTH, WIDTH, RoundPot(4.5 * MM), progress=lambda _share, _words: True).whole


def test_rows_are_found_in_a_thousandth_of_a_second():
    room = np.array([540.0, 280.0]) - 98
    best_rows(room, 98.0)
    begun = time.process_time()
    for _ in range(200):
        best_rows(room, 98.0)
    assert (time.process_time() - begun) / 200 < 0.001


def test_positions_go_row_by_row():
    positions = pots_on_tray(LENGTH, WIDTH, SquarePot(4 * MM)).positions
    assert np.all(np.diff(positions[:5, 0]) > 0)
    assert np.ptp(positions[:5, 1]) == 0
    assert np.all(positions[5:, 1] > positions[:5, 1])


def test_same_question_gives_the_same_layout():
    first, second = (pots_on_tray(LENGTH, WIDTH, RoundPot(4.5 * MM)).positions for _ in range(2))
    assert np.array_equal(first, second)


def test_layout_gives_plain_values():
    values = pots_on_tray(LENGTH, WIDTH, RoundPot(6.5 * MM)).to_dict()
    assert (values["kind"], values["count"], values["round"]) == ("square rows", 3, True)
    assert len(values["positions"]) == 3


def test_a_pot_that_does_not_fit_is_an_answer():
    layout = pots_on_tray(100, 100, SquarePot(101))
    assert (layout.kind, layout.count, layout.at_most, layout.positions.shape) == (LayoutKind.NONE, 0, 0, (0, 2))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: pots_on_tray(0, 100, SquarePot(10)), "length_mm is 0; allowed: more than 0 mm"),
        (lambda: pots_on_tray(100, float("nan"), SquarePot(10)), "width_mm is nan"),
        (lambda: pots_on_tray(100, 100, SquarePot(10), clearance_mm=-1), "clearance_mm is -1; allowed: 0 mm or more"),
        (lambda: pots_on_tray(100, 100, 10), "allowed: a SquarePot or a RoundPot"),
        (
            lambda: pots_on_tray(100, 100, SquarePot(20), tolerance_mm=6),
            "tolerance_mm is 6; allowed: at most a quarter of a pot's width, 5 mm",
        ),
        (lambda: pots_on_tray(100, 100, RoundPot(20), tries=-1), "tries is -1; allowed: 0 to 1,000"),
        (lambda: pots_on_tray(1e6, 1e6, RoundPot(1)), "at most 100,000"),
        (lambda: SquarePot(-3), "side_mm is -3"),
        (lambda: RoundPot("4 in"), "diameter_mm is '4 in'; allowed: more than 0 mm"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
