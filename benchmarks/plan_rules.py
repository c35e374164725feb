"""Three hand rules for a season's plan, written down, to hold the optimiser against.

divide and add a quarter   each wish: the number wanted ÷ its mean rate, and a quarter more; in the order of the list, first week first
greedy by worth            the wish whose graft is worth most comes first, as many as mean rates ask for; placed first week first
mean-rate programme        the season's linear programme with every season as the mean one, whole numbers by the same solver

The first two place grafts as a careful person would: into trays that are open that week, else by opening another tray that may stand.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.plan import Effort, PlanProblem, solve_plan
from scionary.plan.closing import closing_reasons
from scionary.plan.limit_writing import limit_rows
from scionary.plan.limits import LimitKind, LimitRows

Float = npt.NDArray[np.float64]
A_QUARTER_MORE = 1.25


@dataclass
class Bench:
    """Trays and supplies as they are used up."""

    problem: PlanProblem
    rows: LimitRows
    grafts: Float
    plan: Float

    @staticmethod
    def of(problem: PlanProblem) -> Bench:
        """An empty one."""
        rows = limit_rows(problem)
        return Bench(problem, rows, np.zeros(len(problem.options)), np.zeros(rows.columns))

    def place(self, option: int) -> bool:
        """Make one graft if it fits: into an open tray, else into a new one, the smallest that may stand."""
        for filling in (-1, *self._fillings(option)):
            self.plan[option] += 1.0
            if filling >= 0:
                self.plan[len(self.grafts) + filling] += 1.0
            if self._fits():
                self.grafts[option] += 1.0
                return True
            self.plan[option] -= 1.0
            if filling >= 0:
                self.plan[len(self.grafts) + filling] -= 1.0
        return False

    def _fillings(self, option: int) -> list[int]:
        """Ways to open a tray for it, smallest first."""
        at, options = self.rows.fillings, self.problem.options
        mine = (at.week == options.week[option]) & (at.pot == options.pot[option]) & (at.healing == options.healing_weeks[option])
        found: list[int] = np.flatnonzero(mine)[np.argsort(at.holds[mine], kind="stable")].tolist()
        return found

    def _fits(self) -> bool:
        """Whether no limit is broken; pots are bought as they are needed."""
        taken = self.rows.matrix @ self.plan
        kept = (taken <= self.rows.upper + 1e-9) | self._pots
        return bool(np.all(kept))

    @property
    def _pots(self) -> Any:
        return np.array([limit.kind is LimitKind.POTS for limit in self.rows.limits], dtype=bool)


def divide_and_add_a_quarter(problem: PlanProblem) -> Float:
    """Wanted ÷ rate × 1.25, in the order of the list, each in its first week that has room, smallest pot first."""
    bench, rate = Bench.of(problem), problem.finished.mean(axis=0)
    for target, wanted in enumerate(problem.targets.wanted.tolist()):
        ways = _open(problem, target)
        if not len(ways):
            continue
        left = int(np.ceil(A_QUARTER_MORE * wanted / max(float(rate[ways].mean()), 0.05)))
        for option in ways[np.lexsort((problem.options.pot[ways], problem.options.week[ways]))].tolist():
            while left and bench.place(option):
                left -= 1
    return bench.grafts


def greedy_by_worth(problem: PlanProblem) -> Float:
    """Dearest graft first: each wish gets what its number needs by mean rates, in its first week that has room, smallest pot first."""
    bench, rate, targets, options = Bench.of(problem), problem.finished.mean(axis=0), problem.targets, problem.options
    worth = targets.shortfall_cost[options.target] * rate - options.cost - problem.pots.price[options.pot]
    best = np.full(len(targets.names), -np.inf)
    np.maximum.at(best, options.target, worth)
    for target in np.argsort(-best, kind="stable").tolist():
        ways, missing = _open(problem, target), float(targets.wanted[target])
        for option in ways[np.lexsort((options.pot[ways], options.week[ways]))].tolist():
            while worth[option] > 0.0 and missing > 0.0 and bench.place(option):
                missing -= float(rate[option])
    return bench.grafts


def mean_rate_programme(problem: PlanProblem) -> Float:
    """The best plan if every season were the mean one."""
    mean = replace(problem, takes=problem.takes.mean(axis=0, keepdims=True), fresh_takes=None)
    return solve_plan(mean, effort=Effort.NORMAL, luck=False, rng=1, seasons=10).grafts.astype(np.float64)


RULES = (
    ("divide and add a quarter", divide_and_add_a_quarter),
    ("greedy by worth", greedy_by_worth),
    ("mean-rate programme", mean_rate_programme),
)


def _open(problem: PlanProblem, target: int) -> npt.NDArray[np.int64]:
    closed = np.array([bool(reason) for reason in closing_reasons(problem)])
    return np.flatnonzero((problem.options.target == target) & ~closed)
