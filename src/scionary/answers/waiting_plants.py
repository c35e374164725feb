"""The plants whose take is not known yet: what they share with others, and what was seen on them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from uuid import UUID

import numpy as np

from scionary.answers.bud_looks import BudLooks, bud_looks
from scionary.answers.held import held
from scionary.answers.outcomes import answered
from scionary.answers.sign_looks import score
from scionary.answers.take_facts import all_grafts, fillings_of, level_of
from scionary.book import queries
from scionary.book.kinds import STAGES
from scionary.book.models import Graft, Nursery, Plant
from scionary.language import Words, mark

SIGNS = Words({"stalk_drops": mark("a stalk that drops"), "bud_moving": mark("a bud that moves")})


@dataclass(frozen=True)
class Awaited:
    """A graft whose take is not known yet: the levels of its factors, the signs scored on it, and looks at its bud."""

    plant_id: UUID
    graft_id: UUID
    levels: Mapping[str, str]
    scores: tuple[float, ...]
    looks: BudLooks | None = None

    @property
    def seen(self) -> bool:
        """Whether a sign was scored on it."""
        return not all(np.isnan(score) for score in self.scores)


@dataclass(frozen=True)
class AllAwaited:
    """All plants that wait, by what they share with others: filling, else bench day, else season; each one's group; their grafts."""

    groups: Mapping[str, Sequence[Awaited]] = field(default_factory=dict)
    own: Mapping[UUID, str] = field(default_factory=dict)
    grafts: frozenset[UUID] = frozenset()

    def members(self, group: str | None) -> Sequence[Awaited]:
        """All that wait in a group, in a fixed order."""
        return self.groups.get(group or "", [])

    def groups_of(self, plants: Iterable[UUID]) -> dict[UUID, str]:
        """The group of each of these plants that waits."""
        return {plant: self.own[plant] for plant in plants if plant in self.own}

    @property
    def everyone(self) -> list[Awaited]:
        return [each for group in sorted(self.groups) for each in self.groups[group]]


def awaited() -> AllAwaited:
    """All plants that wait, as the book stands."""
    return held("awaited", queries.stamp(), _find)


def _find() -> AllAwaited:
    nursery, grafts = queries.nursery(), all_grafts()
    standing = Plant.objects.filter(state__in=queries.STANDING).values_list("pk", flat=True)
    return among(standing, grafts, fillings_of(grafts, nursery), bud_looks(), nursery)


def among(
    standing: Iterable[UUID],
    grafts: Iterable[Graft],
    fillings: Mapping[UUID, tuple[str, str]],
    looks: Mapping[UUID, BudLooks],
    nursery: Nursery,
) -> AllAwaited:
    """Those of these standing plants that wait, given all their grafts."""
    last: dict[UUID, Graft] = {}
    for graft in sorted(grafts, key=lambda each: (each.grafted_at, each.pk)):
        last[graft.plant_id] = graft
    groups: dict[str, list[Awaited]] = defaultdict(list)
    own: dict[UUID, str] = {}
    for ident in sorted(standing, key=str):
        graft_of = last.get(ident)
        if graft_of is None or any(answered(graft_of, stage, nursery) is not None for stage in STAGES):
            continue
        levels = {factor: key for factor, (key, _) in level_of(graft_of, nursery, fillings).items() if key}
        own[ident] = levels.get("dome") or levels.get("day") or levels.get("season", "")
        scores = tuple(score(graft_of, sign) for sign in SIGNS)
        groups[own[ident]].append(Awaited(ident, graft_of.pk, levels, scores, looks.get(graft_of.pk)))
    grafts_waiting = frozenset(each.graft_id for members in groups.values() for each in members)
    return AllAwaited(dict(groups), own, grafts_waiting)
