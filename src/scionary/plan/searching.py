"""A search for a plan: the best so far, its bound, whether to go on; and its beginning, the relaxation with the luck of single grafts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scionary.language import Told
from scionary.plan.effort import Effort
from scionary.plan.limits import LimitRows
from scionary.plan.programme import Point, Programme
from scionary.plan.relaxing import EXACT, FIRST_PASS, relax
from scionary.plan.seasons import Seasons
from scionary.units import Float

Progress = Callable[[float, str], Any]


@dataclass
class Search:
    """One search: the best plan so far, the bound, and whether to go on."""

    rows: LimitRows
    effort: Effort
    seconds: float | None
    progress: Progress | None
    best: Float | None = None
    value: float = -np.inf
    bound: float = np.inf
    stopped: bool = False
    late: bool = False
    spent_s: float = 0.0
    most_nodes: int | None = None
    _at: tuple[float, str] = field(default=(0.0, ""))

    def tell(self, fraction: float, words: str) -> bool:
        """Report how far it is.

        Parameters
        ----------
        fraction : float
            From 0 to 1.
        words : str
            What is being done.

        Returns
        -------
        bool
            False once the person has stopped it.
        """
        self._at = (fraction, words)
        return self.keep_on()

    def keep_on(self) -> bool:
        """Ask whether to go on."""
        if not self.stopped and self.progress is not None and self.progress(*self._at) is False:
            self.stopped = True
        return not self.stopped

    def left(self, programme: Programme) -> float | None:
        """Tell the solver's own seconds that are left.

        Parameters
        ----------
        programme : Programme
            The one that is being solved.

        Returns
        -------
        float or None
            None for no limit.
        """
        return None if self.seconds is None else self.seconds - self.spent_s - programme.spent_s

    def over(self, programme: Programme) -> bool:
        """Tell whether time is up or the person has stopped it.

        Parameters
        ----------
        programme : Programme
            The one that is being solved.

        Returns
        -------
        bool
            True for no more.
        """
        left = self.left(programme)
        self.late = self.late or (left is not None and left <= 0.0)
        return self.late or self.stopped

    def offer(self, seasons: Seasons, columns: Float | None) -> None:
        """Keep a plan if it is the best so far.

        Parameters
        ----------
        seasons : Seasons
            What it is worth in.
        columns : ndarray or None
            The plan; None changes nothing.
        """
        if columns is not None:
            value = true_value(self.rows, seasons, columns)
            if value > self.value:
                self.best, self.value = columns, value

    @property
    def gap(self) -> float:
        """How much better the best plan could at most be."""
        if self.best is None:
            return np.inf
        return max(0.0, self.bound - self.value) / max(abs(self.value), 1e-9)


def true_value(rows: LimitRows, seasons: Seasons, columns: Float) -> float:
    """Give the money that a plan really brings in the seasons that it is made from.

    Parameters
    ----------
    rows : LimitRows
        The limits, for what grafts, trays and pots cost.
    seasons : Seasons
        The seasons.
    columns : ndarray of shape (columns,)
        The plan.

    Returns
    -------
    float
        Money on average.
    """
    return seasons.worth(columns[: len(seasons.problem.options)]) - float(rows.cost @ columns)


def solve_relaxation(search: Search, seasons: Seasons, *, luck: bool) -> tuple[Programme, Seasons, Point]:
    """Solve the relaxation, with luck a second time with as much of it as the first plan has.

    Parameters
    ----------
    search : Search
        It gets the bound.
    seasons : Seasons
        What the plan is made from.
    luck : bool
        Whether the luck of single grafts is to be added.

    Returns
    -------
    programme, seasons, point : Programme, Seasons, Point
        The programme with its cuts, the seasons with their luck, and the last point.
    """
    search.tell(0.02, Told("looking at what is possible at all"))
    programme = Programme(search.rows, seasons)
    point = relax(programme, close=FIRST_PASS if luck else EXACT, seconds=search.left(programme), keep_on=search.keep_on)
    if luck and point.columns is not None and not search.over(programme):
        search.spent_s += programme.spent_s
        seasons = seasons.with_luck_of(point.columns[: programme.options])
        programme = Programme(search.rows, seasons)
        search.tell(0.08, Told("weighing the luck of single grafts"))
        point = relax(programme, close=EXACT, seconds=search.left(programme), keep_on=search.keep_on)
    search.bound = min(search.bound, point.bound if point.feasible else -np.inf)
    search.late = search.late or not point.complete
    return programme, seasons, point
