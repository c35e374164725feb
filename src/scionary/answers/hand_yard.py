"""What a phone takes along into the yard: mother trees with the sticks that they may still give, and bags of scions."""

from __future__ import annotations

from datetime import date
from typing import Any

from scionary.answers.cutting import RATING_WORDS, CutAnswer, Rating, cut_all, morning_day, reason_words
from scionary.answers.cuttings import bags_held, sticks_of_trees
from scionary.answers.set_apart import set_apart
from scionary.book.models import MotherTree, Nursery


def trees(nursery: Nursery, *, today: date) -> list[dict[str, Any]]:
    """Mother trees in use; `sticks_left` is None where it is not known how many one gives, `morning` only where something speaks of it."""
    rows = list(MotherTree.objects.filter(retired=False).select_related("cultivar"))
    cuts = cut_all(rows, nursery, today=today)
    apart, cut = set_apart([tree.key for tree in rows]), sticks_of_trees(nursery, today=today)
    return [
        {
            "id": str(tree.pk),
            "name": tree.name,
            "cultivar": str(tree.cultivar_id),
            "sticks_left": None if tree.sticks_a_season is None else tree.sticks_a_season - cut[tree.key],
            "caution": " ".join(apart[tree.key].words(str(tree), nursery)) if tree.key in apart else "",
            **_morning(cuts[tree.pk], nursery),
        }
        for tree in rows
    ]


def _morning(cut: CutAnswer, nursery: Nursery) -> dict[str, Any]:
    """The verdict on this morning in words, for the day it is of; nothing where neither weather nor an answer of today is known."""
    if not cut.by_weather and cut.rating is Rating.DOUBT:
        return {}
    better = morning_day(cut.next_best) if cut.next_best is not None and cut.rating is not Rating.GOOD else ""
    told = {"rating": cut.rating.name.lower(), "words": RATING_WORDS[cut.rating], "why": reason_words(cut.why, nursery), "better": better}
    return {"morning": {"day": cut.today.isoformat(), **told}}


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
