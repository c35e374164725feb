"""Height under the cover."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.plan import Cover, SquarePot, headroom, pots_on_tray

LAYOUT = pots_on_tray(540, 280, SquarePot(98))


def test_upright_walls_leave_the_same_height_everywhere():
    room = headroom(LAYOUT.positions, 540, 280, Cover(180), pot_mm=90, scion_mm=80)
    assert np.all(room.free_mm == 90)
    assert room.all_stand
    assert room.tallest_mm == 90


def test_a_scion_that_would_touch_does_not_stand():
    assert headroom(LAYOUT.positions, 540, 280, Cover(180), pot_mm=90, scion_mm=90).all_stand
    assert not headroom(LAYOUT.positions, 540, 280, Cover(180), pot_mm=90, scion_mm=90, free_mm=10).stands.any()


def test_leaning_walls_leave_less_at_the_edge():
    # 49 mm from the wall where the wall leans 98 mm: half the height
    room = headroom(np.array([[49.0, 140.0], [270.0, 140.0]]), 540, 280, Cover(180, lean_mm=98), pot_mm=60, scion_mm=50)
    assert room.free_mm.tolist() == [30.0, 120.0]
    assert room.stands.tolist() == [False, True]
    assert room.tallest_mm == 30


def test_each_pot_may_have_its_own_height():
    room = headroom(np.array([[100.0, 140.0], [300.0, 140.0]]), 540, 280, Cover(180), pot_mm=np.array([90.0, 130.0]), scion_mm=60)
    assert room.stands.tolist() == [True, False]


def test_a_scion_of_unknown_height_is_not_said_to_stand():
    assert headroom(np.array([[100.0, 140.0]]), 540, 280, Cover(180), pot_mm=90, scion_mm=float("nan")).stands.tolist() == [False]


def test_no_pots_have_no_height():
    room = headroom(np.empty((0, 2)), 540, 280, Cover(180), pot_mm=90)
    assert np.isnan(room.tallest_mm)
    assert room.all_stand


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Cover(0), "height_mm is 0"),
        (lambda: Cover(180, lean_mm=-1), "lean_mm is -1; allowed: 0 mm or more"),
        (lambda: headroom(LAYOUT.positions, 540, 280, Cover(180), pot_mm=-90), "pot_mm is -90; allowed: 0 mm or more"),
        (lambda: headroom(LAYOUT.positions, 540, 280, Cover(180), pot_mm=90, free_mm=-1), "free_mm is -1"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
