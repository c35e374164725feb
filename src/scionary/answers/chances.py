"""Each plant's chance of life, as its ring shows it, and how many of a group are likely alive.

What a scored stage says is taken as it stands. A plant not yet scored has the rate of its cultivar at the stage
"firm"; early signs, such as a stalk that drops, are shown beside the ring and do not move it yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

import numpy as np

from scionary.answers.rates import CONFIDENCE, cultivar_draws
from scionary.answers.words import count_range, percent, percent_range
from scionary.book.models import Plant
from scionary.take import likely_takes

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
    listed = list(plants)
    ranges = cultivar_ranges({p.cultivar_id for p in listed if p.cultivar_id and p.state == Plant.State.WAITING})
    return {plant.id: _ring(plant, ranges) for plant in listed}


def cultivar_ranges(cultivars: Iterable[UUID]) -> dict[UUID, tuple[float, float, float]]:
    """(low, best guess, high) of each cultivar's rate at the stage "firm"."""
    wanted = sorted(cultivars, key=str)
    if not wanted:
        return {}
    draws, _ = cultivar_draws("firm", wanted)
    tails = [(1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2]
    low, high = np.quantile(draws, tails, axis=0)
    mean = draws.mean(axis=0)
    return {ident: (float(low[i]), float(mean[i]), float(high[i])) for i, ident in enumerate(wanted)}


def likely_alive(plants: Iterable[Plant]) -> tuple[int, int, int]:
    """How many of these are likely alive: low, best guess and high, nine times in ten.

    Plants of one cultivar share one unknown rate within a draw; whether each takes is drawn on top of it.
    """
    listed = list(plants)
    sure = sum(p.state == Plant.State.ALIVE for p in listed)
    waiting = [p.cultivar_id for p in listed if p.state == Plant.State.WAITING]
    if not waiting:
        return sure, sure, sure
    kinds = sorted({c for c in waiting if c}, key=str)
    draws, _ = cultivar_draws("firm", kinds)
    if len(kinds) == 1:
        low, mid, high = likely_takes(draws[:, 0], len(waiting), CONFIDENCE)
        return sure + low, sure + mid, sure + high
    rng = np.random.default_rng(1)
    totals = sum(rng.binomial(waiting.count(kind), draws[:, i]) for i, kind in enumerate(kinds))
    low, mid, high = (int(v) for v in np.quantile(totals, [0.05, 0.5, 0.95], method="inverted_cdf"))
    return sure + low, sure + mid, sure + high


def alive_words(plants: Iterable[Plant]) -> str:
    """7 of 10 alive; between 5 and 9."""
    listed = [p for p in plants if p.state != Plant.State.LEFT]
    low, mid, high = likely_alive(listed)
    return count_range(low, mid, high, len(listed))


def _ring(plant: Plant, ranges: Mapping[UUID, tuple[float, float, float]]) -> Ring:
    name, state = plant.spoken, plant.state
    seen = f"; {sign_words(plant.last_sign)}" if plant.last_sign else ""
    doubt = "; records disagree" if plant.disputed else ""
    if state == Plant.State.DEAD:
        return Ring(0, 0, 0, "cross", f"{name}: lost{doubt}")
    if state in (Plant.State.MISSING, Plant.State.LEFT):
        return Ring(0, 0, 0, "question", f"{name}: {plant.get_state_display()}{doubt}")
    if state == Plant.State.ALIVE:
        return Ring(1, 1, 1, "question" if plant.disputed else "", f"{name}: alive{seen}{doubt}")
    low, mid, high = ranges.get(plant.cultivar_id, (0.0, 0.5, 1.0)) if plant.cultivar_id else (0.0, 0.5, 1.0)
    return Ring(low, mid, high, "question" if plant.disputed else "", f"{name}: {percent(mid)}, {percent_range(low, high)}{seen}{doubt}")
