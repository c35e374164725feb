"""Planned grafts brought to whole sticks: no tree is to be cut more often than it gives, though the plan counts parts of sticks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scionary.answers.cut_times import CutTimes
from scionary.answers.season_problem import Season
from scionary.plan.again import columns_of
from scionary.plan.limits import LimitRows
from scionary.plan.wanted import Int
from scionary.units import Float

_MOST_STEPS = 400


class WholeSticks:
    """One season's trees, and the grafts that are brought to what they give."""

    def __init__(self, season: Season, rows: LimitRows) -> None:
        self.season, self.rows, self.options = season, rows, season.problem.options
        self.times = CutTimes.of(season.facts.nursery, season.facts.season, season.mondays[0])
        self.matrix = rows.by_column

    def over(self, grafts: Float, trees: set[int]) -> int:
        """Sticks that these trees would have to give beyond what they have."""
        return sum(max(0, self._cut(grafts, tree) - int(self.season.problem.sticks.number[tree])) for tree in trees)

    def _cut(self, grafts: Float, tree: int) -> int:
        used = np.flatnonzero((self.options.mother_tree == tree) & (grafts > 0)).tolist()
        ways = self.season.ways
        parts = ((ways[at].week, ways[at].method.leafy, float(grafts[at] * self.options.sticks[at])) for at in used)
        return sum(self.times.whole(parts).values())

    def brought(self, grafts: Int) -> Int:
        """The same grafts in other weeks or from other trees where that is enough and breaks no limit; else a few grafts fewer."""
        now = grafts.astype(np.float64)
        plan = columns_of(self.rows, self.season.problem, now)
        if plan is None:
            return grafts
        taken = self.rows.matrix @ plan
        for tree in range(len(self.season.problem.sticks.names)):
            for _ in range(_MOST_STEPS):
                if not self.over(now, {tree}):
                    break
                step = next(self._moves(now, taken, tree), None) or next(self._fewer(now, taken, tree), None)
                if step is None:
                    break
                now, taken = step
        return np.rint(now).astype(np.int64) if columns_of(self.rows, self.season.problem, now) is not None else grafts

    def _moves(self, now: Float, taken: Float, tree: int) -> Iterator[tuple[Float, Float]]:
        """Grafts of one way put to another of the same wish, method and pot, where fewer sticks are too many then."""
        options = self.options
        for at in self._used(now, tree):
            alike = (options.target == options.target[at]) & (options.method == options.method[at]) & (options.pot == options.pot[at])
            others = np.flatnonzero(alike & (options.cost <= options.cost[at]) & (np.arange(len(now)) != at))
            for other in sorted(others.tolist(), key=lambda each: (now[each] == 0, abs(options.week[each] - options.week[at]), each)):
                trees = {tree, int(options.mother_tree[other])} - {-1}
                for count in range(1, int(min(now[at], 1 / options.sticks[at])) + 1):
                    changed = now.copy()
                    changed[[at, other]] += (-count, count)
                    step = self._fits(changed, now, taken)
                    if step is not None and self.over(changed, trees) < self.over(now, trees):
                        yield changed, step

    def _fewer(self, now: Float, taken: Float, tree: int) -> Iterator[tuple[Float, Float]]:
        """One graft less, where the least of a stick is used."""
        for at in self._used(now, tree):
            if now[at] - 1 >= self.rows.least[at]:
                changed = now.copy()
                changed[at] -= 1
                step = self._fits(changed, now, taken)
                if step is not None:
                    yield changed, step

    def _used(self, now: Float, tree: int) -> list[int]:
        """Ways of a tree in use, those first whose week uses the least of its last stick."""
        used = np.flatnonzero((self.options.mother_tree == tree) & (now > 0))
        parts = {int(week): float((now * self.options.sticks)[used[self.options.week[used] == week]].sum() - 1e-9) % 1.0
                 for week in set(self.options.week[used].tolist())}  # fmt: skip
        return sorted(used.tolist(), key=lambda at: (parts[int(self.options.week[at])], now[at], at))

    def _fits(self, changed: Float, now: Float, taken: Float) -> Float | None:
        by = changed - now
        at = np.flatnonzero(by)
        moved: Float = taken + self.matrix[:, at] @ by[at]
        rows = self.rows
        fits = np.all(moved <= np.maximum(rows.upper, taken) + 1e-6) and np.all(moved >= np.minimum(rows.lower, taken) - 1e-6)
        return moved if fits and np.all(changed <= rows.most[: len(changed)]) else None
