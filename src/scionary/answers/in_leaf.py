"""Whether a name can have been seen to be right in leaf on a day: one rule for the page, the terminal, several at once and a sale.

A lost plant shows no leaf, and a scion none of its own for three weeks. Outside the leaf season the day is said, not taken to be today.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from scionary.answers.growing_year import in_leaf_season
from scionary.answers.outcomes import EARLY_DAYS, graft_day
from scionary.answers.putting_right import PutRight, write_right
from scionary.answers.words import listed, short_day
from scionary.book import queries
from scionary.book.locks import gate
from scionary.book.models import Event, Graft, Nursery, Plant
from scionary.book.patience import patiently
from scionary.book.record import FUTURE_ALLOWANCE
from scionary.errors import Refused
from scionary.language import mark, say

_REMEDY = mark(
    "Leave it out, or give the day on which you saw it in leaf. A wrong name that you know of without "
    "leaves: correct the graft in its story."
)


@dataclass(frozen=True)
class Confirmed(PutRight):
    """What was written, and what must be said beside it of leaves."""

    told: list[str] = field(default_factory=list)

    @property
    def flags(self) -> list[str]:
        return [*self.told, *super().flags]


@patiently
def confirm_right(
    plants: Sequence[Plant],
    payload: Mapping[str, Any],
    nursery: Nursery,
    *,
    happened_at: datetime,
    now: datetime,
    event_id: UUID,
    **given: Any,
) -> Confirmed:
    """Write of each plant that its name was seen to be right on the day that a person named, where it had a leaf to tell it by."""
    with transaction.atomic():
        gate(alone=True)
        again = Event.objects.filter(pk=event_id).exists()
        told = [] if again else check_leaf(plants, happened_at, nursery, now=now, day_said=True)
        idents = [plant.pk for plant in plants]
        done = write_right("name_confirmed", idents, payload, happened_at=happened_at, now=now, event_id=event_id, **given)
        return Confirmed(done.answers, done.words, [*told, *still_unsure(idents)])


def check_leaf(plants: Sequence[Plant], moment: datetime, nursery: Nursery, *, now: datetime, day_said: bool) -> list[str]:
    """What must be said beside a confirmation on that day; refused where one of these plants had no leaf to tell its name by."""
    day = moment.astimezone(nursery.zone).date()
    if moment > now + FUTURE_ALLOWANCE:
        raise Refused(
            say("{day} is still to come.", day=short_day(day)),
            where=say("names in leaf"),
            remedy=say("Give the day on which you saw it in leaf."),
        )
    leafless = not in_leaf_season(day, nursery.latitude_deg)
    if leafless and not day_said:
        raise Refused(
            say("trees do not stand in leaf now."), where=say("names in leaf"), remedy=say("Say on which day you saw it in leaf.")
        )
    if reasons := [why for plant in plants if (why := no_leaf(plant, moment, nursery))]:
        raise Refused(f"{listed(reasons, most=3)}.", where=say("names in leaf"), remedy=say(_REMEDY))
    told = [say("trees do not stand in leaf on {day}", day=short_day(day))] if leafless else []
    return told + _of_those_gone(plants, moment) + _never_seen(plants, day, nursery)


def still_unsure(plants: Sequence[UUID]) -> list[str]:
    """What must be said once it is written, where a name was inferred or doubted after the day that was given."""
    sure = Q(name_status=Plant.NameStatus.CONFIRMED, name_doubted_at=None)
    unsure = [plant.spoken for plant in queries.plants().filter(pk__in=plants).exclude(sure)]
    return (
        [say("{unsure}: inferred, doubted or grafted again after that day, so the name stays as it was", unsure=listed(unsure))]
        if unsure
        else []
    )


def no_leaf(plant: Plant, moment: datetime, nursery: Nursery) -> str:
    """Why this plant had no leaf to tell its name by on that day; empty where it may have had one."""
    day = moment.astimezone(nursery.zone).date()
    since = plant.state_since.astimezone(nursery.zone).date() if plant.state_since else day
    if plant.state == Plant.State.DEAD and since <= day:
        return say("{plant} was recorded as lost on {day}", plant=plant.spoken, day=short_day(since))
    graft = _graft_on(plant, day, nursery)
    if graft is None or (graft.precision == "day" and (day - graft_day(graft, nursery)).days < EARLY_DAYS):
        grafted = graft_day(graft or next(iter(plant.grafts.all())), nursery)
        return say(
            "{plant} was grafted on {grafted}: no leaf of that graft tells its name by {day}",
            plant=plant.spoken,
            grafted=short_day(grafted),
            day=short_day(day),
        )
    if not in_leaf_season(day, nursery.latitude_deg) and not _seen_growing(graft, day, nursery):
        return say(
            "{plant} was never written down as growing or in leaf by {day}, when trees stand bare",
            plant=plant.spoken,
            day=short_day(day),
        )
    return ""


def _graft_on(plant: Plant, day: date, nursery: Nursery) -> Graft | None:
    """The graft that stood on the plant on that day; one of which only the month or year is known may be that much older."""
    made = [graft for graft in plant.grafts.all() if graft.precision != "day" or graft_day(graft, nursery) <= day]
    return made[-1] if made else None


def _seen_growing(graft: Graft, day: date, nursery: Nursery) -> bool:
    seen = [moment for stage in ("growing", "in_leaf") if getattr(graft, stage) == "yes" and (moment := getattr(graft, f"{stage}_at"))]
    return any(moment.astimezone(nursery.zone).date() <= day for moment in seen)


def _never_seen(plants: Iterable[Plant], day: date, nursery: Nursery) -> list[str]:
    unseen = [plant.spoken for plant in plants if (graft := _graft_on(plant, day, nursery)) and not _seen_growing(graft, day, nursery)]
    return [say("{unseen}: never written down as growing or in leaf by that day", unseen=listed(unseen))] if unseen else []


def _of_those_gone(plants: Iterable[Plant], moment: datetime) -> list[str]:
    gone = [plant.spoken for plant in plants if plant.state == Plant.State.LEFT and plant.state_since and plant.state_since <= moment]
    return [say("{gone}: no longer here on that day, so this is a later word on the name", gone=listed(gone))] if gone else []
