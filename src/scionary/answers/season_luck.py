"""The luck of seasons to come: chances of take of each way, in seasons to plan with and in others to judge by; and grafts that are made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.rates import coming_draws
from scionary.answers.season_facts import SeasonFacts
from scionary.answers.season_ways import Way
from scionary.plan import Already

SEASONS, JUDGING, MOST_CELLS = 150, 1_000, 8_000_000
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Luck:
    """Chances of take of each way in seasons to come, and of the grafts that are made."""

    takes: Floats
    fresh: Floats
    already: Already | None

    @classmethod
    def of(cls, facts: SeasonFacts, ways: Sequence[Way], stage: str, seed: int) -> Luck:
        """All ways share the luck of one season within a row; rows are drawn by the seed."""
        kinds = list(dict.fromkeys((way.wish, way.method.pk) for way in ways))
        made = [(at, None) for at in range(len(facts.wishes))]
        columns = [*kinds, *made]
        cultivars = [facts.wishes[at].cultivar for at, _ in columns]
        fillings = [max(1, ceil(facts.wishes[at].wanted / 10)) for at, _ in columns]
        known = {method.pk for method in facts.methods}
        draws, _ = coming_draws(stage, cultivars, fillings=fillings, methods=[m if m in known else None for _, m in columns])
        row = np.random.default_rng(seed).permutation(len(draws))
        most = max(SEASONS, min(JUDGING, MOST_CELLS // max(len(ways), 1), len(draws) - SEASONS))
        seen, fresh = draws[row[:SEASONS]], draws[row[SEASONS : SEASONS + most]]
        place = {kind: at for at, kind in enumerate(kinds)}
        way_at = np.array([place[way.wish, way.method.pk] for way in ways])
        return cls(seen[:, way_at], fresh[:, way_at], _already(facts, seen[:, len(kinds) :], fresh[:, len(kinds) :]))


def _already(facts: SeasonFacts, seen: Floats, fresh: Floats) -> Already | None:
    """Grafts made this year, by wish: those seen in leaf took, those lost are left out, the rest have the chance of coming ones."""
    rows: list[tuple[int, int, bool]] = []
    for at, known in shared_out(facts).items():
        rows += [(at, count, alive) for alive, count in known.items() if count]
    if not rows:
        return None
    target = np.array([row[0] for row in rows])
    sure = np.array([row[2] for row in rows])
    return Already(
        target,
        np.array([row[1] for row in rows], dtype=float),
        np.where(sure, 1.0, seen[:, target]),
        np.array([survival_of(facts, at) for at in target.tolist()]),
        np.where(sure, 1.0, fresh[:, target]),
    )


def shared_out(facts: SeasonFacts) -> dict[int, dict[bool, int]]:
    """Grafts made and not lost, by wish and by whether they are seen in leaf; two wishes of one cultivar share them by what they want."""
    found: dict[int, dict[bool, int]] = {}
    by_cultivar: dict[UUID, list[int]] = {}
    for at, wish in enumerate(facts.wishes):
        by_cultivar.setdefault(wish.cultivar, []).append(at)
    for cultivar, places in by_cultivar.items():
        for alive in (True, False):
            count = sum(g.cultivar == cultivar and g.alive is (True if alive else None) for g in facts.made)
            wanted = sum(facts.wishes[at].wanted for at in places)
            for at in places:
                part = count if at == places[-1] else min(count, round(count * facts.wishes[at].wanted / max(wanted, 1)))
                found.setdefault(at, {})[alive] = part
                count, wanted = count - part, wanted - facts.wishes[at].wanted
    return found


def survival_of(facts: SeasonFacts, wish: int) -> float:
    known = facts.wishes[wish].survival
    return 1.0 if known is None else known
