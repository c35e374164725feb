"""Which plants stood in a dome during a stretch of its air, and how old their unions were then."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from scionary.answers.words import listed, plural
from scionary.book import queries
from scionary.book.models import Dome, Event, EventSubject, Graft, Plant
from scionary.book.projection import records_of
from scionary.book.settle import Record, settle
from scionary.language import say

_GRAFTS = ("grafted", "regrafted")
_GONE = (Plant.State.DEAD, Plant.State.LEFT)
_DAY_S = 86400.0
_LONGEST = timedelta(days=400)  # project default, unsourced: nothing stays longer under a cover to heal


@dataclass(frozen=True)
class Stay:
    """A plant in the dome from `begin` to `end` (None: it stands there still), and when it was grafted, in order."""

    plant: Plant
    begin: datetime
    end: datetime | None
    grafted: tuple[datetime, ...]

    def age_days(self, moment: datetime) -> int | None:
        """Days since the last graft before the moment; None where there was none."""
        before = [graft for graft in self.grafted if graft <= moment]
        return int((moment - before[-1]).total_seconds() // _DAY_S) if before else None


@dataclass(frozen=True)
class Stood:
    """The plants that stood in a dome during one stretch, each with the age of its union in days at the begin."""

    plants: tuple[Plant, ...]
    ages: tuple[int, ...]

    @property
    def words(self) -> str:
        """12 plants stood there, unions 9 to 14 days old."""
        if not self.plants:
            return say("Nothing stood there.")
        who = say("{plants} stood there", plants=plural(len(self.plants), "plant"))
        if not self.ages:
            return f"{who}."
        young, old = min(self.ages), max(self.ages)
        age = plural(old, "day") if young == old else say("{young} to {old} days", young=young, old=old)
        return say("{who}, unions {age} old.", who=who, age=age)

    @property
    def names(self) -> str:
        return listed([plant.spoken for plant in self.plants])

    def to_dict(self) -> dict[str, Any]:
        return {"plants": [plant.spoken for plant in self.plants], "union_ages_days": list(self.ages)}


def stays_in(dome: Dome, begin: datetime, end: datetime) -> list[Stay]:
    """The stays in the dome of plants that came into it not long before `begin` or until `end`, by the events that stand."""
    plants = {plant.key: plant for plant in queries.plants().filter(pk__in=_ever_in(dome, begin - _LONGEST, end))}
    records = records_of(list(plants))
    return [stay for key, plant in plants.items() for stay in _of_plant(plant, settle(records[key]), dome)]


def stood_during(stays: Sequence[Stay], begin: datetime, end: datetime) -> Stood:
    """Who of them stood there at any time between two moments; grafts made later than the end are none of them."""
    here = {stay.plant.pk: stay for stay in stays if stay.begin <= end and (stay.end is None or stay.end > begin)}
    kept = sorted(here.values(), key=lambda stay: (stay.plant.place or 0, str(stay.plant.pk)))
    ages = [stay.age_days(max(begin, stay.begin)) for stay in kept]
    return Stood(tuple(stay.plant for stay in kept), tuple(age for age in ages if age is not None))


def _ever_in(dome: Dome, since: datetime, until: datetime) -> set[UUID]:
    """Plants that a graft, a move or the correction of a move set into the dome then, also when that was undone."""
    text, then = str(dome.pk), (since, until)
    grafted = set(Graft.objects.filter(dome=dome, grafted_at__range=then).values_list("plant_id", flat=True))
    moved = Event.objects.filter(kind="moved", happened_at__range=then, payload__dome=text).values_list("id", flat=True)
    corrected = Event.objects.filter(kind="corrected", recorded_at__gte=since, payload__replace__dome=text).values_list("target", flat=True)
    links = EventSubject.objects.filter(event__in=[*moved, *corrected]).values_list("subject_id", flat=True)
    now = set(Plant.objects.filter(dome=dome).values_list("pk", flat=True))
    return grafted | now | {UUID(key.removeprefix("plant:")) for key in links if key.startswith("plant:")}


def _of_plant(plant: Plant, settled: Iterable[Record], dome: Dome) -> Iterable[Stay]:
    events = list(settled)
    grafted = tuple(event.happened_at for event in events if event.kind in _GRAFTS)
    for place, begin, end in queries.stays(events):
        if str(place) != str(dome.pk):
            continue
        until = plant.state_since if end is None and plant.state in _GONE else end
        yield Stay(plant, begin, until, grafted)


def stood_by_stretch(dome: Dome | None, stretches: Sequence[tuple[datetime, datetime]]) -> Mapping[int, Stood]:
    """For each stretch, by its place in the list, who stood there; empty without a dome."""
    if dome is None or not stretches:
        return {}
    stays = stays_in(dome, min(begin for begin, _ in stretches), max(end for _, end in stretches))
    return {number: stood_during(stays, begin, end) for number, (begin, end) in enumerate(stretches)}
