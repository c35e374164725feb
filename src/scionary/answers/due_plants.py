"""What is due for plants out of their domes: head back, untie, see which are in leaf, pot on, names, labels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from threading import Lock
from typing import Any
from uuid import UUID

from django.db.models import F, Q, QuerySet

from scionary.answers.after_care import DONE_AT, CareStep, step_date, steps_after
from scionary.answers.due_domes import STALE_DAYS
from scionary.answers.due_lines import SHOWN, DueLine
from scionary.answers.early_signs import reads_near
from scionary.answers.fading_labels import Fading, fading_labels
from scionary.answers.growing_year import in_leaf_season
from scionary.answers.held import held
from scionary.answers.leaf_names import leaf_names
from scionary.answers.outcomes import answered
from scionary.answers.put_off import SetAsides, set_asides
from scionary.answers.remembered import language
from scionary.answers.since import Since, only_plants
from scionary.answers.words import listed, plural
from scionary.book import queries
from scionary.book.locks import chunks
from scionary.book.models import Graft, Method, Nursery, Plant
from scionary.language import mark, say

_OLDEST_GRAFT_DAYS = 3 * 365  # older grafts have no dated after-care left
_NAMED = 6
_WORDS = {
    "head_back": (mark("Head back"), mark("the stock above the union, one or two nodes left"), "headed_back"),
    "untie": (mark("Untie"), "", "untied"),
    "in_leaf": (mark("See which are in leaf"), "", None),
    "pot_on": (mark("Pot on"), "", "potted_on"),
}


@dataclass(frozen=True)
class _Due:
    """One plant for which a step is due."""

    plant: UUID
    cultivar: str
    number: int
    step: CareStep

    @property
    def key(self) -> str:
        return f"plant:{self.plant}"


def plant_lines(nursery: Nursery, asides: SetAsides, today: date) -> list[DueLine]:
    """A line for each step that is due for some plants, from the after-care of their methods; held until something is written."""
    return held("plant_lines", (queries.stamp(), today, nursery.length_unit), lambda: _plant_lines(nursery, asides, today))


def _plant_lines(nursery: Nursery, asides: SetAsides, today: date) -> list[DueLine]:
    due = _STANDING_DUE.members(nursery, today) if reads_near() else _all_due(nursery, asides, today)
    return [_plant_line(step, members, today) for step, members in due.items() if members]


def _all_due(nursery: Nursery, asides: SetAsides, today: date, among: set[UUID] | None = None) -> dict[str, list[_Due]]:
    """The plants for which each step is due; `among` looks at these alone."""
    due: dict[str, list[_Due]] = {step: [] for step in _WORDS}
    for method in Method.objects.all():
        for step in sorted({str(raw["step"]) for raw in method.steps()} & set(_WORDS)):
            due[step] += _due_of(step, method, nursery, asides, today, among)
    return due


@dataclass
class _StandingDue:
    """In a large book: for which plants a step was due last; only those that something was written about are looked at again."""

    since: Since = field(default_factory=Since)
    rests_on: object = None
    due: dict[str, list[_Due]] = field(default_factory=dict)
    lock: Lock = field(default_factory=Lock)

    def members(self, nursery: Nursery, today: date) -> dict[str, list[_Due]]:
        with self.lock, self.since.looking() as changed:
            rests_on, asides = (today, language()), set_asides()  # asked after the changes: none is taken for answered that was not read
            plants = only_plants(changed) if changed is not None and rests_on == self.rests_on else None
            if plants is None:
                self.due, self.rests_on = _all_due(nursery, asides, today), rests_on
            elif plants:
                fresh = _all_due(nursery, asides, today, plants)
                self.due = {step: [each for each in self.due[step] if each.plant not in plants] + fresh[step] for step in fresh}
            return self.due


_STANDING_DUE = _StandingDue()


def _due_of(step: str, method: Method, nursery: Nursery, asides: SetAsides, today: date, among: set[UUID] | None) -> list[_Due]:
    """The plants of a method for which a step is due and not done, put off or answered.

    The database leaves out what cannot be due, so that few of a large book's plants are read.
    """
    if step == "in_leaf" and not in_leaf_season(today, nursery.latitude_deg):
        return []
    of_day: dict[date, list[CareStep]] = {}  # plants of one day have the same dates
    found = []
    rows = _may_be(step, method, nursery, today)
    for graft in rows if among is None else (graft for chunk in chunks(among) for graft in rows.filter(plant__in=chunk)):
        if step == "in_leaf" and answered(graft, step, nursery) is not None:
            continue
        grafted = graft.grafted_at.astimezone(nursery.zone).date()
        if grafted not in of_day:
            steps = (care for care in steps_after(method, grafted, nursery) if care.step == step)
            of_day[grafted] = [care for care in steps if care.when <= today <= care.when + timedelta(days=STALE_DAYS)]
        plant = graft.plant
        spoken = plant.cultivar.spoken if plant.cultivar else ""
        due = (care for care in of_day[grafted] if not asides.hides(plant.key, step, care.when, today))
        found += [_Due(plant.pk, spoken, plant.running_number or 0, care) for care in due]
    return found


def _may_be(step: str, method: Method, nursery: Nursery, today: date) -> QuerySet[Graft]:
    """Grafts whose step may be due: it is not done, and the graft is of an age for it."""
    begin = datetime.combine(today - timedelta(days=_OLDEST_GRAFT_DAYS), time(), nursery.zone)
    end = datetime.combine(_latest(step, method, nursery, today) + timedelta(days=1), time(), nursery.zone)
    rows: QuerySet[Graft] = Graft.objects.filter(method=method, replaced=False, grafted_at__gte=begin, grafted_at__lt=end)
    if step == "in_leaf":
        springs = [step_date(raw, today, nursery.latitude_deg) for raw in method.steps() if raw["step"] == step]
        told = datetime.combine(max(springs) - timedelta(days=360), time(), nursery.zone)  # a look after the last such day settles it
        rows = rows.filter(plant__state__in=queries.STANDING).filter(Q(in_leaf=None) | ~Q(disputed=[]) | Q(in_leaf_at__lt=told))
    else:  # a graft of which nobody knows that it took is not headed back
        column = f"plant__{DONE_AT[step]}"
        rows = rows.filter(plant__state=Plant.State.ALIVE).filter(Q(**{column: None}) | Q(**{f"{column}__lt": F("grafted_at")}))
    needed = ("plant__cultivar__spoken", "plant__running_number")
    own = ("grafted_at", "precision", "in_leaf", "in_leaf_at", "disputed", "plant")
    return rows.select_related("plant__cultivar").only(*own, *needed).order_by()


def standing_grafts(nursery: Nursery, today: date) -> Iterable[Graft]:
    """The last grafts of all plants that stand and may have dated after-care ahead, with what their steps ask for."""
    begin = datetime.combine(today - timedelta(days=_OLDEST_GRAFT_DAYS), time(), nursery.zone)
    needed = ("plant__cultivar__spoken", "plant__state", *(f"plant__{column}" for column in DONE_AT.values()))
    own = ("grafted_at", "precision", "in_leaf", "in_leaf_at", "disputed", "plant")
    rows = Graft.objects.filter(replaced=False, method__isnull=False, plant__state__in=queries.STANDING, grafted_at__gte=begin)
    return (
        rows.select_related("plant__cultivar", "method")
        .only(*own, *needed, *(f"method__{each.name}" for each in Method._meta.fields))
        .order_by()
    )


def _latest(step: str, method: Method, nursery: Nursery, today: date) -> date:
    """The last day of grafting from which a step can be due today."""
    counted = [raw for raw in method.steps() if raw["step"] == step]
    if any(raw.get("counted_from") for raw in counted):
        return today
    return today - timedelta(days=min(int(str(raw["day"])) for raw in counted))


def _plant_line(step: str, members: Sequence[_Due], today: date) -> DueLine:
    verb, rest, kind = say(_WORDS[step][0]), say(_WORDS[step][1]), _WORDS[step][2]
    ordered = sorted(members, key=lambda each: (each.cultivar, each.number, str(each.plant)))
    care, earliest = ordered[0].step, min(each.step.when for each in members)
    shown = _named([each.plant for each in ordered[:SHOWN]])
    what = f"{verb}: {listed([plant.spoken for plant in shown], most=_NAMED, of=len(ordered))}"
    why = f"{care.why} {rest[:1].upper()}{rest[1:]}{'.' if rest else ''}".strip()
    event: tuple[str, dict[str, Any]] | None = (kind, {}) if kind else None
    keys = tuple(each.key for each in ordered)
    return DueLine(step, what, why, earliest, (today - earliest).days, care.rests_on, plants=shown, event=event, keys=keys)


def _named(plants: Sequence[UUID]) -> list[Plant]:
    found = Plant.objects.select_related("cultivar").in_bulk(list(plants))
    return [found[plant] for plant in plants if plant in found]  # one may be undone while a page is drawn


def name_lines(asides: SetAsides, today: date) -> list[DueLine]:
    """One line while trees stand in leaf: names that are not sure, and those of plants in their first leaf."""
    answer = leaf_names(today=today)
    pressing = [each for each in answer.plants if each.pressing and not asides.hides(each.plant.key, "names", answer.since, today)]
    if not pressing or not answer.in_season:
        return []
    plants, unsure = [each.plant for each in pressing], [each for each in pressing if each.plant.name_caution]
    what = say(
        "Confirm the name of {plants} in leaf: {names}",
        plants=plural(len(plants), "plant"),
        names=listed([p.spoken for p in plants], most=4),
    )
    why = say("{names} inferred or in doubt. ", names=plural(len(unsure), "name")) if unsure else ""
    when = max(answer.since, min((each.seen for each in pressing if each.seen), default=answer.since))
    rests_on = say("seen in leaf, and trees stand in leaf from a month after the spring equinox (project default, unsourced)")
    return [DueLine("names", what, say("{why}A wrong name is seen now, and sold later.", why=why), when, 0, rests_on).of(plants)]


def label_lines(nursery: Nursery, asides: SetAsides, today: date) -> list[DueLine]:
    """A line for each medium whose writing is soon gone."""

    def asked(plant: Plant) -> bool:
        return plant.label_written_at is None or not asides.hides(plant.key, "label", plant.label_written_at, today)

    groups = fading_labels(nursery, today, asked)
    return [_label_line(group, today) for group in groups]


def _label_line(group: Fading, today: date) -> DueLine:
    names = listed([p.spoken for p in group.plants], most=4)
    what = say("Write {labels} in {name} again: {names}", labels=plural(len(group.plants), "label"), name=group.medium.name, names=names)
    late = max((today - group.first).days, 0)
    return DueLine("label", what, group.why, group.first, late, group.rests_on, event=("relabelled", {})).of(group.plants)
