"""What a calendar shows: dated steps of domes and plants that are not done, of the last month and of the coming half year."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

from scionary.answers.after_care import CareStep, plant_steps
from scionary.answers.domes import DomeAnswer, dome_answers
from scionary.answers.due import due
from scionary.answers.due_bench import GIVEN_UP, STEP, rests_words, why_words
from scionary.answers.due_cutting import SOON, benches_without_wood, trees_for
from scionary.answers.due_plants import standing_grafts
from scionary.answers.fading_labels import fading_labels, soon_after_the_first
from scionary.answers.growing_year import leafing_date
from scionary.answers.leaf_names import leaf_names
from scionary.answers.planned_bench import WEEK, planned_weeks
from scionary.answers.put_off import SetAsides, set_asides
from scionary.answers.words import listed, plural
from scionary.book import queries
from scionary.book.models import Graft, Nursery, Plant
from scionary.files.calendar import Appointment, calendar_file
from scionary.language import Words, mark, say

BACK, AHEAD = timedelta(days=30), timedelta(days=183)
_TOGETHER = timedelta(days=28)  # labels that fade so soon after the first are written with it
_VERBS = Words({"head_back": mark("Head back"), "untie": mark("Untie"), "in_leaf": mark("See which are in leaf"), "pot_on": mark("Pot on")})


class _Group(NamedTuple):
    """Plants whose step falls on one day: grafted on one day by one method; `number` counts the steps of a kind."""

    step: str
    number: int
    method: str
    grafted: date
    when: date


def due_calendar(*, today: date, address: str = "") -> bytes:
    """The calendar as a file; `address` is where the pages are reached, put before their paths where it is known."""
    nursery = queries.nursery()
    stamp = queries.reaches() or datetime(2000, 1, 1, tzinfo=UTC)
    return calendar_file(
        appointments(nursery, today, address),
        name=say("{nursery}: due", nursery=nursery.name or "Scionary"),
        zone=nursery.zone,
        stamp=stamp,
    )


def appointments(nursery: Nursery, today: date, address: str = "") -> list[Appointment]:
    """All dates from a month ago to half a year ahead that are not done, put off or answered, and what is later than that, once a week."""
    asides = set_asides()
    found = [each for answer in dome_answers(today=today) for each in _of_dome(answer, asides, today, address)]
    found += _of_plants(nursery, asides, today, address)
    found += _of_names(nursery, asides, today, address)
    found += _of_labels(nursery, asides, today, address)
    found += _of_benches(asides, today, address)
    found += _of_bench(nursery, asides, today, address)
    found += _late(today, address)
    return sorted(found, key=lambda each: (each.day, each.uid))


def _of_dome(answer: DomeAnswer, asides: SetAsides, today: date, address: str) -> Iterable[Appointment]:
    """A dome's steps; the same step, counted among its kind, keeps its uid when its date moves or its words change."""
    count: dict[str, int] = defaultdict(int)
    for step in answer.steps:
        count[step.step] += 1
        if step.done or not _in_sight(step.when, today) or asides.hides(answer.dome.key, step.step, step.when, max(step.when, today)):
            continue
        uid = _uid("dome", str(answer.dome.pk), str(answer.grafted), step.step, str(count[step.step]))
        what = f"{answer.dome.name}: {step.say[0].lower()}{step.say[1:]}"
        yield Appointment(uid, step.when, what, f"{step.why} {_rests(step)}", _page(address, f"/domes/{answer.dome.pk}/"))


def _of_plants(nursery: Nursery, asides: SetAsides, today: date, address: str) -> Iterable[Appointment]:
    """One appointment for the plants that were grafted on one day by one method."""
    groups: dict[_Group, list[tuple[Graft, CareStep]]] = defaultdict(list)
    for graft in standing_grafts(nursery, today):
        assert graft.method is not None
        grafted = graft.grafted_at.astimezone(nursery.zone).date()
        count: dict[str, int] = defaultdict(int)
        for step in plant_steps(graft.method, graft, graft.plant, nursery):
            count[step.step] += 1
            if step.step != "in_leaf" and step.when <= today and graft.plant.state != Plant.State.ALIVE:
                continue  # of a graft of which nobody knows that it took nothing is asked, as on Due
            if (
                not step.done
                and _in_sight(step.when, today)
                and not asides.hides(graft.plant.key, step.step, step.when, max(step.when, today))
            ):
                groups[_Group(step.step, count[step.step], str(graft.method_id), grafted, step.when)].append((graft, step))
    for group, members in groups.items():
        names = sorted({graft.plant.cultivar.spoken for graft, _ in members if graft.plant.cultivar})
        what = f"{_VERBS[group.step]}: {plural(len(members), 'plant')} ({listed(names, most=3)})"
        unknown = sum(graft.plant.state != Plant.State.ALIVE for graft, _ in members) if group.step != "in_leaf" else 0
        if unknown:
            took = say("{what}, if they took", what=what)
            what = took if unknown == len(members) else say("{what}, {some} of them if they took", what=what, some=unknown)
        step = members[0][1]
        why = say("{why} Grafted on {grafted}. {rests}", why=step.why, grafted=group.grafted.isoformat(), rests=_rests(step))
        number = [str(group.number)] if group.number > 1 else []
        uid = _uid("plants", group.step, group.method, str(group.grafted), *number)
        yield Appointment(uid, group.when, what, why, _page(address, "/due/"))


