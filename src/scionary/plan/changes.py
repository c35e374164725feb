"""What if: the same season with another tray, a Saturday, more stocks, fewer kinds of pot; and its plan beside the present one."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scionary.errors import BadValue
from scionary.plan.problem import PlanProblem
from scionary.plan.result import PlanResult
from scionary.plan.searching import Progress
from scionary.plan.solver import solve_plan
from scionary.units import Float


def more_trays(problem: PlanProblem, room: int, number: float = 1.0, weeks: slice | None = None) -> PlanProblem:
    """Give a season with more trays of one kind.

    Parameters
    ----------
    problem : PlanProblem
        The season of now.
    room : int
        Which kind.
    number : float
        How many more; negative for fewer, never below none.
    weeks : slice, optional
        In which weeks; all by default.

    Returns
    -------
    PlanProblem
        The changed season.
    """
    available = problem.rooms.available.copy()
    span = slice(None) if weeks is None else weeks
    available[room, span] = np.maximum(available[room, span] + number, 0.0)
    return replace(problem, rooms=replace(problem.rooms, available=available))


def more_hours(problem: PlanProblem, hours: float, weeks: slice | None = None) -> PlanProblem:
    """Give a season with more hours at the bench.

    Parameters
    ----------
    problem : PlanProblem
        The season of now.
    hours : float
        Hours more in each of the weeks; negative for fewer, never below none.
    weeks : slice, optional
        In which weeks; all by default.

    Returns
    -------
    PlanProblem
        The changed season.
    """
    there = problem.bench_hours.copy()
    span = slice(None) if weeks is None else weeks
    there[span] = np.maximum(there[span] + hours, 0.0)
    return replace(problem, bench_hours=there)


def more_stocks(problem: PlanProblem, lot: int, number: float) -> PlanProblem:
    """Give a season with more rootstocks in a lot, as many of them usable as of the others.

    Parameters
    ----------
    problem : PlanProblem
        The season of now.
    lot : int
        Which lot.
    number : float
        How many more; negative for fewer, never below none.

    Returns
    -------
    PlanProblem
        The changed season.
    """
    stocks = problem.stocks.number.copy()
    stocks[lot] = max(stocks[lot] + number, 0.0)
    return replace(problem, stocks=replace(problem.stocks, number=stocks))


def more_sticks(problem: PlanProblem, supply: int, number: float) -> PlanProblem:
    """Give a season with more sticks of a mother tree in one window.

    Parameters
    ----------
    problem : PlanProblem
        The season of now.
    supply : int
        Which supply of sticks.
    number : float
        How many more; negative for fewer, never below none.

    Returns
    -------
    PlanProblem
        The changed season.
    """
    sticks = problem.sticks.number.copy()
    sticks[supply] = max(sticks[supply] + number, 0.0)
    return replace(problem, sticks=replace(problem.sticks, number=sticks))


def more_money(problem: PlanProblem, money: float) -> PlanProblem:
    """Give a season with a larger budget.

    Parameters
    ----------
    problem : PlanProblem
        The season of now.
    money : float
        How much more; negative for less, never below none.

    Returns
    -------
    PlanProblem
        The changed season.
    """
    return replace(problem, budget=max(problem.budget + money, 0.0))


def only_pots(problem: PlanProblem, pots: tuple[int, ...]) -> PlanProblem:
    """Give a season in which only some kinds of pot are used: smaller ones, say.

    Parameters
    ----------
    problem : PlanProblem
        The season of now.
    pots : tuple of int
        Which kinds stay.

    Returns
    -------
    PlanProblem
        The changed season.
    """
    stays = np.isin(problem.options.pot, pots)
    if not stays.any():
        raise BadValue("pots", pots, "at least one kind of pot that some way uses")
    most = np.where(stays, problem.options.most, 0.0)
    least = np.where(stays, problem.options.least, 0.0)
    return replace(problem, options=replace(problem.options, most=most, least=least))


@dataclass(frozen=True)
class Instead:
    """A changed season's plan beside the present one, under the same seasons.

    Attributes
    ----------
    result : PlanResult
        The changed season's plan.
    worth : float
        Money that it brings more than the present one, on average over the judging seasons.
    chance : ndarray
        How much likelier each wish is reached, shape (targets,).
    grafts : int
        How many grafts more.
    """

    result: PlanResult
    worth: float
    chance: Float
    grafts: int


def try_instead(
    changed: PlanProblem,
    present: PlanResult,
    *,
    rng: np.random.Generator | int,
    seconds: float | None = None,
    progress: Progress | None = None,
) -> Instead:
    """Solve a changed season and set its plan beside the present one.

    Parameters
    ----------
    changed : PlanProblem
        The season as it might be, with the same wishes.
    present : PlanResult
        The plan of now.
    rng : Generator or int
        The seed of the present plan, so that seasons and luck are the same.
    seconds : float, optional
        The solver's own time after which it stops early.
    progress : callable, optional
        Called with a fraction and a word; returning False stops it.

    Returns
    -------
    Instead
        Both, and the difference. With the same ways the present plan is offered too, so that more of something never looks worse.

    Raises
    ------
    BadValue
        When the wishes are others.
    Refused
        When the changed limits cannot all hold.
    """
    if len(changed.targets.names) != len(present.chance):
        raise BadValue("changed", f"{len(changed.targets.names)} wishes", f"the {len(present.chance)} wishes of the present plan")
    own = present.grafts if len(changed.options) == len(present.grafts) else None
    result = solve_plan(
        changed,
        assurance=present.made_from.assurance,
        effort=present.effort,
        seconds=seconds,
        rng=rng,
        progress=progress,
        own=own,
        seasons=present.seen.seasons,
    )
    more = int(result.grafts.sum() - present.grafts.sum())
    return Instead(result, result.seen.score - present.seen.score, result.chance - present.chance, more)
