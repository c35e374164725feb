"""Outcomes of a plant that two phones, or two people, wrote down differently on one walk: the later holds, and both are told so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from scionary.book.fold import SAME_WALK
from scionary.book.kinds import STAGES
from scionary.book.models import Event, EventSubject
from scionary.book.projection import records_of
from scionary.book.settle import Record, settle
from scionary.language import Words, mark

KINDS_OF_OUTCOMES = ("scored", "lost")
OUTCOMES: Words[tuple[str, str]] = Words(
    {
        ("lost", ""): mark("lost"),
        ("firm", "yes"): mark("firm"),
        ("firm", "no"): mark("not firm"),
        ("growing", "yes"): mark("growing"),
        ("growing", "no"): mark("not growing"),
        ("in_leaf", "yes"): mark("in leaf"),
        ("in_leaf", "no"): mark("not in leaf"),
    }
)


def outcome(kind: str, payload: Mapping[str, Any]) -> tuple[str, str] | None:
    """What it says of the plant's life; None where it says no outcome."""
    said = ("lost", "") if kind == "lost" else (str(payload.get("sign", "")), str(payload.get("answer", "")))
    return said if kind in KINDS_OF_OUTCOMES and said in OUTCOMES else None


def exclude_each_other(one: tuple[str, str], other: tuple[str, str]) -> bool:
    """Whether not both can be: alive and lost; a stage not reached, and it or a later one reached."""
    if one == other:
        return False
    for first, second in ((one, other), (other, one)):
        if second[1] == "yes" and (first[0] == "lost" or (first[1] == "no" and STAGES.index(first[0]) <= STAGES.index(second[0]))):
            return True
    return False


def two_rounds(key: str) -> tuple[Event, list[Event]] | None:
    """The last outcome of a plant, and those by another's hand on the same walk with which it cannot be; None where all agree.

    Not sure, said last, takes back what was said.
    """
    if len(_written(key)) < 2:
        return None
    told = [record for record in settle(records_of([key])[key]) if outcome(record.kind, record.payload) or _unsure(record)]
    walk = [each for each in told if told[-1].happened_at - each.happened_at <= SAME_WALK]
    events = Event.objects.in_bulk([each.id for each in walk])
    last_of = {(events[each.id].device, events[each.id].who): each for each in walk}  # a hand's last tap replaces those before
    others = [events[each.id] for each in last_of.values() if _excludes(walk[-1], each)]
    others = [each for each in others if _by_another(events[walk[-1].id], each)]
    return (events[walk[-1].id], others) if others else None


def _unsure(record: Record) -> bool:
    return record.kind == "scored" and record.payload.get("answer") == "unsure"


def contradicts(keys: Iterable[str], ident: UUID, kind: str, payload: Mapping[str, Any]) -> Event | None:
    """The record of another's hand with which this one, just written, cannot be."""
    if outcome(kind, payload) is None:
        return None
    for last, others in filter(None, map(two_rounds, keys)):
        if ident == last.pk:
            return others[-1]
        if ident in [other.pk for other in others]:
            return last
    return None


def _written(key: str) -> set[tuple[str, str]]:
    """Whose hands wrote outcomes of it: the usual plant is seen by one, and costs one question."""
    found = EventSubject.objects.filter(subject_id=key, event__kind__in=KINDS_OF_OUTCOMES)
    return set(found.order_by().values_list("event__device", "event__who").distinct())


def _excludes(one: Record, other: Record) -> bool:
    first, second = outcome(one.kind, one.payload), outcome(other.kind, other.payload)
    return first is not None and second is not None and exclude_each_other(first, second)


def _by_another(one: Event, other: Event) -> bool:
    """Two phones, or two people with accounts; one person's phone and laptop are one hand."""
    return any(first and second and first != second for first, second in ((one.device, other.device), (one.who, other.who)))


def hand(event: Event) -> str:
    """Whose phone, or who, wrote it."""
    return event.device or event.who


def outcome_words(event: Event) -> str:
    said = outcome(event.kind, event.payload)
    return OUTCOMES[said] if said else ""
