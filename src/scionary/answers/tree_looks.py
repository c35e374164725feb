"""What was seen at mother trees and when they were watered, as it stands after all corrections."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from scionary.answers.events_in_bulk import standing_events
from scionary.answers.held import held
from scionary.book import queries
from scionary.book.models import MotherTree, Nursery
from scionary.language import Words, mark
from scionary.season import Stage

SEEN_DAYS = {Stage.DORMANT: 30, Stage.SOFT: 7, Stage.HALF_RIPE: 7, Stage.RIPE: 7}  # so long a look holds; project default, unsourced
STAGE_OF = {"dormant": Stage.DORMANT, "bud_break": Stage.SOFT, "soft": Stage.SOFT, "half_ripe": Stage.HALF_RIPE, "ripe": Stage.RIPE}
STAGE_WORDS = Words(
    {
        "dormant": mark("buds shut"),
        "bud_break": mark("buds break"),
        "soft": mark("flush, soft"),
        "half_ripe": mark("half-ripe"),
        "ripe": mark("ripe"),
    }
)
_ANSWERS = ("soaked", "firm_at_dawn", "leaves_dry")


@dataclass(frozen=True)
class TreeLook:
    """One look at a tree, or one watering: `litres` None where it was watered through."""

    at: datetime
    kind: str
    payload: Mapping[str, Any]
    event: str

    @property
    def day(self) -> date:
        return self.at.date()

    @property
    def stage(self) -> str:
        return str(self.payload.get("stage", ""))


@dataclass(frozen=True)
class AllLooks:
    """All looks and waterings by the tree's key (without dashes), in order of time; `content` changes with any of them."""

    by_tree: Mapping[str, Sequence[TreeLook]]
    content: int


def looks_of_trees(nursery: Nursery) -> AllLooks:
    """What stands in the book of all trees."""
    return held("tree_looks", queries.stamp(), lambda: _looks(nursery))


def looks_of(tree: MotherTree, nursery: Nursery) -> Sequence[TreeLook]:
    return looks_of_trees(nursery).by_tree.get(plain_key(tree.key), [])


def plain_key(key: str) -> str:
    return key.replace("-", "")


def _looks(nursery: Nursery) -> AllLooks:
    found: dict[str, list[TreeLook]] = defaultdict(list)
    for event in standing_events(("tree_seen", "watered"), "tree"):
        look = TreeLook(datetime.fromtimestamp(event.at, nursery.zone), event.kind, event.payload, event.event)
        for key in event.subjects:
            found[key].append(look)
    by_tree = {key: sorted(looks, key=lambda look: look.at) for key, looks in found.items()}
    told = [(key, look.at, repr(sorted(look.payload.items()))) for key, looks in sorted(by_tree.items()) for look in looks]
    return AllLooks(by_tree, hash(tuple(told)))


def stage_seen(looks: Sequence[TreeLook], today: date) -> Stage | None:
    """The stage of the last look that still holds on a day; None where nobody looked lately."""
    staged = [look for look in looks if look.stage and look.day <= today]
    if not staged:
        return None
    stage = STAGE_OF[staged[-1].stage]
    return stage if (today - staged[-1].day).days <= SEEN_DAYS[stage] else None


def answers_of(looks: Sequence[TreeLook], today: date) -> dict[str, bool]:
    """What was answered today: soaked, firm at dawn, leaves dry; the last answer to each."""
    found: dict[str, bool] = {}
    for look in looks:
        if look.day == today and look.kind == "tree_seen":
            found |= {name: look.payload[name] == "yes" for name in _ANSWERS if name in look.payload}
    return found
