"""A whole bench day put right or taken back: one correction a graft, all or none."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db import transaction

from scionary.answers.bench_day import dome_called, lot_called
from scionary.answers.bench_setting import tree_called
from scionary.answers.putting_right import PutRight, put_right
from scionary.book.commands import correct_many, cultivar_called, noon, save_noun
from scionary.book.locks import gate
from scionary.book.models import BenchDay, EventSubject, Graft, Method, Nursery
from scionary.book.patience import patiently
from scionary.errors import Refused
from scionary.language import say

_NAMED = ("cultivar", "dome", "method", "lot", "tree")


@dataclass(frozen=True)
class DayChange:
    """What was wrong with a whole bench day; what is left empty stays as it is."""

    day: date | None = None
    cultivar: str = ""
    dome: str = ""
    lot: str = ""
    tree: str = ""
    method: Method | None = None


def grafts_of(bench: BenchDay) -> list[Graft]:
    """The grafts that were written down at a bench day, in order."""
    related = ("plant__cultivar", "cultivar", "dome", "method", "lot", "tree__cultivar")
    return list(Graft.objects.filter(bench=bench).select_related(*related).order_by("grafted_at", "id"))


def change_words(bench: BenchDay, change: DayChange, nursery: Nursery) -> list[str]:
    """Dome 1 → Dome 2, for each thing that would change; nothing is written."""
    told = []
    for name, held in as_it_is(bench, nursery).items():
        given = getattr(change, name)
        wanted = given.isoformat() if isinstance(given, date) else str(given or "")
        before = [each for each in held if each.casefold() != wanted.casefold()] if wanted else []
        told += [f"{', '.join(each or 'nothing' for each in before)} → {wanted}"] if before else []
    return told


def as_it_is(bench: BenchDay, nursery: Nursery) -> dict[str, list[str]]:
    """What the grafts of a bench day say now, by field; what is set for the day where nothing was made."""
    grafts = grafts_of(bench)
    rows: list[Graft | BenchDay] = [*grafts] or [bench]
    held = {name: {str(getattr(row, name) or "") for row in rows} for name in _NAMED}
    days = {graft.grafted_at.astimezone(nursery.zone).date().isoformat() for graft in grafts} or {bench.day.isoformat()}
    return {name: sorted(values) for name, values in {**held, "day": days}.items()}


@patiently
def correct_day(bench: BenchDay, change: DayChange, *, nursery: Nursery, now: datetime, who: str = "") -> PutRight:
    """Correct every graft of a bench day, and what is set for it."""
    with transaction.atomic():
        gate(alone=True)
        values = _rows(bench, change, now=now, who=who)
        grafts = grafts_of(bench)
        _check_tree(values, grafts)
        taken_off = [graft.tree for graft in grafts if graft.tree and "tree" not in values and _tree_leaves(graft, values)]
        changes = {graft.pk: found for graft in grafts if (found := _replacing(graft, values, nursery))}
        if bench.tree and "tree" not in values and "cultivar" in values and bench.tree.cultivar_id != values["cultivar"].pk:
            values["tree"] = None
        save_noun(BenchDay, values, now=now, pk=bench.pk, who=who)
        done = put_right(changes, now=now, who=who) if changes else PutRight([])
    words = [
        say("{tree} is a {cultivar}: it no longer counts as their mother tree.", tree=tree, cultivar=tree.cultivar)
        for tree in dict.fromkeys(taken_off)
        if tree
    ]
    return replace(done, words=[*words, *done.words])


@patiently
def undo_day(bench: BenchDay, *, now: datetime, who: str = "") -> PutRight:
    """Undo every graft of a bench day; the day itself stays, with nothing made at it."""
    with transaction.atomic():
        gate(alone=True)
        return PutRight(correct_many([(graft.pk, None) for graft in grafts_of(bench)], now=now, who=who))


def more_written(bench: BenchDay) -> int:
    """How many plants of a bench day have more written about them than their graft."""
    grafts = grafts_of(bench)
    about = EventSubject.objects.filter(subject_id__in=[graft.plant.key for graft in grafts])
    since = about.exclude(event_id__in=[graft.pk for graft in grafts]).exclude(event__kind__in=("edited", "corrected"))
    return since.values("subject_id").distinct().count()


def _rows(bench: BenchDay, change: DayChange, *, now: datetime, who: str) -> dict[str, Any]:
    """The fields of the bench day that change; names that the book does not hold are added to it."""
    values: dict[str, Any] = {"day": change.day} if change.day else {}
    values |= {"method": change.method} if change.method else {}
    values |= {"cultivar": cultivar_called(change.cultivar, now=now, who=who)} if change.cultivar else {}
    values |= {"dome": dome_called(change.dome, now=now, who=who)} if change.dome else {}
    values |= {"lot": lot_called(change.lot, now=now, who=who)} if change.lot else {}
    if change.tree:
        cultivar = values.get("cultivar") or bench.cultivar
        if cultivar is None:
            raise Refused(say("no cultivar is set for this bench day."), where="cultivar", remedy=say("Name the cultivar of the tree too."))
        values["tree"] = tree_called(change.tree, cultivar, now=now, who=who)
    return values


def _check_tree(values: dict[str, Any], grafts: list[Graft]) -> None:
    """A tree gives scions of its own cultivar alone."""
    tree = values.get("tree")
    if tree is None or "cultivar" in values:
        return
    others = {str(graft.cultivar) for graft in grafts if graft.cultivar_id != tree.cultivar_id}
    if others:
        message = say(
            "{tree} is a {cultivar}, and {sorted} was grafted here too.",
            tree=tree,
            cultivar=tree.cultivar,
            sorted=", ".join(sorted(others)),
        )
        raise Refused(message, where="tree", remedy=say("Correct these plants one by one."))


def _replacing(graft: Graft, values: dict[str, Any], nursery: Nursery) -> dict[str, Any]:
    """The fields of one graft that differ from what is wanted."""
    named = {name: values[name] for name in _NAMED if name in values and getattr(graft, f"{name}_id") != values[name].pk}
    found: dict[str, Any] = {name: str(row.pk) for name, row in named.items()}
    if "dome" in found and graft.dome_id is None:
        found["place"] = 1  # the next ones give way
    if "tree" not in values and _tree_leaves(graft, values):
        found["tree"] = None
    if "day" in values and graft.grafted_at.astimezone(nursery.zone).date() != values["day"]:
        found["happened_at"] = noon(values["day"], nursery).isoformat()
    return found


def _tree_leaves(graft: Graft, values: dict[str, Any]) -> bool:
    """Whether the mother tree that was written down is of another cultivar than the right one."""
    return "cultivar" in values and graft.tree is not None and graft.tree.cultivar_id != values["cultivar"].pk
