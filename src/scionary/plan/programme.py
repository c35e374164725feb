"""The linear programme of a season, held by the solver and grown by cuts; the only module that speaks to the solver."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.plan.limits import LimitRows
from scionary.plan.seasons import Cuts, Seasons
from scionary.plan.wanted import Bool, Int
from scionary.units import Float

KeepOn = Callable[[], bool]


@dataclass(frozen=True)
class Point:
    """What the solver answered.

    Attributes
    ----------
    columns : ndarray or None
        Best values of the limits' columns; None where none was found.
    short, tail : ndarray or None
        Mean shortfall and mean over the worst seasons, as far as the cuts know them, shape (targets,).
    value : float
        Money that the programme promises for them, with its cuts.
    bound : float
        Money that no plan exceeds, with the cuts of now.
    prices : ndarray or None
        Money for one unit more of each limit, shape (limits,), 0 or more for a limit of what there is; None with whole numbers.
    worth_less : ndarray or None
        Money that one more graft of each option would cost, shape (options,); None with whole numbers.
    feasible : bool
        False when it is proven that no plan keeps the limits.
    complete : bool
        False when time or person stopped it.
    """

    columns: Float | None
    short: Float | None
    tail: Float | None
    value: float
    bound: float
    prices: Float | None
    worth_less: Float | None
    feasible: bool
    complete: bool


class Programme:
    """A season's linear programme, which grows by cuts.

    Parameters
    ----------
    rows : LimitRows
        The limits.
    seasons : Seasons
        What grafts are worth.
    """

    def __init__(self, rows: LimitRows, seasons: Seasons) -> None:
        self.options = len(seasons.problem.options)
        self.targets = len(seasons.problem.targets.names)
        self.spent_s = 0.0
        self.has_cuts = False
        self._take(rows, seasons)
        target = seasons.problem.options.target
        self._by_target = np.split(np.argsort(target, kind="stable"), np.searchsorted(np.sort(target), np.arange(1, self.targets)))
        self._solver = self._fresh_solver()

    def _take(self, rows: LimitRows, seasons: Seasons) -> None:
        self.rows, self.seasons = rows, seasons
        cost = rows.cost.copy()
        cost[: self.options] -= seasons.gain
        self._cost = np.concatenate([cost, seasons.problem.targets.shortfall_cost, seasons.assurance_price])
        extra = np.zeros(2 * self.targets)
        self._least, self._most = np.concatenate([rows.least, extra]), np.concatenate([rows.most, np.full(2 * self.targets, np.inf)])

    def turn_to(self, rows: LimitRows, seasons: Seasons) -> bool:
        """Go on with other amounts of the same limits, keeping the cuts and where the solver stands.

        Parameters
        ----------
        rows : LimitRows
            The limits: other amounts and costs, the same ways and uses.
        seasons : Seasons
            The same seasons, with the same luck; other prices, and an assurance where there was none.

        Returns
        -------
        bool
            False where it is another programme, and then nothing is changed.
        """
        if not _alike(self.rows, rows) or seasons.finished is not self.seasons.finished or seasons.spread is not self.seasons.spread:
            return False
        self._take(rows, seasons)
        solver, limits = self._solver, np.arange(len(rows.limits), dtype=np.int32)
        every = np.arange(len(self._cost), dtype=np.int32)
        solver.changeColsCost(len(every), every, self._cost)
        solver.changeColsBounds(len(every), every, self._least, self._most)
        solver.changeRowsBounds(len(limits), limits, rows.lower, rows.upper)
        solver.changeObjectiveOffset(-seasons.constant)
        return True

    def _fresh_solver(self) -> Any:
        from scionary.plan.quiet import HighsLp, MatrixFormat, quiet_solver

        rows, solver = self.rows, quiet_solver()
        model = HighsLp()
        model.num_col_, model.num_row_ = len(self._cost), len(rows.limits)
        model.col_cost_, model.col_lower_, model.col_upper_ = self._cost, self._least, self._most
        model.row_lower_, model.row_upper_ = rows.lower, rows.upper
        model.offset_ = -self.seasons.constant
        model.a_matrix_.format_ = MatrixFormat.kRowwise
        model.a_matrix_.start_, model.a_matrix_.index_ = rows.matrix.indptr, rows.matrix.indices
        model.a_matrix_.value_ = rows.matrix.data
        solver.passModel(model)
        return solver

    def add_cuts(self, cuts: Cuts, wanted: Bool, *, tail: bool) -> None:
        """Tell it the shortfall of some wishes.

        Parameters
        ----------
        cuts : Cuts
            Bounds of all wishes.
        wanted : ndarray of bool
            Which of them to tell, shape (targets,).
        tail : bool
            Whether they bound the mean over the worst seasons, not over all.
        """
        self.has_cuts = True
        first = self.rows.columns + (self.targets if tail else 0)
        at = [np.append(self._by_target[target], first + target) for target in np.flatnonzero(wanted)]
        by = [np.append(cuts.by_option[self._by_target[target]], 1.0) for target in np.flatnonzero(wanted)]
        if at:
            starts = np.concatenate([[0], np.cumsum([len(each) for each in at])[:-1]]).astype(np.int32)
            flat, values = np.concatenate(at).astype(np.int32), np.concatenate(by)
            upper = np.full(len(at), np.inf)
            self._solver.addRows(len(at), cuts.right[wanted], upper, len(flat), starts, flat, values)

    def relax(self, seconds: float | None = None) -> Point:
        """Solve it with parts of grafts and trays allowed.

        Parameters
        ----------
        seconds : float, optional
            The solver's own time after which it gives up.

        Returns
        -------
        Point
            Values and prices.
        """
        return self._run(seconds, None, whole=False)

    def relax_with(self, columns: slice, values: Float) -> Point:
        """Solve it with parts, some columns fixed; afterwards they are free again.

        Parameters
        ----------
        columns : slice
            Which of the limits' columns.
        values : ndarray
            Their values, shape (columns,).

        Returns
        -------
        Point
            Its bound holds for these values alone.
        """
        every = np.arange(columns.start, columns.stop, dtype=np.int32)
        self._solver.changeColsBounds(len(every), every, values, values)
        point = self._run(None, None, whole=False)
        self._solver.changeColsBounds(len(every), every, self._least[columns], self._most[columns])
        return point

    def integers(
        self, whole: Bool, *, start: Float | None, gap: float, nodes: int, seconds: float | None, keep_on: KeepOn, shut: Int | None = None
    ) -> Point:
        """Solve it with whole numbers in some columns.

        Parameters
        ----------
        whole : ndarray of bool
            Which of the limits' columns, shape (columns,).
        start : ndarray or None
            A plan that is known, shortfalls included.
        gap : float
            Share of the bound at which it is content.
        nodes : int
            Most nodes of the search tree.
        seconds : float or None
            The solver's own time after which it gives up.
        keep_on : callable
            False once the person stops it.
        shut : ndarray of int, optional
            Options that must not be used this time.

        Returns
        -------
        Point
            The best plan that it knows, and a bound, which holds without the shut options alone.
        """
        from scionary.plan.quiet import HighsSolution

        solver = self._solver
        self._set_whole(whole)
        shut = np.zeros(0, dtype=np.int64) if shut is None else shut
        solver.changeColsBounds(len(shut), shut.astype(np.int32), np.zeros(len(shut)), np.zeros(len(shut)))
        solver.setOptionValue("mip_rel_gap", gap)
        solver.setOptionValue("mip_max_nodes", nodes)
        if start is not None:
            known = HighsSolution()
            known.col_value = start
            solver.setSolution(known)
        point = self._run(seconds, keep_on, whole=True)
        self._set_whole(None)
        solver.changeColsBounds(len(shut), shut.astype(np.int32), self._least[shut], self._most[shut])
        return point

    def _set_whole(self, whole: Bool | None) -> None:
        from scionary.plan.quiet import HighsVarType

        kinds = np.full(len(self._cost), HighsVarType.kContinuous)
        if whole is not None:
            kinds[: self.rows.columns][whole] = HighsVarType.kInteger
        every = np.arange(len(self._cost), dtype=np.int32)
        self._solver.changeColsIntegrality(len(every), every, kinds)

    def _run(self, seconds: float | None, keep_on: KeepOn | None, *, whole: bool) -> Point:
        from scionary.plan.quiet import HighsModelStatus

        solver = self._solver
        before = solver.getRunTime()
        solver.setOptionValue("time_limit", np.inf if seconds is None else before + max(seconds, 0.05))
        watch = _watch(keep_on)
        if keep_on is not None:
            solver.cbMipInterrupt.subscribe(watch)
        solver.run()
        if keep_on is not None:
            solver.cbMipInterrupt.unsubscribe(watch)
        self.spent_s += max(solver.getRunTime() - before, 0.0)
        status = solver.getModelStatus()
        if status in (HighsModelStatus.kInfeasible, HighsModelStatus.kUnboundedOrInfeasible):
            return Point(None, None, None, -np.inf, -np.inf, None, None, feasible=False, complete=True)
        return self._point(whole=whole, complete=status not in (HighsModelStatus.kTimeLimit, HighsModelStatus.kInterrupt))

    def _point(self, *, whole: bool, complete: bool) -> Point:
        info, solution = self._solver.getInfo(), self._solver.getSolution()
        if not len(solution.col_value) or (whole and info.primal_solution_status != 2):
            bound = -float(info.mip_dual_bound) if whole else np.inf
            return Point(None, None, None, -np.inf, bound, None, None, feasible=True, complete=complete)
        values = np.array(solution.col_value)
        end = self.rows.columns
        value = -float(info.objective_function_value)
        prices = None if whole else -np.array(solution.row_dual)[: len(self.rows.limits)]
        less = None if whole else np.array(solution.col_dual)[: self.options]
        bound = -float(info.mip_dual_bound) if whole else (value if complete else np.inf)
        parts = values[:end], values[end : end + self.targets], values[end + self.targets :]
        return Point(*parts, value, bound, prices, less, feasible=True, complete=complete)


def _alike(one: LimitRows, other: LimitRows) -> bool:
    """Whether the same ways use the same of the same limits, whatever there is of them."""
    if len(one.limits) != len(other.limits) or one.matrix.shape != other.matrix.shape or one.switches != other.switches:
        return False
    pairs = ((getattr(one.matrix, name), getattr(other.matrix, name)) for name in ("indptr", "indices", "data"))
    return all(np.array_equal(a, b) for a, b in pairs) and np.array_equal(one.whole, other.whole)


def _watch(keep_on: KeepOn | None) -> Callable[[Any], None]:
    """Stop the solver once the person has said so."""

    def look(event: Any) -> None:
        if keep_on is not None and not keep_on():
            event.interrupt()

    return look
