"""Setting the bench: what a person chooses once before a run of grafts, and the grafts then written one by one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.answers.bags import bag_meant
from scionary.answers.bags_undone import check_cut
from scionary.answers.bench import last_setup, made_in, planned_grafts
from scionary.answers.bench_day import NO_LABEL, Label, dome_called, lot_called, setup_of
from scionary.answers.growing_year import year_at
from scionary.answers.standing import Grafted, StandingLine, StandingWritten, plants_already_standing
from scionary.answers.words import listed
from scionary.book.called import known_as
from scionary.book.commands import Written, cultivar_called, save_noun, write_grafts
from scionary.book.models import BenchDay, Cultivar, Dome, Event, Graft, Method, MotherTree, Nursery, PotKind, RootstockLot, ScionBag
from scionary.book.patience import patiently
from scionary.errors import Refused
from scionary.language import say

FIRST_DOME = "Dome 1"


@dataclass(frozen=True)
class BenchSetting:
    """What was typed; names that the book does not hold are added to it."""

    cultivar: str
    day: date
    dome: str = ""
    lot: str = ""
    tree: str = ""
    bag: str = ""  # its name, or the code on it
    grafter: str = ""
    method: Method | None = None
    pot_kind: PotKind | None = None
    stock_mm: float | None = None
    scion_mm: float | None = None
    label: Label = NO_LABEL
    cut_mm: float | None = None
    lean_mm: float | None = None


@dataclass(frozen=True)
class BenchSet:
    """The bench day, and a word on each name that is new to the book."""

    bench: BenchDay
    new: list[str] = field(default_factory=list)
    written: Written | None = None


@patiently
def set_bench(
    setting: BenchSetting, *, count: int = 0, nursery: Nursery, now: datetime, ident: UUID, change: BenchDay | None = None, who: str = ""
) -> BenchSet:
    """Set the bench and write down what is made already; the same form sent twice makes one bench day."""
    with transaction.atomic():
        there = BenchDay.objects.filter(pk=ident).first()
        if there is not None and change is None:
            return BenchSet(there)
        new = _new_names(setting)
        values = _rows(setting, now=now, who=who)
        if change is not None:
            return BenchSet(save_noun(BenchDay, values, now=now, pk=change.pk, who=who), new)
        bench = save_noun(BenchDay, {"id": ident, **values}, now=now, who=who)
        written = None
        if count:
            sizes = {name: getattr(setting, name) for name in ("stock_mm", "scion_mm", "cut_mm", "lean_mm")}
            setup = setup_of(bench, nursery, label=setting.label, now=now, **sizes)
            written = write_grafts(setup, count, now=now, who=who)
        return BenchSet(bench, new, written)


def graft_here(
    bench: BenchDay,
    count: int,
    *,
    stock_mm: float | None,
    scion_mm: float | None,
    nursery: Nursery,
    now: datetime,
    event_id: UUID,
    who: str = "",
    numbers: tuple[int, ...] = (),
    label: Label = NO_LABEL,
    cut_mm: float | None = None,
    lean_mm: float | None = None,
) -> Written:
    """Write down the next grafts of a bench day; the same form sent twice is written once."""
    if bench.cultivar_id is None:
        raise Refused(say("no cultivar is set for this bench day."), where="cultivar", remedy=say("Change the bench and name it."))
    if not Event.objects.filter(pk=event_id).exists():
        check_cut(bench.bag)
    sizes: dict[str, Any] = {"stock_mm": stock_mm, "scion_mm": scion_mm, "cut_mm": cut_mm, "lean_mm": lean_mm}
    setup = setup_of(bench, nursery, label=label, now=now, **sizes)
    return write_grafts(setup, count, now=now, who=who, event_id=event_id, numbers=numbers)


def usual_dome(today: date) -> str:
    """The name of the dome that grafts go into when none is named: that of the last bench day, else the first, else a new one."""
    last = last_setup(today)
    if last and last.dome and not last.dome.retired:
        return last.dome.name
    first = Dome.objects.filter(retired=False).order_by("name").first()
    return first.name if first else FIRST_DOME


def last_thickness(bench: BenchDay) -> tuple[float | None, float | None]:
    """(stock, scion) in mm as written with the latest graft of a bench day."""
    payload = _latest_graft(bench)
    return payload.get("stock_mm"), payload.get("scion_mm")


def last_label(bench: BenchDay) -> Label:
    """What the label of the latest graft of a bench day is written with, and where it hangs."""
    payload = _latest_graft(bench)
    return Label(payload.get("label_medium", ""), payload.get("label_light", ""))


def _latest_graft(bench: BenchDay) -> dict[str, Any]:
    latest = Event.objects.filter(kind="grafted", subjects__key=bench.key).order_by("-happened_at", "-id").first()
    return latest.payload if latest else {}


def _rows(setting: BenchSetting, *, now: datetime, who: str) -> dict[str, Any]:
    cultivar = cultivar_called(setting.cultivar, now=now, who=who)
    bag = bag_of_cultivar(setting.bag, cultivar) if setting.bag else None
    tree = tree_called(setting.tree, cultivar, now=now, who=who) if setting.tree else bag.tree if bag else None
    _check_wood(bag, tree)
    return {
        "day": setting.day,
        "cultivar": cultivar,
        "method": setting.method,
        "lot": lot_called(setting.lot, now=now, who=who) if setting.lot else None,
        "tree": tree,
        "bag": bag,
        "dome": dome_called(setting.dome, now=now, who=who) if setting.dome else None,
        "pot_kind": setting.pot_kind,
        "grafter": setting.grafter,
    }


def tree_called(name: str, cultivar: Cultivar, *, now: datetime, who: str) -> MotherTree:
    """The mother tree of this name; a new one when the book holds none; a tree of another cultivar is refused, or names would mix."""
    found = MotherTree.objects.select_related("cultivar").filter(name__iexact=name).first()
    if found is not None and found.cultivar_id != cultivar.pk:
        remedy = say("Name a tree of {cultivar}, leave it empty, or change the tree under Book.", cultivar=cultivar)
        raise Refused(
            say("{tree} is a {cultivar}, not a {wanted}.", tree=found.name, cultivar=found.cultivar, wanted=cultivar),
            where="tree",
            remedy=remedy,
        )
    return found or save_noun(MotherTree, {"name": name, "cultivar": cultivar}, now=now, who=who)


def bag_of_cultivar(typed: str, cultivar: Cultivar) -> ScionBag:
    """The bag with this name or code; one of another cultivar is refused, or names would mix."""
    found = bag_meant(typed)
    if found.cultivar_id != cultivar.pk:
        remedy = say("Take a bag of {cultivar}, or leave it empty.", cultivar=cultivar)
        raise Refused(
            say("{bag} holds {cultivar}, not {wanted}.", bag=found.name, cultivar=found.cultivar, wanted=cultivar),
            where="bag",
            remedy=remedy,
        )
    check_cut(found)
    return found


def _check_wood(bag: ScionBag | None, tree: MotherTree | None) -> None:
    """Wood in a bag comes from the tree that it was cut from."""
    if bag and bag.tree and tree and bag.tree_id != tree.pk:
        remedy = say("Leave the tree empty: the bag knows it.")
        raise Refused(
            say("{bag} was cut from {tree}, not from {wanted}.", bag=bag.name, tree=bag.tree, wanted=tree), where="bag", remedy=remedy
        )


def _new_names(setting: BenchSetting) -> list[str]:
    """A sentence for each name that this makes anew."""
    checks: list[tuple[str, type[Any], str]] = [
        (say("stock lot"), RootstockLot, setting.lot),
        (say("mother tree"), MotherTree, setting.tree),
        ("dome", Dome, setting.dome),
    ]
    new = [] if known_as(setting.cultivar) else [("cultivar", setting.cultivar)]
    new += [(word, name) for word, model, name in checks if name and not model._default_manager.filter(name__iexact=name).exists()]
    return [say("{name} is new to the book and was added as a {word}.", name=name, word=word) for word, name in new]


@dataclass(frozen=True)
class ToMake:
    """What the accepted plan wants of a cultivar, and what is made of it."""

    cultivar: Cultivar
    made: int
    planned: int


def to_make(today: date, nursery: Nursery) -> list[ToMake]:
    """The accepted plan of this growing year against what was made."""
    year = year_at(today, nursery)
    planned = planned_grafts(year)
    if not planned:
        return []
    made = made_in(year, nursery)
    known = Cultivar.objects.filter(pk__in=planned)
    found = [ToMake(cultivar, made.get(cultivar.pk, 0), planned[str(cultivar.pk)]) for cultivar in known]
    return [each for each in found if each.made or each.planned]


@dataclass(frozen=True)
class DayMade:
    """A bench day with what was made at it."""

    bench: BenchDay
    made: int
    cultivars: str


def recent_days(count: int = 12) -> list[DayMade]:
    """The latest bench days."""
    days = list(BenchDay.objects.filter(retired=False).select_related("cultivar", "dome").order_by("-day", "-id")[:count])
    made: dict[UUID, Counter[str]] = {day.pk: Counter() for day in days}
    for bench, name in Graft.objects.filter(bench__in=days).values_list("bench_id", "cultivar__spoken"):
        if bench is not None:
            made[bench][name or say("no name")] += 1
    return [DayMade(day, made[day.pk].total(), cultivars_said(day, made[day.pk])) for day in days]


def cultivars_said(bench: BenchDay, made: Counter[str]) -> str:
    """The cultivar that a bench day was set for, else those that were made at it."""
    if bench.cultivar is not None:
        return bench.cultivar.spoken
    return listed([name for name, _ in made.most_common()], most=3) if made else say("nothing made yet")


@patiently
def write_standing(
    dome: str, lines: Sequence[StandingLine], *, grafted: Grafted, method: Method | None, now: datetime, event_id: UUID, who: str = ""
) -> tuple[Dome | None, StandingWritten]:
    """Write plants down that stand in a dome already; the dome is made when it is new, all or nothing."""
    with transaction.atomic():
        found = dome_called(dome, now=now, who=who) if dome else None
        ident = method.pk if method else None
        place = found.pk if found else None
        return found, plants_already_standing(place, lines, grafted=grafted, method=ident, now=now, who=who, event_id=event_id)
