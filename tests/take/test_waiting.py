"""Wait, graft again, or give the place to another plant."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.take.waiting import WaitStep, wait_or_regraft

USUAL = {
    "slot_price": 1.4,
    "regraft_chance": 0.6,
    "worth": 30.0,
    "days_left": 20.0,
    "days_to_know": 28.0,
    "healing_days": 35.0,
    "regraft_cost": 3.0,
}


def test_values_are_those_of_the_sums():
    # wait .7 × 30 − 4 weeks × 1.4 = 15.4; regraft .6 × 30 − 3 − 5 weeks × 1.4 = 8; turning (8 + 5.6) / 30
    advice = wait_or_regraft(0.7, **USUAL)
    assert advice.step is WaitStep.WAIT
    assert advice.values == pytest.approx({WaitStep.WAIT: 15.4, WaitStep.REGRAFT: 8.0, WaitStep.GIVE_UP: 0.0})
    assert advice.turning_chance == pytest.approx(13.6 / 30)
    assert advice.words == "Wait: the chance is 70%, and waiting pays above 45%."


def test_a_poor_chance_is_grafted_again_while_there_is_time():
    assert wait_or_regraft(0.2, **USUAL).step is WaitStep.REGRAFT
    late = wait_or_regraft(0.2, **{**USUAL, "days_left": 0.0})
    assert WaitStep.REGRAFT not in late.values
    assert late.step is WaitStep.WAIT
    assert wait_or_regraft(0.1, **{**USUAL, "days_left": 0.0}).step is WaitStep.GIVE_UP


def test_time_to_graft_again_after_the_wait_makes_waiting_worth_more():
    short, long = (wait_or_regraft(0.4, **{**USUAL, "days_left": days}) for days in (20.0, 60.0))
    assert long.values[WaitStep.WAIT] == pytest.approx(short.values[WaitStep.WAIT] + 0.6 * 8.0)
    assert long.turning_chance < short.turning_chance
    assert (short.step, long.step) == (WaitStep.REGRAFT, WaitStep.WAIT)


def test_a_range_across_the_turn_is_a_close_call():
    assert wait_or_regraft(0.5, low=0.3, high=0.7, **USUAL).close
    assert "close call" in wait_or_regraft(0.5, low=0.3, high=0.7, **USUAL).words
    assert not wait_or_regraft(0.5, low=0.46, high=0.7, **USUAL).close


def test_a_free_place_is_waited_in_at_any_chance():
    advice = wait_or_regraft(0.01, slot_price=0.0, regraft_chance=0.5, worth=10.0, days_left=0.0)
    assert advice.step is WaitStep.WAIT
    assert advice.turning_chance == 0.0
    assert "at any chance" in advice.words


def test_a_dear_place_is_never_waited_in():
    advice = wait_or_regraft(0.99, slot_price=100.0, regraft_chance=0.5, worth=10.0, days_left=0.0)
    assert advice.step is WaitStep.GIVE_UP
    assert np.isinf(advice.turning_chance)
    assert "does not pay at any chance" in advice.words


@given(*(st.floats(0, 1) for _ in range(2)), *(st.floats(0, 100) for _ in range(6)))
def test_waiting_is_best_exactly_above_the_turning_chance(chance, again, price, worth, left, know, heal, cost):
    advice = wait_or_regraft(
        chance, slot_price=price, regraft_chance=again, worth=worth, days_left=left, days_to_know=know, healing_days=heal, regraft_cost=cost
    )
    others = max(value for step, value in advice.values.items() if step is not WaitStep.WAIT)
    gain = advice.values[WaitStep.WAIT] - others
    if abs(gain) > 1e-6:
        assert (chance > advice.turning_chance or advice.turning_chance == 0) is (gain > 0)
    assert advice.values[advice.step] == max(advice.values.values())


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"chance": 1.2}, "chance is 1.2"),
        ({"chance": np.nan}, "chance is nan"),
        ({"slot_price": -1.0}, "slot_price is -1.0"),
        ({"worth": np.inf}, "worth is inf"),
        ({"days_left": [1.0]}, "days_left is"),
        ({"low": 0.6}, "chance is 0.5; allowed: between low and high"),
    ],
)
def test_what_cannot_be_is_refused(changed, message):
    with pytest.raises(BadValue, match=message):
        wait_or_regraft(**{"chance": 0.5, **USUAL, **changed})
