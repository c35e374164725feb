"""What a phone takes along into the yard: mother trees with the sticks that they may still give, and bags of scions."""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Q

from scionary.answers.growing_year import year_at
from scionary.answers.held import held
from scionary.answers.set_apart import set_apart
from scionary.book import queries
from scionary.book.locks import chunks
from scionary.book.models import Event, MotherTree, Nursery, ScionBag
from scionary.book.projection import record_of
from scionary.book.settle import Record, settle

_KEPT_DAYS = 240  # a bag cut longer ago holds no wood for grafting; project default, unsourced
_LONGEST_YEAR = timedelta(days=400)  # a growing year and some weeks


def trees(nursery: Nursery, *, today: date) -> list[dict[str, Any]]:
    """Mother trees in use; `sticks_left` is None where it is not known how many one gives."""
    rows = list(MotherTree.objects.filter(retired=False))
    apart = set_apart([tree.key for tree in rows])
    cut: Counter[str] = Counter()
    for record, subjects in cuts(nursery, today=today):
        if year_at(record.happened_at.astimezone(nursery.zone).date(), nursery) == year_at(today, nursery):
            cut.update({key: int(record.payload.get("sticks", 0)) for key in subjects if key.startswith("tree:")})
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
    recent = ScionBag.objects.filter(Q(cut_on=None) | Q(cut_on__gte=today - timedelta(days=_KEPT_DAYS)), retired=False)
    rows, sticks, told = list(recent), _sticks_of_bags(nursery, today), _told_of_bags()
    apart = set_apart([bag.key for bag in rows])
    return [
        {
            "id": str(bag.pk),
            "name": bag.name,
            "cultivar": str(bag.cultivar_id),
            "tree": str(bag.tree_id) if bag.tree_id else None,
            "sticks": sticks.get(bag.key, bag.sticks),
            "caution": " ".join(apart[bag.key].words(str(bag), nursery)) if bag.key in apart else "",
        }
        for bag in rows
        if bag.key in sticks or bag.key not in told
    ]


def cuts(nursery: Nursery, *, today: date) -> list[tuple[Record, list[str]]]:
    """Cuttings of about a year that stand, as they were corrected, each with its subjects."""
    since = datetime.combine(today, datetime.min.time(), nursery.zone) - _LONGEST_YEAR
    return held("scions_cut", (queries.stamp(), since), lambda: _cuts(since))


def _cuts(since: datetime) -> list[tuple[Record, list[str]]]:
    events = {e.pk: e for e in Event.objects.filter(kind="scions_cut", happened_at__gte=since).prefetch_related("subjects")}
    about = {ident: [subject.key for subject in event.subjects.all()] for ident, event in events.items()}
    newest = set(events)
    while newest:
        found = {event.pk: event for chunk in chunks(newest) for event in Event.objects.filter(target__in=chunk, kind="corrected")}
        newest = set(found) - set(events)
        events |= found
    return [(record, about[record.id]) for record in settle(record_of(event, events) for event in events.values())]


def _sticks_of_bags(nursery: Nursery, today: date) -> Counter[str]:
    found: Counter[str] = Counter()
    for record, subjects in cuts(nursery, today=today):
        found.update({key: int(record.payload.get("sticks", 0)) for key in subjects if key.startswith("bag:")})
    return found


def _told_of_bags() -> set[str]:
    """Bags of which a record tells that they were cut, whether it stands or not."""
    return held("bags_told", queries.stamp(), lambda: set(_keys_of_cuts()))


def _keys_of_cuts() -> list[str]:
    keys = Event.objects.filter(kind="scions_cut", subjects__key__startswith="bag:").values_list("subjects__key", flat=True)
    return [key for key in keys if key.startswith("bag:")]
