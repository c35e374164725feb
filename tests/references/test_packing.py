"""Packing against published tables; tolerance is half the last printed digit."""

import numpy as np
import pytest

from scionary.plan import RoundPot, SquarePot, pots_on_tray


@pytest.mark.parametrize(
    ("count", "side"),
    [
        # side of the square over diameter of the circles: published optimal packings, OEIS A084616 and its sources
        (2, 1.7071),
        # the same
        (5, 2.4142),
        # the same
        (6, 2.6641),
        # the same
        (7, 2.8660),
        # the same
        (8, 2.9319),
        # the same
        (12, 3.5725),
    ],
)
def test_equal_circles_in_a_square(count, side):
    assert pots_on_tray(side + 5e-5, side + 5e-5, RoundPot(1.0)).count == count
    assert pots_on_tray(side - 5e-5, side - 5e-5, RoundPot(1.0)).count < count


@pytest.mark.parametrize(
    ("count", "radius"),
    [
        # radius of n equal circles in the unit square: table of best known packings, from memory
        (10, 0.148204322565),
        # the same table, from memory
        (11, 0.142399237696),
        # the same table, from memory
        (13, 0.133993513500),
        # the same table, from memory
        (14, 0.129331793710),
        # the same table, from memory
        (20, 0.111382347512),
        # the same table, from memory
        (26, 0.096362339764),
        # the same table, from memory
        (30, 0.091671057986),
    ],
)
def test_best_known_circles_in_a_square_are_found_with_a_thousandth_to_spare(count, radius):
    # not half the last digit: the search is for pots, and promises no more than this
    assert pots_on_tray(1.0, 1.0, RoundPot(2 * radius * 0.999)).count == count


@pytest.mark.parametrize(
    ("side", "squares", "circles"),
    [
        # lower bounds computed for the project's reference list; square rows against rows as dense as a honeycomb, pots of 1
        (8, 64, 68),
        # the same; here square rows are the better and 46 the honeycomb
        (7, 49, 49),
        # the same
        (10, 100, 105),
    ],
)
def test_rows_against_a_honeycomb(side, squares, circles):
    assert pots_on_tray(side, side, SquarePot(1.0)).count == squares
    assert pots_on_tray(side, side, RoundPot(1.0)).count == circles


def test_seven_circles_in_a_rectangle_of_two_squares():
    # radius 1 / (4 (1 + cos 15 degrees)) in a rectangle of 1 by 1/2, published
    radius = 0.127166547515
    assert radius == pytest.approx(1 / (4 * (1 + np.cos(np.radians(15)))), abs=5e-13)
    assert pots_on_tray(1.0, 0.5, RoundPot(2 * radius * (1 - 1e-5))).count == 7
    assert pots_on_tray(1.0, 0.5, RoundPot(2 * radius * (1 + 1e-5))).count == 6


@pytest.mark.parametrize(
    ("pot", "count"),
    [
        # a domed tray of about 10.5 x 20.5 in inside takes ten 4-inch square pots: common practice, no source
        (SquarePot(4 * 25.4), 10),
        # or three 6.5-inch round one-gallon pots: common practice, no source
        (RoundPot(6.5 * 25.4), 3),
    ],
)
def test_a_domed_tray(pot, count):
    assert pots_on_tray(20.5 * 25.4, 10.5 * 25.4, pot).count == count
