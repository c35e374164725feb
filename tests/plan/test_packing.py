"""Pots on trays."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.plan import LayoutKind, RoundPot, SquarePot, pots_on_tray

MM = 25.4
LENGTH, WIDTH = 20.5 * MM, 10.5 * MM


def assert_stands(layout, length_mm, width_mm, tolerance_mm=1e-6):
    """Check by the pots' own outlines, pair by pair, that none overlaps and none leaves the tray."""
    half = layout.pot.width_mm / 2
    for number, (along, across) in enumerate(layout.positions):
        assert half - tolerance_mm <= along <= length_mm - half + tolerance_mm
        assert half - tolerance_mm <= across <= width_mm - half + tolerance_mm
        for other_along, other_across in layout.positions[:number]:
            if isinstance(layout.pot, RoundPot):
                gap = np.hypot(along - other_along, across - other_across) - 2 * half
            else:
                gap = max(abs(along - other_along), abs(across - other_across)) - 2 * half
            assert gap >= layout.clearance_mm - tolerance_mm


@pytest.mark.parametrize(
    ("pot", "count"),
    [(SquarePot(4 * MM), 10), (RoundPot(6.5 * MM), 3), (RoundPot(4.5 * MM), 9), (SquarePot(3.875 * MM), 10), (RoundPot(LENGTH), 0)],
)
def test_a_domed_tray_takes_what_growers_say(pot, count):
    layout = pots_on_tray(LENGTH, WIDTH, pot)
    assert layout.count == count
    assert_stands(layout, LENGTH, WIDTH)


def test_search_finds_the_pot_that_rows_have_no_room_for():
    layout = pots_on_tray(LENGTH, WIDTH, RoundPot(4.5 * MM))
    assert layout.kind is LayoutKind.SEARCHED


@pytest.mark.parametrize("seed", range(12))
def test_pots_never_overlap_nor_leave_the_tray(seed):
    rng = np.random.default_rng(seed)
    length_mm, width_mm, size = rng.uniform(150, 700), rng.uniform(100, 400), rng.uniform(60, 160)
    for pot in (SquarePot(size), RoundPot(size)):
        layout = pots_on_tray(length_mm, width_mm, pot, clearance_mm=rng.uniform(0, 15))
        assert_stands(layout, length_mm, width_mm)
        assert layout.count <= layout.at_most


@pytest.mark.parametrize("seed", range(6))
def test_turning_the_tray_changes_nothing(seed):
    rng = np.random.default_rng(seed)
    length_mm, width_mm, size = rng.uniform(300, 700), rng.uniform(200, 400), rng.uniform(40, 55)
    assert pots_on_tray(length_mm, width_mm, RoundPot(size)).count == pots_on_tray(width_mm, length_mm, RoundPot(size)).count


def test_round_pots_stand_no_fewer_than_square_ones():
    for size in (50, 75, 90, 120):
        assert pots_on_tray(520, 270, RoundPot(size)).count >= pots_on_tray(520, 270, SquarePot(size)).count


def test_four_round_pots_in_a_zigzag_need_an_inch_more_than_the_tray_has():
    pot = RoundPot(6.5 * MM)
    # two rows: three steps along of sqrt(6.5^2 - (11 - 6.5)^2) in, and one pot
    needed = 6.5 + 3 * np.sqrt(6.5**2 - 4.5**2)
    assert pots_on_tray((needed + 0.001) * MM, 11 * MM, pot).count == 4
    assert pots_on_tray((needed - 0.01) * MM, 11 * MM, pot).count == 3


def test_sizes_that_divide_exactly_lose_no_pot_to_rounding():
    for count in range(1, 40):
        assert pots_on_tray(count * 0.1, 0.1, SquarePot(0.1)).count == count
        assert pots_on_tray(count * 0.1, 0.1, RoundPot(0.1)).count == count


def test_clearance_keeps_neighbours_apart_but_not_from_the_side():
    assert pots_on_tray(210, 100, SquarePot(100), clearance_mm=10).count == 2
    assert pots_on_tray(209, 100, SquarePot(100), clearance_mm=10).count == 1
    positions = pots_on_tray(210, 100, RoundPot(100), clearance_mm=10).positions
    assert positions[0].tolist() == [50, 50]


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
        (lambda: pots_on_tray(1e6, 1e6, RoundPot(1)), "at most 100,000"),
        (lambda: SquarePot(-3), "side_mm is -3"),
        (lambda: RoundPot("4 in"), "diameter_mm is '4 in'; allowed: more than 0 mm"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
