"""The picture of a spread: a tree of ways that can be passed in time, in rows from top to bottom, with the many drawn together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from scionary.answers.spread import SpreadAnswer
from scionary.answers.things import Thing, things
from scionary.language import say

_MOST_ROWS = 60
_MOST_BRANCHES = 8  # of one thing; further ones are told by their number
_TOGETHER = 3  # more plants than these, from which nothing leads on, are one row


@dataclass(frozen=True)
class Row:
    """One row: how many steps to the right, the row that it hangs on (-1: none), and a thing, or so many plants together.

    A thing can stand in two rows: what came through it later came by a longer way than the shortest to itself.
    """

    depth: int
    hangs_on: int
    thing: Thing | None = None
    plants: int = 0
    branches: int = 0

    @property
    def words(self) -> str:
        if self.thing is not None:
            return self.thing.words
        if self.branches:
            return say("{branches} more ways, to {plants} plants", branches=self.branches, plants=self.plants)
        return say("{plants} plants", plants=self.plants)


@dataclass(frozen=True)
class _Branch:
    """A row in the making, and the visit that it draws; -1 for many together."""

    row: Row
    visit: int


class _Tree:
    """Visits that lead somewhere: the first of each thing, and those through which others came."""

    def __init__(self, answer: SpreadAnswer) -> None:
        self.answer, visits = answer, answer.reach.visits
        self.thing = visits.thing.tolist()
        first = np.zeros(len(self.thing), dtype=np.bool_)
        first[answer.reach.first_visit[answer.reach.first_visit >= 0]] = True
        self.is_plant = [answer.map.keys[thing].startswith("plant:") for thing in self.thing]
        self.plants = [int(plant and new) for plant, new in zip(self.is_plant, first.tolist(), strict=True)]  # below, itself among them
        self.children: dict[int, list[int]] = {}
        needed = first.tolist()
        for visit in range(len(self.thing) - 1, -1, -1):  # whoever came later stands later
            before = int(visits.before[visit])
            if needed[visit] and before >= 0:
                needed[before] = True
                self.plants[before] += self.plants[visit]
                self.children.setdefault(before, []).append(visit)
        for listed in self.children.values():
            listed.reverse()
        self.begins = [visit for visit in range(len(answer.began)) if visits.before[visit] < 0]

    def key(self, visit: int) -> str:
        return self.answer.map.keys[self.thing[visit]]

    def under(self, visit: int, row: int, depth: int) -> list[_Branch]:
        """What hangs on a visit: plants from which nothing leads on, then the ways on, the fullest first."""
        children = self.children.get(visit, [])
        ends = [child for child in children if child not in self.children and self.is_plant[child]]
        on = sorted((child for child in children if child in self.children), key=lambda child: (-self.plants[child], child))
        alone = [child for child in children if child not in self.children and not self.is_plant[child]]
        if len(ends) > _TOGETHER:
            found = [_Branch(Row(depth, row, plants=len(ends)), -1)]
        else:
            found = [_Branch(Row(depth, row), child) for child in ends]
        shown, rest = (on + alone)[:_MOST_BRANCHES], (on + alone)[_MOST_BRANCHES:]
        found += [_Branch(Row(depth, row), child) for child in shown]
        if rest:
            plants = sum(self.plants[child] for child in rest)
            found.append(_Branch(Row(depth, row, plants=plants, branches=len(rest)), -1))
        return found


def spread_rows(answer: SpreadAnswer) -> list[Row]:
    """The rows of the picture, at most 60: the fullest branches first, the plants that lead no further together."""
    tree = _Tree(answer)
    drawn: list[_Branch] = []
    waiting = [_Branch(Row(0, -1), visit) for visit in reversed(tree.begins)]
    while waiting and len(drawn) < _MOST_ROWS:
        branch = waiting.pop()
        drawn.append(branch)
        if branch.visit >= 0:
            waiting.extend(reversed(tree.under(branch.visit, len(drawn) - 1, branch.row.depth + 1)))
    return _named(drawn, tree, answer)


def _named(drawn: Sequence[_Branch], tree: _Tree, answer: SpreadAnswer) -> list[Row]:
    named = things({tree.key(branch.visit) for branch in drawn if branch.visit >= 0}, answer.zone)
    return [replace(b.row, thing=named[tree.key(b.visit)]) if b.visit >= 0 else b.row for b in drawn]
