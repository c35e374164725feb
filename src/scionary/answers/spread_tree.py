"""The picture of a spread: a tree of shortest ways, in rows from top to bottom, with the many drawn together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from scionary.answers.spread import SpreadAnswer
from scionary.answers.things import Thing, things

_MOST_ROWS = 60
_MOST_BRANCHES = 8  # of one thing; further ones are told by their number
_TOGETHER = 3  # more plants than these, from which nothing leads on, are one row


@dataclass(frozen=True)
class Row:
    """One row: how many steps to the right, the row that it hangs on (-1: none), and a thing, or so many plants together."""

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
            return f"{self.branches} more ways, to {self.plants} plants"
        return f"{self.plants} plants"


@dataclass(frozen=True)
class _Branch:
    row: Row
    node: int


def spread_rows(answer: SpreadAnswer) -> list[Row]:
    """The rows of the picture, at most 60: the fullest branches first, the plants that lead no further together."""
    children: dict[int, list[int]] = defaultdict(list)
    parent = answer.reach.parent
    for node in answer.reached:
        children[int(parent[node])].append(node)
    below = _plants_below(answer, children)
    drawn: list[_Branch] = []
    waiting = [_Branch(Row(0, -1), node) for node in reversed(answer.began)]
    while waiting and len(drawn) < _MOST_ROWS:
        branch = waiting.pop()
        drawn.append(branch)
        if branch.node >= 0:
            waiting.extend(reversed(_under(answer, branch.node, len(drawn) - 1, branch.row.depth + 1, children, below)))
    named = things({answer.map.keys[branch.node] for branch in drawn if branch.node >= 0}, answer.zone)
    return [replace(b.row, thing=named[answer.map.keys[b.node]]) if b.node >= 0 else b.row for b in drawn]


def _under(answer: SpreadAnswer, node: int, row: int, depth: int, children: dict[int, list[int]], below: dict[int, int]) -> list[_Branch]:
    """What hangs on a thing: plants from which nothing leads on, then the ways on, the fullest first."""
    ends = [child for child in children[node] if not children[child] and answer.map.keys[child].startswith("plant:")]
    on = sorted((child for child in children[node] if children[child]), key=lambda child: (-below[child], child))
    alone = [child for child in children[node] if not children[child] and child not in set(ends)]
    found: list[_Branch] = [_Branch(Row(depth, row), child) for child in ends] if len(ends) <= _TOGETHER else []
    if len(ends) > _TOGETHER:
        found.append(_Branch(Row(depth, row, plants=len(ends)), -1))
    shown, rest = (on + alone)[:_MOST_BRANCHES], (on + alone)[_MOST_BRANCHES:]
    found += [_Branch(Row(depth, row), child) for child in shown]
    if rest:
        found.append(_Branch(Row(depth, row, plants=sum(below[child] for child in rest), branches=len(rest)), -1))
    return found


def _plants_below(answer: SpreadAnswer, children: dict[int, list[int]]) -> dict[int, int]:
    """How many plants each thing leads to, itself among them."""
    below: dict[int, int] = {}
    for node in reversed(_order(answer.began, children)):
        below[node] = answer.map.keys[node].startswith("plant:") + sum(below[child] for child in children[node])
    return below


def _order(began: Sequence[int], children: dict[int, list[int]]) -> list[int]:
    found = list(began)
    for node in found:
        found.extend(children[node])
    return found
