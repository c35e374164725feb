"""Names to confirm in leaf: plants that stand in leaf and whose name was only inferred, is in doubt, or was never looked at.

Trees stand in leaf between the equinoxes, a month late (`growing_year`); a plant counts from the spring in which it was seen in leaf.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from itertools import groupby
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from scionary.answers.growing_year import growing_year, in_leaf_season, leafing_date
from scionary.answers.in_leaf import Confirmed, check_leaf, still_unsure
from scionary.answers.outcomes import answered
from scionary.answers.set_apart import apart_sources
from scionary.answers.words import plural, short_day
from scionary.book import queries
from scionary.book.commands import write_many
from scionary.book.locks import gate
from scionary.book.models import Event, Nursery, Plant
from scionary.book.patience import patiently
from scionary.book.record import Answer
from scionary.language import say
from scionary.names import traits_words

_UNSURE = ~Q(name_status=Plant.NameStatus.CONFIRMED) | Q(name_doubted_at__isnull=False)


@dataclass(frozen=True)
class LeafPlant:
    """A plant whose name is to be confirmed, why, and when it was first seen in leaf."""

    plant: Plant
    why: str
    seen: date | None
    pressing: bool  # this is its first season in leaf, or its name is in doubt or inferred


@dataclass(frozen=True)
class LeafGroup:
    """The plants of one cultivar at one place, with what the cultivar looks like."""

    place: str
    cultivar: str
    looks: str
    plants: tuple[LeafPlant, ...]


@dataclass(frozen=True)
class LeafNames:
    """What can be confirmed now; `in_season` says whether trees stand in leaf at all."""

    in_season: bool
    since: date
    groups: tuple[LeafGroup, ...]
    sentence: str
    why: str = field(default="")

    @property
    def plants(self) -> list[LeafPlant]:
        return [each for group in self.groups for each in group.plants]

    def to_dict(self) -> dict[str, Any]:
        groups = [
            {
                "place": group.place,
                "cultivar": group.cultivar,
                "looks": group.looks,
                "plants": [{"name": each.plant.spoken, "why": each.why, "seen_in_leaf": each.seen} for each in group.plants],
            }
            for group in self.groups
        ]
        return {"in_season": self.in_season, "sentence": self.sentence, "why": self.why, "groups": groups}


def leaf_names(*, today: date) -> LeafNames:
    """Plants seen in leaf whose name is not confirmed, by place and cultivar."""
    nursery = queries.nursery()
    since = leafing_date(today, nursery.latitude_deg)
    found = _with_sources([each for plant in _unconfirmed() if (each := _leaf_plant(plant, today, nursery)) is not None])
    found.sort(key=lambda each: (*_where_and_what(each), each.plant.running_number or 0))
    groups = tuple(_group(*key, list(members)) for key, members in groupby(found, key=_where_and_what))
    in_season = in_leaf_season(today, nursery.latitude_deg)
    return LeafNames(in_season, since, groups, *_said(len(found), in_season, since))


@patiently
def confirm_names(
    plants: Sequence[UUID], *, happened_at: datetime, now: datetime, event_id: UUID, note: str = "", who: str = "", day_said: bool = False
) -> Confirmed:
    """Write that the names of these plants were seen to be right in leaf: one event about all of them.

    `day_said` tells that a person named the day; outside the leaf season it is refused without (`check_leaf`).
    """
    with transaction.atomic():
        gate(alone=True)
        if Event.objects.filter(pk=event_id).exists():
            return Confirmed([Answer(event_id, "repeated")])
        keys = tuple(f"plant:{ident}" for ident in dict.fromkeys(plants))
        told = check_leaf(list(queries.plants().filter(pk__in=plants)), happened_at, queries.nursery(), now=now, day_said=day_said)
        payload = {"note": note} if note else {}
        answers = write_many([("name_confirmed", keys, payload)], happened_at=happened_at, now=now, event_id=event_id, who=who)
        return Confirmed(answers, told=[*told, *still_unsure(plants)])


def _unconfirmed() -> list[Plant]:
    return list(queries.plants().filter(_UNSURE, state__in=queries.STANDING, grafts__in_leaf="yes").distinct())


def _leaf_plant(plant: Plant, today: date, nursery: Nursery) -> LeafPlant | None:
    """The plant, where its last graft was seen in leaf when that could be told."""
    graft = list(plant.grafts.all())[-1]
    if not answered(graft, "in_leaf", nursery):
        return None
    seen = graft.in_leaf_at.astimezone(nursery.zone).date() if graft.in_leaf_at else None
    first = seen is not None and growing_year(seen, nursery.latitude_deg) == growing_year(today, nursery.latitude_deg)
    return LeafPlant(plant, plant.name_caution or say("never confirmed in leaf"), seen, first or bool(plant.name_caution))


def _with_sources(found: Sequence[LeafPlant]) -> list[LeafPlant]:
    """The same; of wood that is set apart or in doubt that is said, and it presses."""
    doubts = apart_sources([each.plant for each in found])
    return [replace(each, why=f"{each.why}; {doubts[each.plant.pk]}", pressing=True) if each.plant.pk in doubts else each for each in found]


def _where_and_what(each: LeafPlant) -> tuple[str, str]:
    return _place(each.plant), str(each.plant.cultivar or "Unnamed")


def _group(place: str, cultivar: str, members: Sequence[LeafPlant]) -> LeafGroup:
    return LeafGroup(place, cultivar, _looks(members[0].plant), tuple(members))


def _place(plant: Plant) -> str:
    return plant.dome.name if plant.dome else plant.stands or say("Place not written down")


def _looks(plant: Plant) -> str:
    return traits_words(plant.cultivar.traits) if plant.cultivar else ""


def _said(count: int, in_season: bool, since: date) -> tuple[str, str]:
    if not count:
        return say("Every plant that was seen in leaf has its name confirmed."), ""
    if not in_season:
        return say(
            "{names} to confirm, once trees stand in leaf again: about {day_words}.",
            names=plural(count, "name"),
            day_words=short_day(since),
        ), ""
    return say("{names} to confirm while the leaves are there.", names=plural(count, "name")), say(
        "Hold each plant beside what its cultivar looks like."
    )
