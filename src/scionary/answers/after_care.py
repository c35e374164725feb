"""After-care: the dated steps of a dome and of a plant, from the method's data and what was already done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from scionary.answers.growing_year import in_leaf_date
from scionary.book.models import DomeState, Graft, Method, Nursery, Plant
from scionary.units import in_unit

DOME_STEPS = ("check", "water", "vent")
PLANT_STEPS = ("head_back", "untie", "in_leaf")
_GROWING_DAYS = 30  # after hardening, a graft that grows is seen to grow; project default, unsourced
_IN_LEAF_UNSET = {"day": 60, "counted_from": "spring equinox"}  # project default, unsourced
_SOON_DAYS = 3  # a step done up to this many days before its date counts as done


@dataclass(frozen=True)
class CareStep:
    """One dated step: what, when and why; `rests_on` says where the number comes from."""

    step: str
    when: date
    say: str
    why: str
    rests_on: str
    open_pct: float | None = None
    done: bool = False


def dome_steps(method: Method, grafted: date, state: DomeState | None, zone: ZoneInfo) -> list[CareStep]:
    """All dated steps of a dome whose oldest grafts were made on a day, in order; what was done is marked."""
    found = []
    for raw in method.steps():
        if raw["step"] not in DOME_STEPS:
            continue
        for day in _days(raw):
            when = grafted + timedelta(days=day)
            found.append(_care_step(raw, when, method, done=_dome_step_done(raw, when, state, zone)))
    return sorted(found, key=lambda step: step.when)


def plant_steps(method: Method, graft: Graft, plant: Plant, nursery: Nursery) -> list[CareStep]:
    """Dated steps of one plant after healing: head back, untie, see whether it is in leaf."""
    grafted = graft.grafted_at.astimezone(nursery.zone).date()
    done = {"head_back": plant.headed_back_at, "untie": plant.untied_at, "in_leaf": graft.in_leaf_at}
    found = []
    for raw in method.steps():
        step = str(raw["step"])
        if step in PLANT_STEPS:
            when = step_date(raw, grafted, nursery.latitude_deg)
            moment = done[step]
            finished = moment is not None and moment >= graft.grafted_at
            care = _care_step(raw, when, method, done=finished)
            found.append(replace(care, say=in_unit(care.say, nursery.length_unit), why=in_unit(care.why, nursery.length_unit)))
    return found


def step_date(raw: Mapping[str, Any], grafted: date, latitude_deg: float | None) -> date:
    """The first date of a step: so many days after grafting, or after the next spring's equinox where the data says so."""
    if raw.get("counted_from") == "spring equinox":
        return in_leaf_date(grafted, latitude_deg, int(raw["day"]))
    return grafted + timedelta(days=int(raw["day"]))


def stage_date(stage: str, method: Method | None, grafted: date, latitude_deg: float | None) -> date:
    """When a graft is expected to show whether it reached a stage; before that, losses alone would bias a rate."""
    if stage == "in_leaf":
        raws = [raw for raw in method.steps() if raw["step"] == "in_leaf"] if method else []
        return step_date(raws[0] if raws else _IN_LEAF_UNSET, grafted, latitude_deg)
    closed, hardening = (method.closed_days, method.hardening_days) if method else (31, 14)
    return grafted + timedelta(days=closed if stage == "firm" else closed + hardening + _GROWING_DAYS)


def next_of_each(steps: Iterable[CareStep]) -> tuple[list[CareStep], list[CareStep]]:
    """The first step of each kind, and all the others, both in the order given."""
    first: dict[str, CareStep] = {}
    later = [step for step in steps if first.setdefault(step.step, step) is not step]
    return list(first.values()), later


def due_steps(steps: Iterable[CareStep], today: date) -> list[CareStep]:
    """Of each kind the latest step that is due, when it is not done: an older one is overtaken by it."""
    latest: dict[str, CareStep] = {}
    for step in steps:
        if step.when <= today:
            latest[step.step] = step
    return sorted((step for step in latest.values() if not step.done), key=lambda step: step.when)


def _days(raw: dict[str, Any]) -> range | list[int]:
    first, every = int(raw["day"]), raw.get("every")
    return range(first, int(raw.get("until") or first) + 1, int(every)) if every else [first]


def _care_step(raw: dict[str, Any], when: date, method: Method, *, done: bool) -> CareStep:
    counted_from = f"{raw['day']} days after the {raw['counted_from']}" if raw.get("counted_from") else f"day {raw['day']}"
    rests_on = f"{counted_from}, {method.name}; {raw['source']}"
    return CareStep(str(raw["step"]), when, str(raw["say"]), str(raw["why"]), rests_on, raw.get("open_pct"), done)


def _dome_step_done(raw: dict[str, Any], when: date, state: DomeState | None, zone: ZoneInfo) -> bool:
    if state is None:
        return False
    if raw["step"] == "vent":
        set_since = _on_or_after(state.vented_at, when - timedelta(days=30), zone)
        return set_since and state.vent_pct is not None and state.vent_pct >= float(raw["open_pct"])
    moment = state.watered_at if raw["step"] == "water" else state.seen_at
    return _on_or_after(moment, when - timedelta(days=_SOON_DAYS), zone)


def _on_or_after(moment: datetime | None, day: date, zone: ZoneInfo) -> bool:
    return moment is not None and moment.astimezone(zone).date() >= day
