"""Invented nurseries whose season is to be planned: drawn by a seed, with tight, moderate or slack room."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

from scionary.plan import Options, PlanProblem, Pots, Rooms, Sticks, Stocks, Targets

Float = npt.NDArray[np.float64]
WEEKS, LATE_START, HEALING = 12, 6, 5
POTS = Pots(("9 cm pot", "13 cm pot"), owned=0.0, price=(0.2, 0.45))
HOLDS = ((15.0, 8.0), (40.0, 21.0))


class Room(Enum):
    """How many places there are over the season, as a share of the grafts that mean rates would ask for."""

    TIGHT = 0.55
    MODERATE = 1.1
    SLACK = 2.5


@dataclass(frozen=True)
class Shocks:
    """Standard deviations, on the log odds, of what all grafts of a season, a week, a cultivar share."""

    season: float = 0.4
    week: float = 0.35
    cultivar: float = 0.3


def nursery(
    cultivars: int, *, seed: int, room: Room = Room.MODERATE, seasons: int = 200, fresh: int = 2_000, shocks: Shocks | None = None
) -> PlanProblem:
    """Draw one: two windows of weeks, two kinds of pot, two kinds of tray, three lots of stocks, a mother tree a cultivar."""
    rng = np.random.default_rng(seed)
    wanted = rng.integers(3, 41, cultivars)
    options = _options(rng, cultivars)
    logit = _logits(rng, cultivars, options)
    draws = _takes(rng, logit, options, cultivars, seasons + fresh, shocks or Shocks())
    survival = np.where(options.pot == 0, 0.93, 0.97)
    mean = (draws[:seasons].mean(axis=0) * survival).reshape(cultivars, -1).mean(axis=1)
    needed = wanted / mean
    value = np.round(rng.uniform(15.0, 90.0, cultivars), 1)
    lots = np.bincount(_lot(cultivars), weights=needed, minlength=3)
    return PlanProblem(
        targets=Targets(tuple(f"kind {at + 1}" for at in range(cultivars)), wanted, value, penalty=np.round(0.15 * value, 2)),
        options=options,
        rooms=Rooms(("small tray", "large tray"), _trays(float(needed.sum()), room), HOLDS, cost=(1.5, 3.0)),
        takes=draws[:seasons],
        fresh_takes=draws[seasons:] if fresh else None,
        weeks=tuple(f"week {at + 8}" if at < LATE_START else f"week {at + 24}" for at in range(WEEKS)),
        survival=survival,
        pots=POTS,
        stocks=Stocks(("palmatum, spring", "palmatum, summer", "japonicum"), np.ceil(1.6 * lots), (-1, 3, -1), usable_share=0.85),
        sticks=Sticks(tuple(f"mother tree {at + 1}" for at in range(cultivars)), np.ceil(needed * rng.uniform(0.8, 3.0, cultivars))),
        bench_hours=np.full(WEEKS, np.ceil(needed.sum() / 12.0 / 5.0)),
        methods=("side veneer", "cleft"),
    )


def _lot(cultivars: int) -> npt.NDArray[np.int64]:
    return np.arange(cultivars) % 3


def _options(rng: np.random.Generator, cultivars: int) -> Options:
    """Every cultivar in each pot, in three weeks of each window; the summer's lot arrives late."""
    target, week, pot = [], [], []
    for cultivar in range(cultivars):
        weeks = np.concatenate([rng.choice(LATE_START, 3, replace=False), LATE_START + rng.choice(WEEKS - LATE_START, 3, replace=False)])
        for kind in range(2):
            target += [cultivar] * len(weeks)
            week += weeks.tolist()
            pot += [kind] * len(weeks)
    late = np.array(week) >= LATE_START
    return Options(
        target,
        week,
        pot,
        method=late.astype(int),
        mother_tree=target,
        stock_lot=_lot(cultivars)[np.array(target)],
        healing_weeks=np.where(late, HEALING, HEALING + 1),
        hours=np.where(late, 1.0 / 10.0, 1.0 / 14.0),
        sticks=0.5,
        cost=np.round(rng.uniform(3.0, 6.0, cultivars), 2)[np.array(target)],
    )


def _logits(rng: np.random.Generator, cultivars: int, options: Options) -> Float:
    own = rng.normal(0.9, 0.7, cultivars)
    slope = rng.normal(0.0, 0.3, cultivars)
    logits: Float = own[options.target] + slope[options.target] * options.method + 0.15 * options.pot
    return logits


def _takes(rng: np.random.Generator, logit: Float, options: Options, cultivars: int, seasons: int, shocks: Shocks) -> Float:
    shared = rng.normal(0.0, shocks.season, (seasons, 1)) + rng.normal(0.0, shocks.week, (seasons, WEEKS))[:, options.week]
    takes: Float = 1.0 / (1.0 + np.exp(-(logit + shared + rng.normal(0.0, shocks.cultivar, (seasons, cultivars))[:, options.target])))
    return takes


def _trays(needed: float, room: Room) -> npt.NDArray[np.int64]:
    """Trays of each kind that give so many places in two rounds; half of the places in each kind."""
    places = room.value * needed / 2.0
    return np.array([max(1, round(places / 2.0 / holds[0])) for holds in HOLDS])
