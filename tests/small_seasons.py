"""Small seasons to plan, and another way to the best plan of the tiniest: counting all of them."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np

from scionary.plan import Options, PlanProblem, Pots, Rooms, Sticks, Stocks, Targets


def by_hand(places: int = 10) -> PlanProblem:
    """Two wishes, ten places, two seasons: small enough for pencil and paper."""
    return PlanProblem(
        targets=Targets(("A", "B"), (4, 3), (50.0, 40.0), penalty=10.0, salvage=5.0),
        options=Options((0, 1), 0, cost=(8.0, 6.0)),
        rooms=Rooms(("tray",), 1, places),
        takes=((0.5, 0.8), (0.9, 0.4)),
    )


def tiny(seed: int, seasons: int = 2) -> PlanProblem:
    """Two wishes, two weeks, one kind of tray, every kind of limit."""
    rng = np.random.default_rng(seed)
    targets = Targets(("A", "B"), rng.integers(2, 6, 2), rng.uniform(20.0, 60.0, 2), penalty=rng.uniform(0.0, 10.0, 2))
    return PlanProblem(
        targets=targets,
        options=Options(
            (0, 0, 1, 1), (0, 1, 0, 1), mother_tree=(0, 0, 1, 1), stock_lot=0, healing_weeks=2, hours=0.25, cost=rng.uniform(2, 9, 4)
        ),
        rooms=Rooms(("tray",), (rng.integers(1, 4, 3).tolist(),), 4, cost=3.0),
        takes=rng.uniform(0.2, 0.95, (seasons, 4)),
        weeks=("week 9", "week 10", "week 11"),
        stocks=Stocks(("lot",), rng.integers(8, 16), usable_share=0.9),
        sticks=Sticks(("tree A", "tree B"), rng.integers(3, 10, 2)),
        bench_hours=rng.integers(1, 3, 3).astype(float),
        budget=float(rng.integers(40, 90)),
    )


def small(seed: int, *, wishes: int = 4, seasons: int = 12) -> PlanProblem:
    """A few wishes over six weeks, two kinds of tray and pot: too many plans to count."""
    rng = np.random.default_rng(seed)
    target, week, pot = (part.ravel() for part in np.meshgrid(np.arange(wishes), (0, 2, 3), (0, 1), indexing="ij"))
    shock = rng.normal(0.0, 0.6, (seasons, 1)) + rng.normal(0.0, 0.4, (seasons, 6))[:, week]
    takes = 1.0 / (1.0 + np.exp(-(rng.normal(0.7, 0.6, wishes)[target] + 0.2 * pot + shock)))
    return PlanProblem(
        targets=Targets(tuple(f"kind {at}" for at in range(wishes)), rng.integers(3, 12, wishes), rng.uniform(15, 80, wishes), penalty=4.0),
        options=Options(target, week, pot, mother_tree=target, healing_weeks=2 + pot, sticks=0.5, cost=rng.uniform(3, 8, wishes)[target]),
        rooms=Rooms(("small", "large"), (1, 1), ((5, 2), (9, 5)), cost=(1.0, 2.0)),
        takes=takes,
        weeks=tuple(f"week {at}" for at in range(6)),
        survival=0.95,
        pots=Pots(("9 cm", "13 cm"), owned=(6, 0), price=(0.3, 0.6)),
        sticks=Sticks(tuple(f"tree {at}" for at in range(wishes)), rng.integers(4, 9, wishes)),
        bench_hours=np.full(6, 1.5),
    )


def best_by_counting(problem: PlanProblem, most: int = 9) -> tuple[float, tuple[int, ...]]:
    """The best plan of a tiny season, by trying every one: limits and money written out once more, without the engine."""
    best = (-np.inf, ())
    for grafts in itertools.product(range(most), repeat=len(problem.options)):
        trays = _trays_by_hand(problem, grafts)
        if trays is not None and _kept_by_hand(problem, grafts, trays):
            best = max(best, (money_by_hand(problem, grafts, trays), grafts))
    return best


def money_by_hand(problem: PlanProblem, grafts: Any, trays: float) -> float:
    """Money of a plan on average, season by season and wish by wish."""
    total = 0.0
    for season in problem.takes:
        for wish, wanted in enumerate(problem.targets.wanted):
            finished = sum(
                n * take for n, take, of in zip(grafts, season * problem.survival, problem.options.target, strict=True) if of == wish
            )
            met, over, short = min(finished, wanted), max(finished - wanted, 0.0), max(wanted - finished, 0.0)
            targets = problem.targets
            total += targets.value[wish] * met + targets.salvage[wish] * over - targets.penalty[wish] * short
    return total / len(problem.takes) - float(np.dot(grafts, problem.options.cost)) - float(problem.rooms.cost[0]) * trays


def _trays_by_hand(problem: PlanProblem, grafts: Any) -> int | None:
    """Trays filled, or None where more would have to stand at once than there are."""
    standing, filled = np.zeros(len(problem.weeks) + 9), 0
    for week in range(len(problem.weeks)):
        here = sum(n for n, at in zip(grafts, problem.options.week, strict=True) if at == week)
        trays = -(-here // int(problem.rooms.holds[0, 0]))
        standing[week : week + int(problem.options.healing_weeks[0])] += trays
        filled += trays
    return filled if np.all(standing[: len(problem.weeks)] <= problem.rooms.available[0]) else None


def _kept_by_hand(problem: PlanProblem, grafts: Any, trays: int) -> bool:
    n, options = np.array(grafts), problem.options
    usable = np.floor(problem.stocks.number * problem.stocks.usable_share[:, 0]) if problem.stocks.names else np.zeros(0)
    return bool(
        all(n[options.week == week] @ options.hours[options.week == week] <= hours + 1e-9 for week, hours in enumerate(problem.bench_hours))
        and all(n[options.mother_tree == tree].sum() <= sticks for tree, sticks in enumerate(problem.sticks.number))
        and all(n[options.stock_lot == lot].sum() <= stocks for lot, stocks in enumerate(usable))
        and n @ options.cost + problem.rooms.cost[0] * trays <= problem.budget + 1e-9
    )
