"""What is due: each line says what, why, since when, and what it rests on. At most five stand first."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import asdict, dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any

from scionary.answers.after_care import CareStep, due_steps, plant_steps
from scionary.answers.air import air_of_dome
from scionary.answers.domes import DomeAnswer, dome_answers
from scionary.answers.early_signs import one_reading
from scionary.answers.fading_labels import fading_labels
from scionary.answers.growing_year import in_leaf_season
from scionary.answers.leaf_names import leaf_names
from scionary.answers.wait_advice import graft_again
from scionary.answers.words import listed, plural
from scionary.book import queries
from scionary.book.models import Dome, Graft, KeptAside, Method, Nursery, Plant

FIRST_LINES = 5
_AHEAD_DAYS = 7
_LOG_DAYS = 3.0
_STALE_LOOK_DAYS = 14  # a weekly look or watering that is overdue by more is past; the later steps ask for themselves
_SILENT_DAYS = 30
_SEVERAL = 2  # plants better grafted again, before Due says so
_OLDEST_GRAFT_DAYS = 3 * 365  # older grafts have no dated after-care left
_STALE_DAYS = 365  # a step on a plant that is overdue by more was done and not written down, or no longer matters; project default


@dataclass(frozen=True)
class DueLine:
    """One thing to do. `event` is what is written down when it is done: (kind, payload), or None when a page has to be opened."""

    step: str
    what: str
    why: str
    when: date
    late_days: int
    rests_on: str
    dome: Dome | None = None
    plants: list[Plant] = field(default_factory=list)
    event: tuple[str, dict[str, Any]] | None = None

    def to_dict(self) -> dict[str, Any]:
        plain = {name: value for name, value in asdict(self).items() if name not in ("dome", "plants", "event")}
        return {
            **plain,
            "when": self.when.isoformat(),
            "dome": self.dome.name if self.dome else None,
            "plants": [p.spoken for p in self.plants],
        }


@dataclass(frozen=True)
class DueAnswer:
    """Lines due by today, the most pressing first, and those of the coming days."""

    today: date
    lines: list[DueLine]
    ahead: list[DueLine]

    @property
    def first(self) -> list[DueLine]:
        return self.lines[:FIRST_LINES]

    @property
    def behind(self) -> list[DueLine]:
        return self.lines[FIRST_LINES:]

    @property
    def sentence(self) -> str:
        if self.lines:
            return f"{plural(len(self.lines), 'thing')} to do."
        if self.ahead:
            return f"Nothing today. Next: {self.ahead[0].what} on {self.ahead[0].when:%A %d %B}."
        return "Nothing is due."

    def to_dict(self) -> dict[str, Any]:
        return {
            "today": self.today.isoformat(),
            "sentence": self.sentence,
            "lines": [line.to_dict() for line in self.lines],
            "ahead": [line.to_dict() for line in self.ahead],
        }


def due(*, today: date) -> DueAnswer:
    """Everything due by today and in the coming week, from after-care data, events and the loggers."""
    with one_reading():
        return _due(today)


def _due(today: date) -> DueAnswer:
    nursery = queries.nursery()
    domes = dome_answers(today=today)
    lines = [line for answer in domes for line in _dome_lines(answer, today)]
    lines += [line for answer in domes if (line := _air_line(answer, nursery, today))]
    lines += _again_lines(domes, today)
    lines += _plant_lines(nursery, today)
    lines += _name_lines(today) if in_leaf_season(today, nursery.latitude_deg) else []
    lines += _label_lines(nursery, today)
    lines += _record_lines(today)
    ahead = [line for answer in domes for line in _ahead_lines(answer, today)]
    return DueAnswer(today, sorted(lines, key=_pressing), sorted(ahead, key=lambda line: line.when))


def dome_due(answer: DomeAnswer, *, today: date) -> list[DueLine]:
    """What is due for one dome alone, the most pressing first."""
    air = _air_line(answer, queries.nursery(), today)
    return sorted([*_dome_lines(answer, today), *([air] if air else [])], key=_pressing)


def _pressing(line: DueLine) -> tuple[int, date]:
    """Air and domes before plants before paper; the longest overdue first."""
    rank = {"air": 0, "vent": 1, "water": 1, "check": 1, "firm": 1, "records": 3, "names": 4, "label": 4}.get(line.step, 2)
    return (rank, line.when)


def _dome_lines(answer: DomeAnswer, today: date) -> list[DueLine]:
    """The steps that are due; where all are long overdue, one line that asks how the dome stands."""
    steps = due_steps(answer.steps, today)
    fresh = [step for step in steps if (today - step.when).days <= (_STALE_LOOK_DAYS if step.step in ("check", "water") else _STALE_DAYS)]
    if steps and all((today - step.when).days > _SILENT_DAYS for step in steps):
        last = max(step.when for step in steps)
        if _looked_at(answer, today - timedelta(days=_SILENT_DAYS)):
            return []
        what = f"{answer.dome.name}: write down how it stands"
        why = f"Its last date was {last.day} {last:%B %Y}. Walk the round; or move the plants out, if they are out."
        return [DueLine("check", what, why, last, (today - last).days, "dates of after-care", dome=answer.dome)]
    return [_dome_line(answer, step, today) for step in fresh]


def _looked_at(answer: DomeAnswer, since: date) -> bool:
    """Whether anything was written down about a dome or its plants since a day."""
    state = answer.state
    moments = [state.seen_at, state.vented_at, state.watered_at, state.treated_at] if state else []
    moments += [pot.plant.seen_at for pot in answer.pots if pot.plant]
    zone = queries.nursery().zone
    return any(moment is not None and moment.astimezone(zone).date() >= since for moment in moments)


def _ahead_lines(answer: DomeAnswer, today: date) -> list[DueLine]:
    limit = today + timedelta(days=_AHEAD_DAYS)
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
    why = f"{step.why} Day {day} since grafting." if day is not None else step.why
    return DueLine(step.step, what, why, step.when, max((today - step.when).days, 0), step.rests_on, dome=answer.dome, event=event)


def _air_line(answer: DomeAnswer, nursery: Nursery, today: date) -> DueLine | None:
    """A dome that was too hot or too dry in the last days of its log, if the log reaches that far."""
    end = datetime.combine(today + timedelta(days=1), time(), nursery.zone)
    air = air_of_dome(answer.dome, nursery, end=end, days=_LOG_DAYS)
    if air is None or air.report is None or (end - air.end).days > _LOG_DAYS:
        return None
    bad = [e for e in air.episodes if e.kind in ("heat", "dry")]
    if not bad:
        return None
    kinds = {e.kind for e in bad}
    what = f"{answer.dome.name}: put the shade on" if "heat" in kinds else f"{answer.dome.name}: look at the water and the cover's edge"
    rests_on = f"sensor {air.sensor.name}, last {_LOG_DAYS:.0f} days; limits are assumptions"
    return DueLine("air", what, f"{bad[-1].sentence}.", bad[-1].begin.date(), 0, rests_on, dome=answer.dome)


def _again_lines(domes: list[DomeAnswer], today: date) -> list[DueLine]:
    """One line, when several plants in the domes are likely lost and there is still time to graft them again."""
    lost, until = graft_again((pot.plant for answer in domes for pot in answer.pots if pot.plant), today=today)
    if len(lost) < _SEVERAL or until is None:
        return []
    what = f"{len(lost)} plants are likely lost and could be grafted again until {until.day} {until:%B}"
    why = f"{listed([p.spoken for p in lost], most=4)}: waiting is worth less than a new graft. Look at each before you cut."
    return [
        DueLine("again", what, why, today, 0, "each plant's chance, its worth and the price of its place, as its page tells", plants=lost)
    ]


_PLANT_WORDS = {
    "head_back": ("Head back", "the stock above the union, one or two nodes left", "headed_back"),
    "untie": ("Untie", "", "untied"),
    "in_leaf": ("See which are in leaf", "", None),
}


def _plant_lines(nursery: Nursery, today: date) -> list[DueLine]:
    groups: dict[str, list[tuple[Plant, CareStep]]] = defaultdict(list)
    methods = {method.pk: method for method in Method.objects.all()}
    since = datetime.combine(today - timedelta(days=_OLDEST_GRAFT_DAYS), time(), nursery.zone)
    lately = Graft.objects.filter(grafted_at__gte=since).values("plant_id")
    for plant in queries.plants().filter(state__in=queries.STANDING, pk__in=lately):
        graft = list(plant.grafts.all())[-1]
        method = methods.get(graft.method_id) if graft.method_id else None
        if method is None:
            continue
        for step in plant_steps(method, graft, plant, nursery):
            if step.step == "in_leaf" and not in_leaf_season(today, nursery.latitude_deg):
                continue
            if step.step != "in_leaf" and plant.state != Plant.State.ALIVE:
                continue  # a graft of which nobody knows that it took is not headed back
            if step.when <= today <= step.when + timedelta(days=_STALE_DAYS) and not step.done:
                groups[step.step].append((plant, step))
    return [_plant_line(step, members, today) for step, members in groups.items()]


def _plant_line(step: str, members: list[tuple[Plant, CareStep]], today: date) -> DueLine:
    verb, rest, kind = _PLANT_WORDS[step]
    earliest = min(care.when for _, care in members)
    plants = [plant for plant, _ in members]
    care = members[0][1]
    what = f"{verb}: {listed([p.spoken for p in plants])}"
    why = f"{care.why} {rest[:1].upper()}{rest[1:]}{'.' if rest else ''}".strip()
    event: tuple[str, dict[str, Any]] | None = (kind, {}) if kind else None
    return DueLine(step, what, why, earliest, (today - earliest).days, care.rests_on, plants=plants, event=event)


def _name_lines(today: date) -> list[DueLine]:
    """One line while trees stand in leaf: names that are not sure, and those of plants in their first leaf."""
    answer = leaf_names(today=today)
    pressing = [each for each in answer.plants if each.pressing]
    if not pressing:
        return []
    plants, unsure = [each.plant for each in pressing], [each for each in pressing if each.plant.name_caution]
    what = f"Confirm the name of {plural(len(plants), 'plant')} in leaf: {listed([p.spoken for p in plants], most=4)}"
    why = f"{plural(len(unsure), 'name')} inferred or in doubt. " if unsure else ""
    when = max(answer.since, min((each.seen for each in pressing if each.seen), default=answer.since))
    rests_on = "seen in leaf, and trees stand in leaf from a month after the spring equinox (project default, unsourced)"
    return [DueLine("names", what, f"{why}A wrong name is seen now, and sold later.", when, 0, rests_on, plants=plants)]


def _label_lines(nursery: Nursery, today: date) -> list[DueLine]:
    """A line for each medium whose writing is soon gone."""
    lines = []
    for group in fading_labels(nursery, today):
        names = listed([p.spoken for p in group.plants], most=4)
        what = f"Write {plural(len(group.plants), 'label')} in {group.medium.name} again: {names}"
        late = max((today - group.first).days, 0)
        lines.append(DueLine("label", what, group.why, group.first, late, group.rests_on, plants=group.plants, event=("relabelled", {})))
    return lines


def _record_lines(today: date) -> list[DueLine]:
    lines = []
    disputed = list(queries.plants().exclude(disputed=[]).exclude(state=Plant.State.LEFT))
    if disputed:
        what = f"Settle what two records say differently: {listed([p.spoken for p in disputed], most=4)}"
        lines.append(DueLine("records", what, "Until then neither counts.", today, 0, "corrections in the book", plants=disputed))
    aside = KeptAside.objects.count()
    if aside:
        what = f"Look at {plural(aside, 'record')} kept aside"
        lines.append(DueLine("records", what, "They came under the number of another record.", today, 0, "records kept aside"))
    return lines
