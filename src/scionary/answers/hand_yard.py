"""What a phone takes along into the yard: mother trees with the sticks that they may still give, and bags of scions."""

from __future__ import annotations

from datetime import date
from typing import Any

from scionary.answers.cuttings import bags_held, sticks_of_trees
from scionary.answers.set_apart import set_apart
from scionary.book.models import MotherTree, Nursery


def trees(nursery: Nursery, *, today: date) -> list[dict[str, Any]]:
    """Mother trees in use; `sticks_left` is None where it is not known how many one gives."""
    rows = list(MotherTree.objects.filter(retired=False))
    apart, cut = set_apart([tree.key for tree in rows]), sticks_of_trees(nursery, today=today)
    return [
        {
            "id": str(tree.pk),
            "name": tree.name,
            "cultivar": str(tree.cultivar_id),
            "sticks_left": None if tree.sticks_a_season is None else tree.sticks_a_season - cut[tree.key],
            "caution": " ".join(apart[tree.key].words(str(tree), nursery)) if tree.key in apart else "",
        }
        for tree in rows
    ]


def bags(nursery: Nursery, *, today: date) -> list[dict[str, Any]]:
    """Bags that may hold wood, cut last first; one whose cutting was undone is none."""
    rows = bags_held(nursery, today=today)
    apart = set_apart([bag.key for bag, _ in rows])
    return [
        {
            "id": str(bag.pk),
            "name": bag.name,
            "cultivar": str(bag.cultivar_id),
            "tree": str(bag.tree_id) if bag.tree_id else None,
            "sticks": sticks,
            "caution": " ".join(apart[bag.key].words(str(bag), nursery)) if bag.key in apart else "",
        }
        for bag, sticks in rows
    ]