def _of_names(nursery: Nursery, asides: SetAsides, today: date, address: str) -> Iterable[Appointment]:
    """Once a year, when trees stand in leaf, while there are names to confirm."""
    answer = leaf_names(today=today)
    since = leafing_date(today, nursery.latitude_deg)
    pressing = [each for each in answer.plants if each.pressing and not asides.hides(each.plant.key, "names", since, today)]
    if pressing and _in_sight(since, today):
        what = say("Confirm the names of {plants} in leaf", plants=plural(len(pressing), "plant"))
        yield Appointment(
            _uid("names", str(since.year)),
            since,
            what,
            say("A wrong name is seen now, and sold later."),
            _page(address, "/plants/in-leaf/"),
        )


def _of_bench(nursery: Nursery, asides: SetAsides, today: date, address: str) -> Iterable[Appointment]:
    """Each week of the plan taken to the bench that has grafts left, on its Monday."""
    for week in planned_weeks(nursery, today):
        if not week.left or not _in_sight(week.monday, today) or week.monday + GIVEN_UP + WEEK <= today:
            continue
        if asides.hides(nursery.key, STEP, week.monday, max(week.monday, today)):
            continue
        what = say("Graft {grafts} this week, by the plan", grafts=week.words)
        why = say("{why} Rests on: {rests_on}.", why=why_words(week), rests_on=rests_words(week))
        yield Appointment(_uid("bench", str(week.season), str(week.monday)), week.monday, what, why, _page(address, "/bench/"))


def _of_labels(nursery: Nursery, asides: SetAsides, today: date, address: str) -> Iterable[Appointment]:
    """For each medium the day on which the first of its labels begins to fade, and those that follow within a month of it.

    What is said depends on the record alone, and not on the day on which the calendar is asked for.
    """

    def asked(plant: object) -> bool:
        written = getattr(plant, "label_written_at", None)
        return written is None or not asides.hides(getattr(plant, "key", ""), "label", written, today)

    for group in fading_labels(nursery, today + AHEAD + _TOGETHER, asked):
        if _in_sight(group.first, today):
            near = soon_after_the_first(group, _TOGETHER, nursery)
            what = say("Write labels in {name} again: {plants}", name=group.medium.name, plants=plural(len(near.plants), "plant"))
            yield Appointment(_uid("labels", group.medium.name), group.first, what, near.why, _page(address, "/due/"))


def _of_benches(asides: SetAsides, today: date, address: str) -> Iterable[Appointment]:
    """The morning of each bench day for which wood is still to be cut."""
    for bench in benches_without_wood(today, today + AHEAD):
        asked = bench.day - SOON  # since when Due asks
        trees = [tree for tree in trees_for(bench) if not asides.hides(tree.key, "cut", asked, max(asked, today))]
        if trees:
            what = say("Cut scions for the bench: {names}", names=listed([str(tree) for tree in trees], most=3))
            why = say("No bag is chosen for this bench day yet. On the day Due says whether it is a morning to cut.")
            yield Appointment(_uid("cut", str(bench.pk)), bench.day, what, why, _page(address, "/bench/yard/"))


def _late(today: date, address: str) -> Iterable[Appointment]:
    """What Due has asked for since before the last month: its days are past, so it stands on the Monday of each week together."""
    monday = today - timedelta(days=today.weekday())
    lines = [line for line in due(today=today).lines if line.when < monday - BACK]
    if lines:
        what = say("Still due, for more than a month: {count}", count=plural(len(lines), "thing", "things"))
        why = " · ".join(say("{what} (since {day})", what=line.what, day=line.when.isoformat()) for line in lines)
        yield Appointment(_uid("late", str(monday)), monday, what, why, _page(address, "/due/"))


def _in_sight(day: date, today: date) -> bool:
    return today - BACK <= day <= today + AHEAD


def _rests(step: CareStep) -> str:
    return say("Rests on: {rests_on}.", rests_on=step.rests_on)


def _page(address: str, path: str) -> str:
    return f"{address}{path}" if address else ""


def _uid(*parts: str) -> str:
    """A name that stays the same as long as it is about the same thing."""
    return f"{hashlib.sha256('|'.join(parts).encode()).hexdigest()[:32]}@scionary"
