"""Wait, graft the stock again, or give the place to another plant: what each is worth.

A plant that may have taken holds a place in a dome or on a bench, and time runs out for another graft on the same stock. Three values
are set side by side, in the person's own currency; which is highest depends on the chance only through a straight line, so there is one
chance at which the advice turns.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import mark, say
from scionary.units import check_range


class WaitStep(Enum):
    """What to do with a plant."""

    WAIT = "wait"
    REGRAFT = "regraft"
    GIVE_UP = "give up"


@dataclass(frozen=True)
class WaitAdvice:
    """What to do, and what each choice is worth.

    Attributes
    ----------
    step : WaitStep
        The choice of the highest value.
    values : dict of WaitStep to float
        Expected value of each choice, in currency; a choice for which no time is left is missing.
    turning_chance : float
        Chance of a take above which waiting is best; 0 where it is best at any chance, infinite where it never is.
    close : bool
        Whether the advice would be another somewhere in the range of the chance.
    words : str
        The advice in a sentence or two.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    step: WaitStep
    values: dict[WaitStep, float]
    turning_chance: float
    close: bool
    words: str
    assumptions: tuple[str, ...] = field(default=())


def wait_or_regraft(
    chance: float,
    *,
    slot_price: float,
    regraft_chance: float,
    worth: float,
    days_left: float,
    days_to_know: float = 28.0,
    healing_days: float = 31.0,
    regraft_cost: float = 0.0,
    low: float | None = None,
    high: float | None = None,
) -> WaitAdvice:
    """Say whether to wait, to graft again or to give the place to another plant.

    Parameters
    ----------
    chance : float
        Chance that the plant took, 0 to 1.
    slot_price : float
        What a place is worth to another plant, in currency a week, 0 or more.
    regraft_chance : float
        Chance that a new graft on the same stock takes, 0 to 1.
    worth : float
        What a plant that took is worth, in currency, 0 or more.
    days_left : float
        Days left in this season's time for grafting; 0 means that it is over.
    days_to_know : float
        Days of waiting until it is clear whether the plant took, 0 or more.
    healing_days : float
        Days that a new graft holds its place, 0 or more.
    regraft_cost : float
        Cost of a new graft, scion and work, in currency, 0 or more.
    low, high : float, optional
        Range of the chance; left out, it is taken as sure.

    Returns
    -------
    WaitAdvice
        The advice with its numbers.

    Raises
    ------
    BadValue
        When an argument is out of its range.
    """
    took, again, days = _share("chance", chance), _share("regraft_chance", regraft_chance), _amount("days_left", days_left)
    price, value, cost = _amount("slot_price", slot_price), _amount("worth", worth), _amount("regraft_cost", regraft_cost)
    wait_days, heal_days = _amount("days_to_know", days_to_know), _amount("healing_days", healing_days)
    bottom, top = (took if end is None else _share(name, end) for name, end in (("low", low), ("high", high)))
    if not bottom <= took <= top:
        raise BadValue("chance", took, f"between low and high, {bottom:g} to {top:g}")
    regraft = again * value - cost - price * heal_days / 7.0
    later = max(regraft, 0.0) if days > wait_days else 0.0  # what the stock is still good for when the wait ends badly
    wait_price = price * wait_days / 7.0
    values = {WaitStep.WAIT: took * value + (1.0 - took) * later - wait_price, WaitStep.GIVE_UP: 0.0}
    if days > 0:
        values[WaitStep.REGRAFT] = regraft
    other = max(value for choice, value in values.items() if choice is not WaitStep.WAIT)
    step = max(values, key=lambda choice: values[choice])
    turning = _turning(value - later, other + wait_price - later)
    close = bottom < turning <= top
    return WaitAdvice(
        step, values, turning, close, _words(step, took, turning, close), _assumptions(wait_days, heal_days, later > 0, value)
    )


def _turning(slope: float, height: float) -> float:
    """Chance at which waiting overtakes the best other choice."""
    if height <= 0:
        return 0.0
    return height / slope if slope > 0 and height <= slope else float(np.inf)


_FIRST = {
    WaitStep.WAIT: mark("Wait"),
    WaitStep.REGRAFT: mark("Graft the stock again"),
    WaitStep.GIVE_UP: mark("Give the place to another plant"),
}


def _words(step: WaitStep, chance: float, turning: float, close: bool) -> str:
    edge = say("waiting is best at any chance") if turning == 0 else say("waiting pays above {chance:.0%}", chance=turning)
    edge = say("waiting does not pay at any chance") if np.isinf(turning) else edge
    told = say("{first}: the chance is {chance:.0%}, and {edge}.", first=say(_FIRST[step]), chance=chance, edge=edge)
    return f"{told} {say('It is a close call: within the range of the chance the advice turns.')}" if close else told


def _assumptions(wait_days: float, heal_days: float, second: bool, worth: float) -> tuple[str, ...]:
    return (
        say(
            "It is clear after {days:g} days whether the plant took; a new graft holds its place for {healing:g} days "
            "(project default, unsourced, unless set).",
            days=wait_days,
            healing=heal_days,
        ),
        say("A plant that took is worth {worth:g}, whenever it took.", worth=worth),
        say("After waiting, there is still time to graft again.")
        if second
        else say("After waiting, grafting again is too late or does not pay."),
    )


def _share(name: str, value: Any) -> float:
    return _number(name, value, 1.0)


def _amount(name: str, value: Any) -> float:
    return _number(name, value, np.inf)


def _number(name: str, value: Any, high: float) -> float:
    number = check_range(name, value, 0.0, high)
    if number.ndim or not np.isfinite(number):
        raise BadValue(name, value, "one finite number")
    return float(number)
