"""Labels that are to be written again before nobody can read them: by what they are written with, and where they hang."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from django.db.models import Q

from scionary.answers.label_media import LIGHTS, Medium, label_media, months_words, unknown_words
from scionary.answers.words import listed, plural, short_day
from scionary.book import queries
from scionary.book.models import Nursery, Plant
from scionary.language import mark, say

_MONTH_DAYS = 30.4


@dataclass(frozen=True)
class Fading:
    """Standing plants whose labels, written with one medium, are to be written again; `first` is when the first begins to fade."""

    medium: Medium
    plants: list[Plant]
    first: date
    why: str
    rests_on: str


def fading_labels(nursery: Nursery, today: date, asked: Callable[[Plant], bool] = lambda plant: True) -> list[Fading]:
    """One group a medium, those that fade first in front; a medium without a life is never among them. `asked` may leave out plants."""
    known = label_media(nursery)
    end = datetime.combine(today + timedelta(days=1), time(), nursery.zone) + timedelta(weeks=known.weeks_before)
    groups = [_fading(medium, nursery, end, (known.weeks_before, known.weeks_source), asked) for medium in known.media if medium.fades]
    return sorted((group for group in groups if group), key=lambda group: (group.first, group.medium.name))


def soon_after_the_first(group: Fading, within: timedelta, nursery: Nursery) -> Fading:
    """The group with those plants alone whose labels begin to fade so soon after the first."""
    until = group.first + within
    plants = [plant for plant in group.plants if (fades_on(plant, group.medium, nursery) or until) <= until]
    return replace(group, plants=plants, why=_why(group.medium, plants, group.first))


def fades_on(plant: Plant, medium: Medium, nursery: Nursery) -> date | None:
    """The day on which the writing on a plant's label begins to fade; None where it does not, or nobody knows."""
    months = medium.months(plant.label_light)
    if months is None or plant.label_written_at is None:
        return None
    return (plant.label_written_at + timedelta(days=months * _MONTH_DAYS)).astimezone(nursery.zone).date()


def label_words(plant: Plant, nursery: Nursery) -> str:
    """What is known of a plant's label: what it is written with, since when, how long it lasts."""
    if not plant.label_medium or plant.label_written_at is None:
        return ""
    known = label_media(nursery)
    written = plant.label_written_at.astimezone(nursery.zone).date()
    hangs = f", {LIGHTS[plant.label_light]}" if plant.label_light else ""
    said = say(
        "Its label is written with {medium}, {written}{hangs}.",
        medium=plant.label_medium,
        written=short_day(written),
        hangs=hangs,
    )
    medium = known.called(plant.label_medium)
    if medium is None:
        return f"{said} {unknown_words(plant.label_medium, known)}"
    until = fades_on(plant, medium, nursery)
    if until is None:
        return say("{said} That does not fade.", said=said)
    guess = "" if plant.label_light else say(" Whether it hangs in sun or shade is not written down; sun is taken.")
    return say(
        "{said} It begins to fade about {until} ({source}).{guess}",
        said=said,
        until=short_day(until),
        source=say(medium.source),
        guess=guess,
    )


def _fading(medium: Medium, nursery: Nursery, end: datetime, before: tuple[float, str], asked: Callable[[Plant], bool]) -> Fading | None:
    weeks, weeks_source = before
    shade = Q(label_light="shade", label_written_at__lt=end - timedelta(days=(medium.months("shade") or 0.0) * _MONTH_DAYS))
    sun = ~Q(label_light="shade") & Q(label_written_at__lt=end - timedelta(days=(medium.months("sun") or 0.0) * _MONTH_DAYS))
    written = Q(label_medium__iexact=medium.name, state__in=queries.STANDING)
    plants = [plant for plant in queries.plants().filter(written & (shade | sun)) if asked(plant)]
    days = {plant.pk: day for plant in plants if (day := fades_on(plant, medium, nursery))}
    if not plants:
        return None
    plants.sort(key=lambda plant: days[plant.pk])
    rests_on = say(
        "{source}; said {time} before ({weeks_source})",
        source=say(medium.source),
        time=plural(int(weeks), "week") if weeks == int(weeks) else say("{weeks:g} weeks", weeks=weeks),
        weeks_source=say(weeks_source),
    )
    return Fading(medium, plants, days[plants[0].pk], _why(medium, plants, days[plants[0].pk]), rests_on)


def _why(medium: Medium, plants: list[Plant], first: date) -> str:
    shaded = [plant for plant in plants if plant.label_light == "shade"]
    unsaid = [plant for plant in plants if not plant.label_light]
    lives = []
    if len(shaded) < len(plants):
        lives.append(say("{months} in the sun", months=months_words(medium.months("sun") or 0.0)))
    if shaded:
        lives.append(say("{months} in the shade", months=months_words(medium.months("shade") or 0.0)))
    told = [
        say(
            "{medium} lasts about {lives}; the first begins to fade about {first}.",
            medium=f"{medium.name[0].upper()}{medium.name[1:]}",
            lives=listed(lives),
            first=short_day(first),
        )
    ]
    if unsaid:
        text = mark("Whether they hang in sun or shade is not written down; sun is taken.")
        if len(plants) == 1:
            text = mark("Whether it hangs in sun or shade is not written down; sun is taken.")
        elif len(unsaid) < len(plants):
            text = mark("Whether {number} of them hang in sun or shade is not written down; sun is taken.")
        told.append(say(text, number=len(unsaid)))
    return " ".join(told)
