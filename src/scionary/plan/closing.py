"""Options that cannot be used at all, and why."""

from __future__ import annotations

import numpy as np

from scionary.language import Told
from scionary.plan.problem import PlanProblem
from scionary.plan.wanted import Bool

PAST = Told("the week is over")
TOO_LATE_FOR_FROST = Told("it would not be hardened before frost")
TOO_LATE_FOR_WISH = Told("it would come after the wish's last date")
NO_STOCK_YET = Told("its rootstocks are not there by then")
OUTGROWN = Told("its rootstocks have outgrown that pot by then")
NO_ROOM = Told("no tray takes that pot for so long")
NO_TAKE = Told("it never takes in any season")


def closing_reasons(problem: PlanProblem) -> tuple[str, ...]:
    """Say for each option why it cannot be used.

    Parameters
    ----------
    problem : PlanProblem
        The season.

    Returns
    -------
    tuple of str
        One an option: empty where it can be used, else the first reason that holds.
    """
    options, stocks = problem.options, problem.stocks
    has_lot, lot = options.stock_lot >= 0, np.maximum(options.stock_lot, 0)
    arrives, outgrown = np.full(len(options), -1.0), np.full(len(options), np.inf)
    if len(stocks.names):
        arrives[has_lot] = stocks.arrival_week[lot[has_lot]]
        outgrown[has_lot] = arrives[has_lot] + stocks.outgrown_weeks[lot[has_lot], options.pot[has_lot]]
    checks: tuple[tuple[Bool, str], ...] = (
        (options.week < problem.from_week, PAST),
        (options.week > options.last_safe_week, TOO_LATE_FOR_FROST),
        (options.week > np.minimum(options.latest_week, problem.targets.latest_week[options.target]), TOO_LATE_FOR_WISH),
        (options.week < arrives, NO_STOCK_YET),
        (options.week + options.healing_weeks > outgrown, OUTGROWN),
        (~_has_room(problem), NO_ROOM),
        (problem.takes.max(axis=0) * problem.survival <= 0.0, NO_TAKE),
    )
    reasons = np.full(len(options), "", dtype=object)
    for wrong, words in reversed(checks):
        reasons[wrong] = words
    return tuple(reasons.tolist())


def _has_room(problem: PlanProblem) -> Bool:
    """Whether some tray takes the pot in all weeks of healing; weeks beyond the season count as the last one."""
    options, weeks = problem.options, len(problem.weeks)
    fits = np.zeros(len(options), dtype=bool)
    ends = np.minimum(options.week + options.healing_weeks, weeks)
    for room in range(len(problem.rooms.names)):
        none = np.concatenate([[0], np.cumsum(problem.rooms.available[room] < 1.0)])
        free = none[ends] == none[options.week]
        fits |= free & (problem.rooms.holds[room, options.pot] >= 1.0)
    return fits
