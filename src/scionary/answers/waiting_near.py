"""In a large book: the plants that wait beside those which a page asks for, read without the rest of the book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from threading import Lock
from uuid import UUID

from django.db.models import Q

from scionary.answers.bud_looks import bud_looks_among
from scionary.answers.outcomes import graft_day
from scionary.answers.take_facts import filling_begins, with_nouns
from scionary.answers.waiting_plants import AllAwaited, Awaited, among
from scionary.book import queries
from scionary.book.locks import chunks
from scionary.book.models import Graft, Nursery, Plant


@dataclass
class NearAwaited:
    """Plants by what they share with others, each group whole as soon as one of its plants was asked for."""

    read: dict[str, Sequence[Awaited]] = field(default_factory=dict)
    own: dict[UUID, str] = field(default_factory=dict)
    asked: set[UUID] = field(default_factory=set)
    lock: Lock = field(default_factory=Lock)

    def groups_of(self, plants: Iterable[UUID]) -> dict[UUID, str]:
        """The group of each of these plants that waits."""
        wanted = set(plants)
        with self.lock:
            if new := wanted - self.asked:
                found = _beside(new)
                self.read |= found.groups
                self.own |= found.own
                self.asked |= new | set(found.own)
        return {plant: self.own[plant] for plant in wanted if plant in self.own}

    def without(self, plants: Iterable[UUID]) -> NearAwaited:
        """What is held of all groups but those that these plants are in, were in, or have come into."""
        touched = set(plants)
        with self.lock:
            dropped = {self.own[plant] for plant in touched if plant in self.own} | _groups_touched(touched, self.read)
            read = {group: members for group, members in self.read.items() if group not in dropped}
            own = {plant: group for plant, group in self.own.items() if group not in dropped}
            gone = touched | (set(self.own) - set(own))
            return NearAwaited(read, own, self.asked - gone)

    def members(self, group: str | None) -> Sequence[Awaited]:
        """All that wait in a group that was asked for, in a fixed order."""
        return self.read.get(group or "", [])


def _groups_touched(plants: set[UUID], groups: Iterable[str]) -> set[str]:
    """Of these groups all that a graft of these plants may belong to: fillings of its dome, its day, and every season."""
    domes: set[str] = set()
    days: set[str] = set()
    zone = queries.nursery().zone
    for chunk in chunks(plants):
        for dome, at in Graft.objects.filter(plant__in=chunk).values_list("dome_id", "grafted_at"):
            domes.add(str(dome))
            days.add(at.astimezone(zone).date().isoformat())
    return {group for group in groups if group.split(":")[0] in domes or group in days or (":" not in group and "-" not in group)}


def _beside(plants: Iterable[UUID]) -> AllAwaited:
    """The groups of these plants, whole: who healed in a dome with them, or was grafted on their day, or in their season."""
    nursery = queries.nursery()
    begun = with_nouns([graft for chunk in chunks(plants) for graft in Graft.objects.filter(plant__in=chunk)])
    standing = set(plants).intersection(_standing(Q(pk__in=[graft.plant_id for graft in begun])))
    standing |= set(_standing(_kin(begun, nursery)))
    grafts = with_nouns([graft for chunk in chunks(standing) for graft in Graft.objects.filter(plant__in=chunk)])
    found = among(standing, grafts, _fillings(grafts, nursery), bud_looks_among(grafts), nursery)
    kept = {found.own[plant] for plant in plants if plant in found.own}
    return AllAwaited(
        {group: members for group, members in found.groups.items() if group in kept},
        {plant: group for plant, group in found.own.items() if group in kept},
    )


def _standing(chosen: Q) -> Iterable[UUID]:
    return Plant.objects.filter(chosen, state__in=queries.STANDING).values_list("pk", flat=True).distinct()


def _kin(grafts: Sequence[Graft], nursery: Nursery) -> Q:
    """Plants with a graft that healed in one of the same domes, or of which no dome is known and which is of about the same day."""
    chosen = Q(grafts__dome__in={graft.dome_id for graft in grafts if graft.dome_id})
    loose = [graft for graft in grafts if not graft.dome_id or graft.precision != "day"]
    days = {graft_day(graft, nursery) for graft in loose if graft.precision == "day"}
    for day in days:
        begin = datetime.combine(day, time(), nursery.zone)
        chosen |= Q(grafts__dome=None, grafts__grafted_at__gte=begin, grafts__grafted_at__lt=begin + timedelta(days=1))
    if any(graft.precision != "day" for graft in loose):
        chosen |= ~Q(grafts__precision="day")
    return chosen


def _fillings(grafts: Sequence[Graft], nursery: Nursery) -> Mapping[UUID, tuple[str, str]]:
    """The filling of each graft; for where a filling begins all grafts of its dome count, those of other plants too."""
    healed = [graft for graft in grafts if graft.dome_id and graft.precision == "day"]
    domes = {graft.dome_id for graft in healed}
    moments = Graft.objects.filter(dome__in=domes, precision="day").values_list("dome_id", "grafted_at")
    begins = filling_begins((dome, at.astimezone(nursery.zone).date()) for dome, at in moments if dome)
    found = {}
    for graft in healed:
        assert graft.dome_id is not None
        found[graft.pk] = (f"{graft.dome_id}:{begins[graft.dome_id, graft_day(graft, nursery)]}", "")
    return found
