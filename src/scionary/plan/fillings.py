"""Ways to fill trays: room, week, kind of pot and weeks of healing; pots of one such group share trays."""

from __future__ import annotations

import numpy as np

from scionary.plan.limits import Fillings
from scionary.plan.problem import PlanProblem
from scionary.plan.wanted import Bool, Int
from scionary.units import Float

Group = tuple[int, int, int]


def possible_fillings(problem: PlanProblem, is_open: Bool) -> tuple[Fillings, dict[Group, Int]]:
    """Find every way to fill a tray that some open option could use.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    is_open : ndarray of bool
        Which options can be used, shape (options,).

    Returns
    -------
    fillings, groups : Fillings, dict
        The ways, and which of them serve each (week, pot, healing).
    """
    options = problem.options
    wanted = np.unique(np.column_stack([options.week, options.pot, options.healing_weeks])[is_open], axis=0)
    found: list[tuple[int, int, int, int, float]] = []
    groups: dict[Group, Int] = {}
    for week, pot, healing in wanted.tolist():
        fits = np.flatnonzero(problem.rooms.holds[:, pot] >= 1.0)
        groups[week, pot, healing] = np.arange(len(found), len(found) + len(fits))
        found += [(int(room), week, pot, healing, float(np.floor(problem.rooms.holds[room, pot]))) for room in fits]
    columns = np.array(found, dtype=np.float64).reshape(-1, 5)
    whole = columns[:, :4].astype(np.int64)
    return Fillings(whole[:, 0], whole[:, 1], whole[:, 2], whole[:, 3], columns[:, 4]), groups


def most_trays(problem: PlanProblem, fillings: Fillings) -> Float:
    """Count the trays that can ever stand for each filling: the fewest in the weeks that it stands.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    fillings : Fillings
        The ways to fill trays.

    Returns
    -------
    ndarray of shape (fillings,)
        Trays.
    """
    available = np.floor(problem.rooms.available)
    weeks = len(problem.weeks)
    spans = zip(fillings.room.tolist(), fillings.week.tolist(), np.minimum(fillings.week + fillings.healing, weeks).tolist(), strict=True)
    return np.array([available[room, start:end].min(initial=np.inf) for room, start, end in spans], dtype=np.float64)


def spread_over_trays(problem: PlanProblem, is_open: Bool) -> list[int]:
    """Find the rare kinds that have but one week: they are spread over trays.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    is_open : ndarray of bool
        Which options can be used, shape (options,).

    Returns
    -------
    list of int
        Wishes.
    """
    return [target for target in np.flatnonzero(problem.targets.rare).tolist() if len(weeks_of(problem, is_open, target)) == 1]


def weeks_of(problem: PlanProblem, is_open: Bool, target: int) -> Int:
    """Find the weeks in which a wish can be grafted.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    is_open : ndarray of bool
        Which options can be used, shape (options,).
    target : int
        The wish.

    Returns
    -------
    ndarray of int
        Weeks.
    """
    weeks: Int = np.unique(problem.options.week[is_open & (problem.options.target == target)])
    return weeks


def groups_of(problem: PlanProblem, is_open: Bool, groups: dict[Group, Int], target: int) -> list[Group]:
    """Find the groups of fillings that a wish can stand in.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    is_open : ndarray of bool
        Which options can be used, shape (options,).
    groups : dict
        All groups.
    target : int
        The wish.

    Returns
    -------
    list of tuple
        In order.
    """
    options = problem.options
    mine = np.flatnonzero(is_open & (options.target == target))
    keys = {(int(options.week[at]), int(options.pot[at]), int(options.healing_weeks[at])) for at in mine}
    return sorted(key for key in keys if key in groups)
