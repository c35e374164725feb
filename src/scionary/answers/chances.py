"""Each plant's chance of life, as its ring shows it, and how many of a group are likely alive.

A stage that was scored when it could be told is taken as it stands. A plant not yet scored has its cultivar's chance of
being firm in a coming season; early signs, such as a stalk that drops, are shown beside the ring and do not move it yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from uuid import UUID

import numpy as np

from scionary.answers.outcomes import answered, disputed
from scionary.answers.rates import CONFIDENCE, coming_draws
from scionary.answers.words import count_range, percent, percent_range
from scionary.book import queries
from scionary.book.kinds import STAGES
from scionary.book.models import Nursery, Plant

_SIGN_WORDS = {
    "stalk_drops_yes": "stalk drops: alive, not yet united",
    "stalk_drops_no": "stalk stays",
    "bud_moving_yes": "bud moving",
    "bud_moving_no": "bud still",
    "callus_seen_yes": "callus seen",
    "firm_yes": "firm",
    "firm_no": "not firm",
    "firm_unsure": "not sure",
    "growing_yes": "growing",
    "growing_no": "not growing",
    "in_leaf_yes": "in leaf",
    "in_leaf_no": "not in leaf",
    "wilting": "wilting",
    "mould": "mould",
    "missing": "missing",
    "unchanged": "unchanged",
    "found": "found again",
    "name_in_doubt": "name in doubt",
    "lost": "lost",
}


@dataclass(frozen=True)
class Ring:
    """A plant's chance of life: the arc's low end, best guess and high end, 0 to 1; `mark` is "", "cross" or "question"."""

    low: float
    mid: float
    high: float
    mark: str
    words: str


def sign_words(sign: str) -> str:
    """What was last seen on a plant, in words."""
    return _SIGN_WORDS.get(sign, sign.replace("_", " "))


def rings(plants: Iterable[Plant]) -> dict[UUID, Ring]:
    """The ring of each plant."""
    nursery = queries.nursery()
    told = [(plant, evidence(plant, nursery)) for plant in plants]
    open_ones = (Evidence.WAITING, Evidence.DOUBT)
    ranges = cultivar_ranges({plant.cultivar_id for plant, what in told if plant.cultivar_id and what in open_ones})
    return {plant.id: _ring(plant, ranges, what) for plant, what in told}


def cultivar_ranges(cultivars: Iterable[UUID]) -> dict[UUID, tuple[float, float, float]]:
    """(low, best guess, high) of each cultivar's chance of being firm in a coming season."""
    wanted = sorted(cultivars, key=str)
    if not wanted:
        return {}
    draws, _ = coming_draws("firm", wanted)
    tails = [(1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2]
    low, high = np.quantile(draws, tails, axis=0)
    mean = draws.mean(axis=0)
    return {ident: (float(low[i]), float(mean[i]), float(high[i])) for i, ident in enumerate(wanted)}


def likely_alive(plants: Iterable[Plant]) -> tuple[int, int, int]:
    """How many of these are likely alive: low, best guess and high, nine times in ten.

    Plants of one cultivar share one unknown rate within a draw, all plants the luck of the season; whether each takes is
    drawn on top of that. Those of which only doubt is known (not firm, records disagree) count at the high end alone.
    """
    nursery = queries.nursery()
    told = [(plant, evidence(plant, nursery)) for plant in plants]
    sure = sum(what is Evidence.ALIVE for _, what in told)
    doubtful = sum(what is Evidence.DOUBT for _, what in told)
    waiting = [plant.cultivar_id for plant, what in told if what is Evidence.WAITING]
    kinds = sorted({c for c in waiting if c}, key=str)
    if not kinds:
        return sure, sure, sure + doubtful + len(waiting)
    draws, _ = coming_draws("firm", kinds)
    rng = np.random.default_rng(1)
    totals = sum(rng.binomial(waiting.count(kind), draws[:, i]) for i, kind in enumerate(kinds))
    low, mid, high = (int(v) for v in np.quantile(totals, [0.05, 0.5, 0.95], method="inverted_cdf"))
    return sure + low, sure + mid, sure + high + doubtful


def alive_words(plants: Iterable[Plant]) -> str:
    """7 of 10 alive; between 5 and 9; 1 missing."""
    listed = [p for p in plants if p.state not in (Plant.State.LEFT, Plant.State.MISSING)]
    everything = [p for p in plants if p.state == Plant.State.MISSING]
    low, mid, high = likely_alive(listed)
    words = count_range(low, mid, high, len(listed))
    return f"{words}; {len(everything)} missing" if everything else words


class Evidence(Enum):
    """What a plant's records say of its life."""

    ALIVE = "alive"
    WAITING = "waiting"
    DOUBT = "doubt"
    DEAD = "dead"
    NOWHERE = "nowhere"


def evidence(plant: Plant, nursery: Nursery) -> Evidence:
    """Alive only once a stage was scored when it could be told; firm in the first weeks is firm so far."""
    if plant.state == Plant.State.DEAD and "state" not in plant.disputed:
        return Evidence.DEAD
    if plant.state in (Plant.State.MISSING, Plant.State.LEFT):
        return Evidence.NOWHERE
    graft = next(iter(reversed(list(plant.grafts.all()))), None)
    if graft is None:
        return Evidence.WAITING
    if any(disputed(graft, stage) for stage in STAGES):
        return Evidence.DOUBT
    answers = [answered(graft, stage, nursery) for stage in STAGES]
    if False in answers and plant.state != Plant.State.ALIVE:
        return Evidence.DOUBT
    return Evidence.ALIVE if True in answers and plant.state == Plant.State.ALIVE else Evidence.WAITING


def _ring(plant: Plant, ranges: Mapping[UUID, tuple[float, float, float]], what: Evidence) -> Ring:
    name = plant.spoken
    seen = f"; {sign_words(plant.last_sign)}" if plant.last_sign else ""
    low, mid, high = ranges.get(plant.cultivar_id, (0.0, 0.5, 1.0)) if plant.cultivar_id else (0.0, 0.5, 1.0)
    if what is Evidence.DEAD:
        return Ring(0, 0, 0, "cross", f"{name}: lost")
    if what is Evidence.NOWHERE:
        return Ring(0, 0, 0, "question", f"{name}: {plant.get_state_display()}")
    if what is Evidence.DOUBT:
        why = "records disagree" if plant.disputed else "whether it lives is not known"
        return Ring(0, 0, high, "question", f"{name}: {why}{seen}")
    if what is Evidence.ALIVE:
        return Ring(1, 1, 1, "", f"{name}: alive{seen}")
    so_far = " so far" if plant.last_sign.endswith("_yes") and plant.state == Plant.State.ALIVE else ""
    return Ring(low, mid, high, "", f"{name}: {percent(mid)}, {percent_range(low, high)}{seen}{so_far}")
