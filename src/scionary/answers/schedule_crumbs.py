"""Batches of one or two grafts put to larger ones: by exchange without any loss, else by what costs least, within what the plan may miss.

Whatever is changed is held against every limit of the season first.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scionary.plan import PlanResult
from scionary.plan.rounding import mean_of_worst
from scionary.units import Float

CRUMB = 3  # fewer grafts than this are no batch; project default, unsourced
MOST_LOSS = 0.005  # of the plan's value, where its distance from the best known bound is more; project default, unsourced
MOST_CHANCE = 0.02  # of chance that a wish may lose by one step; project default, unsourced
Step = dict[int, float]  # by how many grafts each way changes


class Crumbs:
    """A plan's grafts while its small batches are put together; `grafts` and `taken` are what they are by now."""

    def __init__(self, result: PlanResult, grafts: Float, plan: Float) -> None:
        self.rows, self.seasons = result.rows, result.made_from
        self.options = self.seasons.problem.options
        self.grafts, self.taken = grafts.copy(), self.rows.matrix @ plan
        self.missing = self.seasons.missing(self.grafts)
        room = result.bound - result.value if np.isfinite(result.bound) else 0.0
        self.budget = 0.0 if result.kept_own else float(np.clip(room, 0.0, MOST_LOSS * abs(result.seen.mean)))
        self._cost = self.options.cost + self.seasons.problem.pots.price[self.options.pot] - self.seasons.gain

    def swept(self) -> Float:
        """The grafts with fewer small batches."""
        for lossy in (False, True):
            for at in self._crumbs():
                if 0 < self.grafts[at] < CRUMB:
                    self._sweep(at, lossy=lossy)
        return self.grafts

    def _crumbs(self) -> list[int]:
        small = np.flatnonzero((self.grafts > 0) & (self.grafts < CRUMB))
        return sorted(small.tolist(), key=lambda at: (self.grafts[at], at))

    def _sweep(self, at: int, *, lossy: bool) -> None:
        """Take the first exchange that costs nothing; where that has been tried, the cheapest way out that the budget allows."""
        steps = self._ways_out(at) if lossy else self._exchanges(at)
        found: tuple[float, Step] | None = None
        for step in steps:
            loss = self._loss(step)
            cheap = loss <= (self.budget if lossy else 1e-9) and (found is None or loss < found[0])
            if cheap and self._fits(step) and self._leaves_chances(step):
                found = loss, step
                if not lossy:
                    break
        if found is not None:
            self._take(*found)

    def _exchanges(self, at: int) -> Iterator[Step]:
        """To a batch of the same wish in another week, from which as many of another wish go to that wish's batch in this week."""
        options, number = self.options, float(self.grafts[at])
        used = np.flatnonzero(self.grafts > 0)
        for mine in self._alike(at, used):
            if options.week[mine] == options.week[at]:
                yield {at: -number, mine: number}
                continue
            there = used[(options.week[used] == options.week[mine]) & (options.target[used] != options.target[at])]
            for other in sorted(there.tolist(), key=lambda each: (self.grafts[each] != number, -self.grafts[each], each)):
                left = self.grafts[other] - number
                if left < 0 or 0 < left < CRUMB <= self.grafts[other]:
                    continue
                for here in self._alike(other, used):
                    if options.week[here] == options.week[at]:
                        yield {at: -number, mine: number, other: -number, here: number}

    def _ways_out(self, at: int) -> Iterator[Step]:
        """Left out; or in its place one more of a batch of the same week and pot; or moved to a batch of its wish."""
        options, number = self.options, float(self.grafts[at])
        yield {at: -number}
        used = np.flatnonzero((self.grafts > 0) & (np.arange(len(self.grafts)) != at))
        for mine in self._alike(at, used):
            yield {at: -number, mine: number}
        for other in used[(options.week[used] == options.week[at]) & (options.pot[used] == options.pot[at])].tolist():
            yield {at: -number, other: number}

    def _alike(self, at: int, used: np.typing.NDArray[np.int64]) -> list[int]:
        """Batches of the same wish and method: within a season their grafts have the same chance."""
        options = self.options
        alike = used[(options.target[used] == options.target[at]) & (options.method[used] == options.method[at]) & (used != at)]
        return sorted(alike.tolist(), key=lambda each: (-self.grafts[each], each))

    def _fits(self, step: Step) -> bool:
        at, by = np.array(list(step)), np.array(list(step.values()))
        after = self.grafts[at] + by
        if np.any(after < self.rows.least[at] - 1e-9) or np.any(after > self.rows.most[at] + 1e-9):
            return False
        moved, rows = self._moved(step), self.rows
        over = np.all(moved <= np.maximum(rows.upper, self.taken) + 1e-6)
        return bool(over and np.all(moved >= np.minimum(rows.lower, self.taken) - 1e-6))

    def _moved(self, step: Step) -> Float:
        moved: Float = self.taken + self.rows.by_column[:, list(step)] @ np.array(list(step.values()))
        return moved

    def _after(self, step: Step) -> dict[int, Float]:
        """Plants missing of each wish that the step touches."""
        found: dict[int, Float] = {}
        for at, by in step.items():
            target = int(self.options.target[at])
            found[target] = found.get(target, self.missing[:, target]) - by * self.seasons.finished[:, at]
        return found

    def _loss(self, step: Step) -> float:
        """What the plan loses in the seasons that it was made from, certainty that is asked for included."""
        loss = float(sum(by * self._cost[at] for at, by in step.items()))
        return loss + sum(
            self._short(target, after) - self._short(target, self.missing[:, target]) for target, after in self._after(step).items()
        )

    def _leaves_chances(self, step: Step) -> bool:
        """Whether every wish is about as likely reached as before: one that is nearly met must not lose its last graft for little money."""
        return all(
            np.mean(self.missing[:, target] <= 0) - np.mean(after <= 0) <= MOST_CHANCE for target, after in self._after(step).items()
        )

    def _short(self, target: int, missing: Float) -> float:
        short = float(self.seasons.problem.targets.shortfall_cost[target] * np.maximum(missing, 0.0).mean())
        price = float(self.seasons.assurance_price[target])
        return short + (price * float(mean_of_worst(missing[:, None], float(self.seasons.assurance[target]))[0]) if price > 0.0 else 0.0)

    def _take(self, loss: float, step: Step) -> None:
        self.taken = self._moved(step)
        for target, after in self._after(step).items():
            self.missing[:, target] = after
        for at, by in step.items():
            self.grafts[at] += by
        self.budget -= max(loss, 0.0)
