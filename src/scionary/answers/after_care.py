"""After-care: the dated steps of a dome and of a plant, from the method's data and what was already done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from scionary.answers.growing_year import in_leaf_date
from scionary.book.models import DomeState, Graft, Method, Nursery, Plant
from scionary.language import mark, say
from scionary.units import in_unit

DOME_STEPS = ("check", "firm", "water", "vent")
PLANT_STEPS = ("head_back", "untie", "in_leaf", "pot_on")
DONE_AT = {"head_back": "headed_back_at", "untie": "untied_at", "pot_on": "potted_on_at"}  # a plant's column that says so
_GROWING_DAYS = 30  # after hardening, a graft that grows is seen to grow; project default, unsourced
_IN_LEAF_UNSET = {"day": 60, "counted_from": mark("spring equinox")}  # project default, unsourced
_SOON = timedelta(days=3)  # a step done up to this long before its date counts as done


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
    cover_off: bool = False


def dome_steps(
    method: Method, grafted: date, state: DomeState | None, zone: ZoneInfo, *, checked: date | None = None, common_only: bool = False
) -> list[CareStep]:
    """All dated steps of a dome whose oldest grafts were made on a day, in order; what was done is marked.

    `checked` is the day since which every graft here was scored firm, not firm or not sure. `common_only` leaves out what
    belongs to a picked practice: nobody said which method this is.
    """
    raws = [raw for raw in method.steps() if raw["step"] in DOME_STEPS and not (common_only and raw.get("practice"))]
    dated = sorted(((grafted + timedelta(days=day), raw) for raw in raws for day in _days(raw)), key=lambda pair: pair[0])
    behind = _behind(dated, state, zone)
    found: list[CareStep] = []
    before: dict[object, date] = {}
    for planned, raw in dated:
        when = planned + behind if raw["step"] == "vent" else planned
        done = checked is not None and checked >= when - _SOON if raw["step"] == "firm" else _dome_step_done(raw, when, state, zone)
        if raw["step"] in ("check", "water") and done:
            done = _since_the_last(raw["step"], before.get(raw["step"]), state, zone)
        before[raw["step"]] = when
        found.append(_care_step(raw, when, method, done=done))
    return sorted(found, key=lambda step: step.when)


def _behind(dated: Sequence[tuple[date, Mapping[str, Any]]], state: DomeState | None, zone: ZoneInfo) -> timedelta:
    """By how much the vents are late: the next step waits as long after the last one as the method wants."""
    if state is None or state.vented_at is None or not state.vent_pct:
        return timedelta()
    reached = [
        planned for planned, raw in dated if raw["step"] == "vent" and float(raw["open_pct"]) <= state.vent_pct and not raw.get("cover_off")
    ]
    late = state.vented_at.astimezone(zone).date() - reached[-1] if reached else timedelta()
    return max(late, timedelta())


def _since_the_last(step: object, before: date | None, state: DomeState | None, zone: ZoneInfo) -> bool:
    """A look or watering of the step before does not settle this one too."""
    moment = None if state is None else state.watered_at if step == "water" else state.seen_at
    return before is None or (moment is not None and moment.astimezone(zone).date() > before)


def plant_steps(method: Method, graft: Graft, plant: Plant, nursery: Nursery) -> list[CareStep]:
    """Dated steps of one plant after healing: head back, untie, see whether it is in leaf, pot on.

    A look at the leaves that came too early to be told, or that another record contradicts, does not settle the last.
    """
    from scionary.answers.outcomes import answered  # it asks for the dates of stages here

    done = {step: getattr(plant, column) for step, column in DONE_AT.items()}
    done["in_leaf"] = graft.in_leaf_at if answered(graft, "in_leaf", nursery) is not None else None
    finished = {step for step, moment in done.items() if moment is not None and moment >= graft.grafted_at}
    steps = steps_after(method, graft.grafted_at.astimezone(nursery.zone).date(), nursery)
    return [replace(step, done=step.step in finished) for step in steps]


def steps_after(method: Method, grafted: date, nursery: Nursery) -> list[CareStep]:
    """The dated steps of plants that were grafted on one day by one method, none of them done."""
    found = []
    for raw in method.steps():
        if str(raw["step"]) in PLANT_STEPS:
            care = _care_step(raw, step_date(raw, grafted, nursery.latitude_deg), method, done=False)
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
    """Of each kind the latest step that is due, when it is not done: an older one is overtaken by it.

    Vents are opened one step after another: of these the first that is not done.
    """
    kinds: dict[str, list[CareStep]] = {}
    for step in steps:
        if step.when <= today:
            kinds.setdefault(step.step, []).append(step)
    chosen = [next((s for s in dated if not s.done), dated[-1]) if kind == "vent" else dated[-1] for kind, dated in kinds.items()]
    return sorted((step for step in chosen if not step.done), key=lambda step: step.when)


def _days(raw: dict[str, Any]) -> range | list[int]:
    first, every = int(raw["day"]), raw.get("every")
    return range(first, int(raw.get("until") or first) + 1, int(every)) if every else [first]


def _care_step(raw: dict[str, Any], when: date, method: Method, *, done: bool) -> CareStep:
    counted_from = (
        say("{day} days after the {counted_from}", day=raw["day"], counted_from=say(str(raw["counted_from"])))
        if raw.get("counted_from")
        else say("day {day}", day=raw["day"])
    )
    if raw.get("every"):
        counted_from = say("every {every} days from day {day} to {until}", every=raw["every"], day=raw["day"], until=raw["until"])
    rests_on = f"{counted_from}, {method.name}; {say(str(raw['source']))}"
    return CareStep(
        str(raw["step"]), when, str(raw["say"]), str(raw["why"]), rests_on, raw.get("open_pct"), done, bool(raw.get("cover_off"))
    )


def _dome_step_done(raw: dict[str, Any], when: date, state: DomeState | None, zone: ZoneInfo) -> bool:
    if state is None:
        return False
    if raw["step"] == "vent":
        set_since = _on_or_after(state.vented_at, when - timedelta(days=1 if raw.get("cover_off") else 30), zone)
        return set_since and state.vent_pct is not None and state.vent_pct >= float(raw["open_pct"])
    moment = state.watered_at if raw["step"] == "water" else state.seen_at
    return _on_or_after(moment, when - _SOON, zone)


def _on_or_after(moment: datetime | None, day: date, zone: ZoneInfo) -> bool:
    return moment is not None and moment.astimezone(zone).date() >= day
