"""Looks at a sign with their dates, and what a sign said before anyone knew the end: a graft keeps only the last answer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from uuid import UUID

import numpy as np

from scionary.answers.outcomes import answered
from scionary.answers.take_facts import all_grafts
from scionary.book.leafless import has_stalk
from scionary.book.locks import chunks
from scionary.book.models import Event, Graft, Nursery
from scionary.book.projection import records_of
from scionary.book.settle import settle

Look = tuple[datetime, UUID, bool]  # moment, event, whether the sign was seen


def score(graft: Graft, sign: str) -> float:
    """1 for a sign that was seen, 0 for one that was not, NaN where nobody scored it, or where the graft cannot show it."""
    if sign == "stalk_drops" and not has_stalk(graft):
        return np.nan
    answer = getattr(graft, sign)
    return 1.0 if answer == "yes" else 0.0 if answer == "no" else np.nan


def looks_at(sign: str) -> Iterable[tuple[Graft, list[Look]]]:
    """Each graft at which a sign was looked for, with its looks in order, as they stand after all corrections."""
    return _by_graft(all_grafts(), _settled(sign))


def looks_among(grafts: Sequence[Graft], sign: str) -> Iterable[tuple[Graft, list[Look]]]:
    """The same for some plants, given all their grafts; only what is written down of these is read."""
    return _by_graft(grafts, _settled_of({f"plant:{graft.plant_id}" for graft in grafts}, sign))


def _by_graft(grafts: Iterable[Graft], looks: Iterable[tuple[UUID, datetime, UUID, bool]]) -> Iterable[tuple[Graft, list[Look]]]:
    by_plant: dict[UUID, list[Graft]] = defaultdict(list)
    for graft in sorted(grafts, key=lambda each: (each.grafted_at, each.pk)):
        by_plant[graft.plant_id].append(graft)
    found: dict[UUID, tuple[Graft, list[Look]]] = {}
    for plant, at, ident, answer in looks:
        owners = by_plant.get(plant)
        if owners:
            owner = next((graft for graft in reversed(owners) if graft.grafted_at <= at), owners[0])
            found.setdefault(owner.pk, (owner, []))[1].append((at, ident, answer))
    return [(graft, sorted(looks)) for graft, looks in found.values()]


def early_score(sign: str, stage: str, nursery: Nursery) -> Callable[[Graft], float]:
    """What a sign said of a graft before the day on which the stage was scored: 1 seen, 0 not, NaN where nobody looked in time."""
    looks = {graft.pk: seen for graft, seen in looks_at(sign)}

    def told(graft: Graft) -> float:
        last, known = score(graft, sign), getattr(graft, f"{stage}_at")
        if np.isnan(last) or known is None or answered(graft, stage, nursery) is None:
            return last
        day, seen = known.astimezone(nursery.zone).date(), looks.get(graft.pk, [])
        in_time = [answer for at, _, answer in seen if at.astimezone(nursery.zone).date() < day]
        if len(in_time) == len(seen):
            return last
        return float(in_time[-1]) if in_time else np.nan

    return told


def _settled(sign: str) -> Iterable[tuple[UUID, datetime, UUID, bool]]:
    """(plant, moment, event, seen) of every look at a sign that stands; only plants with a correction of a score are settled one by one."""
    corrected = _corrected_plants()
    rows = Event.objects.filter(kind="scored", payload__sign=sign, subjects__key__startswith="plant:")
    for key, at, ident, payload in rows.values_list("subjects__key", "happened_at", "id", "payload").iterator():
        if key not in corrected and payload["answer"] != "unsure":
            yield UUID(key[6:]), at, ident, payload["answer"] == "yes"
    yield from _settled_of(corrected, sign)


def _settled_of(plants: Iterable[str], sign: str) -> Iterable[tuple[UUID, datetime, UUID, bool]]:
    for chunk in chunks(sorted(plants)):
        for key, records in records_of(chunk).items():
            for record in settle(records):
                told = record.payload
                if record.kind == "scored" and told["sign"] == sign and told["answer"] != "unsure" and not record.disputed:
                    yield UUID(key[6:]), record.happened_at, record.id, told["answer"] == "yes"


def _corrected_plants() -> set[str]:
    """Keys of plants of which some score may have been corrected."""
    targets = dict(Event.objects.filter(kind="corrected").values_list("id", "target"))
    about: set[str] = set()
    for chunk in chunks(sorted({target for target in targets.values() if target}, key=str)):
        events = Event.objects.filter(id__in=chunk, kind__in=("scored", "corrected"), subjects__key__startswith="plant:")
        about |= set(events.values_list("subjects__key", flat=True))
    return about
