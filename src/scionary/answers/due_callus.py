"""What is due by a dome's callus clock: a first look at its unions. It asks for a look and never opens anything."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from uuid import UUID

import numpy as np
from django.db.models import Max, Sum

from scionary.answers.air_callus import healing_clock
from scionary.answers.domes import DomeAnswer
from scionary.answers.due_lines import DueLine
from scionary.answers.held import held
from scionary.answers.put_off import SetAsides
from scionary.answers.words import weekday_date, weekday_soon
from scionary.book.models import Nursery, Sensor, SensorDay
from scionary.book.one_page import once
from scionary.dome import CallusClock
from scionary.language import say

_AHEAD_DAYS = 7


def look_lines(domes: Sequence[DomeAnswer], asides: SetAsides, nursery: Nursery, today: date) -> list[DueLine]:
    """Domes at whose unions a first look is worth while by now, and nobody has looked."""
    lines = [line for answer in domes if (line := _line(answer, nursery, today)) and line.when <= today]
    return [line for line in lines if line.dome and not asides.hides(line.dome.key, "look", line.when, today)]


def coming_looks(domes: Sequence[DomeAnswer], nursery: Nursery, today: date) -> list[DueLine]:
    """The first looks of the coming week."""
    limit = today + timedelta(days=_AHEAD_DAYS)
    return [line for answer in domes if (line := _line(answer, nursery, today)) and today < line.when <= limit]


def _line(answer: DomeAnswer, nursery: Nursery, today: date) -> DueLine | None:
    """The first look by the clock, where the method's own date for it lies later and is not done."""
    firm = next((step for step in answer.steps if step.step == "firm"), None)
    if answer.grafted is None or not answer.standing or firm is None or firm.done or firm.when <= today:
        return None
    clock = _clock(answer, nursery, today)
    if clock is None or np.isnan(clock.check_s):
        return None
    when = datetime.fromtimestamp(clock.check_s, nursery.zone).date()
    if when >= firm.when:
        return None
    words = {"dome": answer.dome.name, "day": weekday_soon(when)}
    what = say("{dome}: a first look at its unions is worth while from about {day}", **words)
    why = say(
        "{between} By the method it is {day}. Look, and leave it closed: warmth alone says nothing of a union.",
        between=_between(clock, nursery),
        day=weekday_date(firm.when),
    )
    rests_on = say("the callus clock of this dome's log, an assumption that its page shows")
    return DueLine("look", what, why, when, max((today - when).days, 0), rests_on, dome=answer.dome)


def _between(clock: CallusClock, nursery: Nursery) -> str:
    days = [
        weekday_date(datetime.fromtimestamp(at, nursery.zone).date()) if np.isfinite(at) else say("not foreseen")
        for at in (clock.check_earliest_s, clock.check_latest_s)
    ]
    return say("Between {earliest} and {latest}.", earliest=days[0], latest=days[1])


def _clock(answer: DomeAnswer, nursery: Nursery, today: date) -> CallusClock | None:
    sensor = once("the sensor of each dome", _sensors).get(answer.dome.pk)
    if sensor is None:
        return None
    written = SensorDay.objects.filter(sensor=sensor).aggregate(rows=Sum("count"), last=Max("day"))
    end = datetime.combine(today + timedelta(days=1), time(), nursery.zone)
    content = (sensor.pk, answer.grafted, today, *written.values())
    return held(f"dome_callus {answer.dome.pk}", content, lambda: healing_clock(sensor, answer.grafted, nursery, end=end))


def _sensors() -> dict[UUID, Sensor]:
    """The first of each dome by its name."""
    listed = Sensor.objects.filter(dome__isnull=False, retired=False).order_by("-name")
    return {sensor.dome_id: sensor for sensor in listed if sensor.dome_id}
