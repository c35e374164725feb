"""Raising rootstocks from seed: when to begin, counted back from the week in which they are wanted, and with how many."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from scionary.errors import BadValue
from scionary.language import mark
from scionary.plan.orders import monday_before

_MOST_WEEKS = 520
_SHORTEST_SEASON = 4


@dataclass(frozen=True)
class RaisingStep:
    """One step on the way from seed to stock.

    Attributes
    ----------
    name : str
        What is done.
    weeks : float
        How long it takes, 0 to 260.
    kept : float
        Share of what goes in that comes out alive and fit, more than 0 to 1.
    growing : bool
        Whether only weeks of the growing season count.
    from_spring : bool
        Whether it begins when plants begin to grow, rather earlier than needed.
    source : str
        Whence the numbers are.
    """

    name: str
    weeks: float
    kept: float = 1.0
    growing: bool = False
    from_spring: bool = False
    source: str = "common practice, no source"

    def __post_init__(self) -> None:
        """Refuse numbers that cannot be."""
        if not (np.isfinite(self.weeks) and 0 <= self.weeks <= 260):
            raise BadValue("weeks", self.weeks, "0 to 260 weeks")
        if not 0.0 < self.kept <= 1.0:
            raise BadValue("kept", self.kept, "more than 0, at most 1")


# Common practice, no source: growers' figures for maples differ widely. All of it is data that a person changes.
MAPLE_FROM_SEED = (
    RaisingStep(mark("cold and moist, in the refrigerator"), 13, 0.6),
    RaisingStep(mark("sown, until pricked out"), 6, 0.9, growing=True, from_spring=True),
    RaisingStep(mark("first summer in a small pot"), 18, 0.9, growing=True),
    RaisingStep(mark("second summer, potted on"), 20, 0.8, growing=True, from_spring=True),
    RaisingStep(mark("settled in the pot in which it is grafted"), 8, 1.0),
)


@dataclass(frozen=True)
class RaisingDate:
    """A step with its dates.

    Attributes
    ----------
    step : RaisingStep
        What is done.
    begins, ends : date
        Mondays; the next step begins when this one ends.
    number : int
        How many go in.
    late : bool
        Whether it should have begun already.
    """

    step: RaisingStep
    begins: date
    ends: date
    number: int
    late: bool


@dataclass(frozen=True)
class GrowingSeason:
    """Weeks in which plants grow, as days of the year; over the turn of the year where `ends` is before `begins`.

    Attributes
    ----------
    begins, ends : int
        First and last day, 1 to 366.
    """

    begins: int
    ends: int

    def __post_init__(self) -> None:
        """Refuse days that no year has, and a season too short to grow anything."""
        for name in ("begins", "ends"):
            if not 1 <= getattr(self, name) <= 366:
                raise BadValue(name, getattr(self, name), "1 to 366")
        if (self.ends - self.begins) % 366 < 7 * _SHORTEST_SEASON:
            raise BadValue("ends", self.ends, f"{_SHORTEST_SEASON} weeks or more after `begins`")

    def holds(self, day: date) -> bool:
        """Tell whether a day lies in it.

        Parameters
        ----------
        day : date
            The day.

        Returns
        -------
        bool
            True from its first day to its last.
        """
        at = day.timetuple().tm_yday
        return self.begins <= at <= self.ends if self.begins <= self.ends else at >= self.begins or at <= self.ends


def raise_from_seed(
    wanted: int, wanted_by: date, season: GrowingSeason, *, today: date, steps: Sequence[RaisingStep] = MAPLE_FROM_SEED
) -> tuple[RaisingDate, ...]:
    """Count back from the week in which stocks are wanted.

    Parameters
    ----------
    wanted : int
        Stocks wanted, 1 or more.
    wanted_by : date
        The week in which they are grafted.
    season : GrowingSeason
        When plants grow at this place.
    today : date
        For which steps it is late.
    steps : sequence of RaisingStep
        From seed to stock.

    Returns
    -------
    tuple of RaisingDate
        In the order in which things are done; the first number is that of the seeds. A step that only growing weeks count for waits
        through winter, and with it all that comes before.

    Raises
    ------
    BadValue
        When nothing is wanted, there are no steps, or they take more than ten years.
    """
    if wanted < 1:
        raise BadValue("wanted", wanted, "1 or more")
    if not steps:
        raise BadValue("steps", [], "one step or more")
    end, number, found = monday_before(wanted_by, 0.0), wanted, []
    for step in reversed(steps):
        begins = _back(end, step, season, monday_before(wanted_by, _MOST_WEEKS))
        number = math.ceil(number / step.kept - 1e-9)
        found.append(RaisingDate(step, begins, end, number, late=begins + timedelta(days=6) < today))
        end = begins
    return tuple(reversed(found))


def _back(end: date, step: RaisingStep, season: GrowingSeason, earliest: date) -> date:
    """The Monday on which a step that ends then has to begin."""
    left, week, one = math.ceil(step.weeks - 1e-9), end, timedelta(days=7)
    while left > 0 or (step.from_spring and not (season.holds(week) and not season.holds(week - one))):
        week -= one
        if week < earliest:
            raise BadValue("steps", step.name, "steps of at most ten years together")
        left -= not step.growing or season.holds(week)
    return week
