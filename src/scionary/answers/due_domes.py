"""What is due for domes: dated steps, the air, and what could be grafted again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from scionary.answers.after_care import CareStep, due_steps
from scionary.answers.air import air_of_dome
from scionary.answers.domes import DomeAnswer, Pot
from scionary.answers.due_lines import DueLine
from scionary.answers.put_off import SetAsides
from scionary.answers.wait_advice import graft_again
from scionary.answers.words import day_soon, day_words, listed
from scionary.book import queries
from scionary.book.models import Nursery, Plant, Sensor
from scionary.language import say

_AHEAD_DAYS = 7
_LOG_DAYS = 3.0
_STALE_LOOK_DAYS = 14  # a weekly look or watering that is overdue by more is past; the later steps ask for themselves
_SILENT_DAYS = 30
_SEVERAL = 2  # plants better grafted again, before Due says so
STALE_DAYS = 365  # a step that is overdue by more was done and not written down, or no longer matters; project default
_again: dict[UUID, tuple[list[Pot], date, tuple[list[Plant], date | None]]] = {}


def dome_lines(answer: DomeAnswer, asides: SetAsides, today: date) -> list[DueLine]:
    """The steps that are due; where all are long overdue, one line that asks how the dome stands."""
    steps = [step for step in due_steps(answer.steps, today) if not asides.hides(answer.dome.key, step.step, step.when, today)]
    fresh = [step for step in steps if (today - step.when).days <= (_STALE_LOOK_DAYS if step.step in ("check", "water") else STALE_DAYS)]
    if steps and all((today - step.when).days > _SILENT_DAYS for step in steps):
        last = max(step.when for step in steps)
        if _looked_at(answer, today - timedelta(days=_SILENT_DAYS)):
            return []
        what = say("{name}: write down how it stands", name=answer.dome.name)
        why = say("Its last date was {day}. Walk the round; or move the plants out, if they are out.", day=day_words(last))
        return [DueLine("check", what, why, last, (today - last).days, say("dates of after-care"), dome=answer.dome)]
    return [_dome_line(answer, step, today) for step in fresh]


def _looked_at(answer: DomeAnswer, since: date) -> bool:
    """Whether anything was written down about a dome or its plants since a day."""
    state = answer.state
    moments = [state.seen_at, state.vented_at, state.watered_at, state.treated_at] if state else []
    moments += [pot.plant.seen_at for pot in answer.pots if pot.plant]
    zone = queries.nursery().zone
    return any(moment is not None and moment.astimezone(zone).date() >= since for moment in moments)


def ahead_lines(answer: DomeAnswer, today: date, days: int = _AHEAD_DAYS) -> list[DueLine]:
    """The steps of the coming days."""
    limit = today + timedelta(days=days)
    waits = {step.step for step in due_steps(answer.steps, today) if step.step == "vent"}  # the next vents wait for this one
    return [
        _dome_line(answer, step, today) for step in answer.steps if today < step.when <= limit and not step.done and step.step not in waits
    ]


def _dome_line(answer: DomeAnswer, step: CareStep, today: date) -> DueLine:
    event: tuple[str, dict[str, Any]] | None = None
    if step.step == "water":
        event = ("watered", {})
    elif step.step == "vent":
        event = ("vented", {"open_pct": float(step.open_pct or 0)})
    what = f"{answer.dome.name}: {step.say[0].lower()}{step.say[1:]}"
    day = (max(step.when, today) - answer.grafted).days if answer.grafted else None
    why = say("{why} Day {day} since grafting.", why=step.why, day=day) if day is not None else step.why
    late = max((today - step.when).days, 0)
    return DueLine(step.step, what, why, step.when, late, step.rests_on, dome=answer.dome, event=event, cover_off=step.cover_off)


def air_lines(domes: Sequence[DomeAnswer], asides: SetAsides, nursery: Nursery, today: date) -> list[DueLine]:
    """Domes that were too hot or too dry in the last days of their logs."""
    measured = set(Sensor.objects.filter(dome__in=[answer.dome.pk for answer in domes]).values_list("dome_id", flat=True))
    found = [_air_line(answer, asides, nursery, today) for answer in domes if answer.dome.pk in measured]
    return [line for line in found if line]


def _air_line(answer: DomeAnswer, asides: SetAsides, nursery: Nursery, today: date) -> DueLine | None:
    """A dome that was too hot or too dry in the last days of its log, if the log reaches that far."""
    end = datetime.combine(today + timedelta(days=1), time(), nursery.zone)
    air = air_of_dome(answer.dome, nursery, end=end, days=_LOG_DAYS)
    if air is None or air.report is None or (end - air.end).days > _LOG_DAYS:
        return None
    bad = [e for e in air.episodes if e.kind in ("heat", "dry") and not asides.hides(answer.dome.key, "air", e.begin, today)]
    if not bad:
        return None
    hot = [e for e in bad if e.kind == "heat"]
    told = (hot or bad)[-1]  # the reason is that of the act
    what = (
        say("{name}: put the shade on", name=answer.dome.name)
        if hot
        else say("{name}: look at the water and the cover's edge", name=answer.dome.name)
    )
    rests_on = say("sensor {name}, last {log_days:.0f} days; limits are assumptions", name=air.sensor.name, log_days=_LOG_DAYS)
    return DueLine("air", what, f"{told.sentence}.", told.begin.date(), 0, rests_on, dome=answer.dome)


def again_lines(domes: Sequence[DomeAnswer], asides: SetAsides, today: date) -> list[DueLine]:
    """One line, when several plants in the domes are likely lost and there is still time to graft them again."""
    found = [_again_in(answer, today) for answer in domes]
    lost = [plant for plants, _ in found for plant in plants if not asides.hides(plant.key, "again", _grafted(plant), today)]
    ends = [until for plants, until in found if plants and until is not None]
    if len(lost) < _SEVERAL or not ends:
        return []
    until = min(ends)
    what = say("{lost} plants are likely lost and could be grafted again until {day}", lost=len(lost), day=day_soon(until))
    why = say(
        "{plants}: waiting is worth less than a new graft. Look at each before you cut.", plants=listed([p.spoken for p in lost], most=4)
    )
    rests_on = say("each plant's chance, its worth and the price of its place, as its page tells")
    return [DueLine("again", what, why, today, 0, rests_on).of(lost)]


def _grafted(plant: Plant) -> datetime:
    return list(plant.grafts.all())[-1].grafted_at


def _again_in(answer: DomeAnswer, today: date) -> tuple[list[Plant], date | None]:
    """The plants of a dome that are better grafted again; held as long as the dome itself is held."""
    held = _again.get(answer.dome.pk)
    if held is not None and held[0] is answer.pots and held[1] == today:
        return held[2]
    found = graft_again((pot.plant for pot in answer.pots if pot.plant), today=today)
    _again[answer.dome.pk] = (answer.pots, today, found)
    return found
