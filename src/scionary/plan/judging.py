"""What a plan would bring in thousands of seasons, graft by graft."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from scionary.plan.arrays import column
from scionary.plan.limits import LimitRows
from scionary.plan.problem import ASSURANCE_WEIGHT, PlanProblem
from scionary.plan.trays import cheapest_trays
from scionary.plan.wanted import Int
from scionary.units import Float

SEASONS = 10_000


@dataclass(frozen=True)
class PlanValue:
    """A plan under many seasons.

    Attributes
    ----------
    seasons : int
        How many seasons it was judged by.
    distinct : int
        How many different chances of take are among them; the other seasons repeat these with new luck of each graft, so chances and the
        range of money are as sure as so many seasons make them.
    fresh : bool
        True where those seasons are not the ones that the plan was made from.
    mean, sd, low, high : float
        Money of a season: mean, standard deviation, what one season in twenty stays below and above.
    score : float
        `mean`, less the price of what assurance still misses; plans are compared by it.
    cost : float
        Money that the plan costs.
    chance : ndarray
        Share of seasons in which each wish is reached, shape (targets,).
    finished, finished_low, finished_high : ndarray
        Finished plants of each wish: mean, and the 5 and 95 % points, shape (targets,).
    missing : ndarray
        Plants missing on average, shape (targets,).
    reached : float
        Wishes reached, on average.
    """

    seasons: int
    distinct: int
    fresh: bool
    mean: float
    sd: float
    low: float
    high: float
    score: float
    cost: float
    chance: Float
    finished: Float
    finished_low: Float
    finished_high: Float
    missing: Float
    reached: float

    def to_dict(self) -> dict[str, Any]:
        """Give everything as plain values."""
        return {name: value.tolist() if isinstance(value, np.ndarray) else value for name, value in asdict(self).items()}


def evaluate_plan(
    problem: PlanProblem,
    grafts: Any,
    *,
    seasons: int = SEASONS,
    rng: np.random.Generator | int,
    assurance: Any = None,
    rows: LimitRows | None = None,
) -> PlanValue:
    """Judge a plan by many seasons, each graft with its own luck.

    Parameters
    ----------
    problem : PlanProblem
        The season; its `fresh_takes` where it has them, else `takes`.
    grafts : array_like of shape (options,)
        Whole grafts of each option; limits are not looked at here.
    seasons : int
        How many seasons, 1 to 1,000,000.
    rng : Generator or int
        The same seed gives the same seasons to every plan.
    assurance : float or array_like, optional
        Wanted chances, where they are not those of the wishes; they touch `score` alone.
    rows : LimitRows, optional
        The problem's limits, where they are at hand: they say which trays there are.

    Returns
    -------
    PlanValue
        Money and chances.

    Raises
    ------
    BadValue
        When `grafts` has another length or a negative number, or `seasons` is out of range.
    """
    grafts = column("grafts", grafts, len(problem.options), low=0.0)
    seasons = int(column("seasons", seasons, 1, low=1, high=1_000_000)[0])
    cost = plan_cost(problem, grafts, cheapest_trays(problem, grafts, rows).trays)
    finished = _finished(problem, np.rint(grafts).astype(np.int64), seasons, np.random.default_rng(rng))
    targets = problem.targets
    short = np.maximum(targets.wanted - finished, 0.0)
    over = np.maximum(finished - targets.wanted, 0.0)
    money = targets.value @ (finished - over).T + targets.salvage @ over.T - targets.penalty @ short.T - cost
    wanted = targets.assurance if assurance is None else np.broadcast_to(np.asarray(assurance, dtype=np.float64), targets.wanted.shape)
    low, high = np.quantile(finished, (0.05, 0.95), axis=0, method="inverted_cdf")
    return PlanValue(
        seasons=seasons,
        distinct=min(seasons, len(problem.takes if problem.fresh_takes is None else problem.fresh_takes)),
        fresh=problem.fresh_takes is not None,
        mean=float(money.mean()),
        sd=float(money.std()),
        low=float(np.quantile(money, 0.05)),
        high=float(np.quantile(money, 0.95)),
        score=float(money.mean()) - _unsure(problem, finished, wanted),
        cost=cost,
        chance=(finished >= targets.wanted).mean(axis=0),
        finished=finished.mean(axis=0),
        finished_low=low,
        finished_high=high,
        missing=short.mean(axis=0),
        reached=float((finished >= targets.wanted).sum(axis=1).mean()),
    )


def plan_cost(problem: PlanProblem, grafts: Float, trays: Float) -> float:
    """Add up what a plan costs.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    grafts : ndarray of shape (options,)
        Grafts of each option.
    trays : ndarray of shape (rooms,)
        Fillings of each kind of tray.

    Returns
    -------
    float
        Money.
    """
    pots = np.bincount(problem.options.pot, weights=grafts, minlength=len(problem.pots.names))
    bought = np.maximum(pots - problem.pots.owned, 0.0)
    return float(problem.options.cost @ grafts + problem.rooms.cost @ trays + problem.pots.price @ bought)


def _finished(problem: PlanProblem, grafts: Int, seasons: int, rng: np.random.Generator) -> Float:
    """Finished plants in each season, shape (seasons, targets)."""
    fresh = problem.fresh_takes is not None
    takes = problem.fresh_takes if fresh else problem.takes
    row = rng.permutation(np.arange(seasons) % len(takes))
    used = np.flatnonzero(grafts)
    used = used[np.argsort(problem.options.target[used], kind="stable")]
    total = np.zeros((seasons, len(problem.targets.names)))
    if len(used):
        targets, starts = np.unique(problem.options.target[used], return_index=True)
        chance = (takes[:, used] * problem.survival[used])[row]
        total[:, targets] = np.add.reduceat(rng.binomial(grafts[used], chance), starts, axis=1)
    if problem.already is not None:
        made = problem.already
        chance = ((made.fresh_takes if fresh else made.takes) * made.survival)[row]
        np.add.at(total.T, made.target, rng.binomial(np.rint(made.grafts).astype(np.int64), chance).T)
    return total


def _unsure(problem: PlanProblem, finished: Float, wanted: Float) -> float:
    """Price of plants missing on average over the worst seasons of wishes that want assurance."""
    targets, total = problem.targets, 0.0
    for target in np.flatnonzero(~np.isnan(wanted)):
        price = targets.assurance_price[target]
        price = ASSURANCE_WEIGHT * targets.shortfall_cost[target] if np.isnan(price) else price
        worst = max(1, round((1.0 - wanted[target]) * len(finished)))
        missing = targets.wanted[target] - np.partition(finished[:, target], worst - 1)[:worst].mean()
        total += price * max(0.0, float(missing))
    return total
