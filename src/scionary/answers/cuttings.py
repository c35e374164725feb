"""Sticks that were cut, as they stand after all corrections: how many from each tree this growing year, how many in each bag."""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Q

from scionary.answers.growing_year import year_at
from scionary.answers.held import held
from scionary.book import queries
from scionary.book.locks import chunks
from scionary.book.models import Event, MotherTree, Nursery, ScionBag
from scionary.book.projection import record_of, with_corrections
from scionary.book.settle import Record, settle

KEPT_DAYS = 240  # a bag cut longer ago holds no wood for grafting; project default, unsourced
_A_MOMENT = timedelta(seconds=30)
_LONGEST_YEAR = timedelta(days=400)  # a growing year and some weeks


def sticks_of_trees(nursery: Nursery, *, today: date) -> Counter[str]:
    """Sticks cut from each tree, by its key, in the growing year of this day."""
    cut: Counter[str] = Counter()
    for record, subjects in cuts(nursery, today=today):
        if year_at(record.happened_at.astimezone(nursery.zone).date(), nursery) == year_at(today, nursery):
            cut.update({key: int(record.payload.get("sticks", 0)) for key in subjects if key.startswith("tree:")})
    return cut


def bags_held(nursery: Nursery, *, today: date) -> list[tuple[ScionBag, int | None]]:
    """Bags that may hold wood, cut last first, each with its sticks; one whose cutting was undone is none."""
    recent = ScionBag.objects.filter(Q(cut_on=None) | Q(cut_on__gte=today - timedelta(days=KEPT_DAYS)), retired=False)
    sticks, told = _sticks_of_bags(nursery, today), _told_of_bags()
    rows = recent.select_related("cultivar", "tree")
    return [(bag, sticks.get(bag.key, bag.sticks)) for bag in rows if bag.key in sticks or bag.key not in told]


def undone_bags(nursery: Nursery, *, today: date) -> list[UUID]:
    """Bags of late whose cutting was undone: whoever cut them may hold them still."""
    recent = ScionBag.objects.filter(Q(cut_on=None) | Q(cut_on__gte=today - timedelta(days=KEPT_DAYS)))
    sticks, told = _sticks_of_bags(nursery, today), _told_of_bags()
    return [bag.pk for bag in recent if bag.key in told and bag.key not in sticks]


def cutting_undone(bag: ScionBag) -> bool:
    """Whether a record told that this bag was cut, and none of them stands."""
    return bag.key in _told_of_bags() and standing_cut(bag) is None


def just_cut(tree: MotherTree, *, now: datetime) -> ScionBag | None:
    """The bag that was cut from this tree a moment ago, where one was: the same again may be meant, or a finger was heavy."""
    found = ScionBag.objects.filter(tree=tree, cut_at__gt=now - _A_MOMENT, cut_at__lte=now).order_by("-cut_at").first()
    return found if found and standing_cut(found) else None


def standing_cut(bag: ScionBag) -> UUID | None:
    """The record that tells of its cutting, where one stands."""
    own = Event.objects.filter(kind="scions_cut", subjects__key=bag.key).values_list("pk", flat=True)
    return next((ident for ident in own if any(record.id == ident for record in settle(with_corrections(ident)))), None)


def cuts(nursery: Nursery, *, today: date) -> list[tuple[Record, list[str]]]:
    """Cuttings of about a year that stand, as they were corrected, each with its subjects."""
    since = datetime.combine(today, datetime.min.time(), nursery.zone) - _LONGEST_YEAR
    return held("scions_cut", (queries.stamp(), since), lambda: _cuts(since))


def _cuts(since: datetime) -> list[tuple[Record, list[str]]]:
    events = {e.pk: e for e in Event.objects.filter(kind="scions_cut", happened_at__gte=since).prefetch_related("subjects")}
    about = {ident: [subject.key for subject in event.subjects.all()] for ident, event in events.items()}
    newest: set[UUID] = set(events)
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
