"""Bench sheets of a planned week: a bench day for each cultivar, method, lot, tree and dome, with codes set aside, to be keyed back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import NAMESPACE_OID, UUID, uuid5

from django.db import models, transaction

from scionary.answers.paper import MOST_GRAFTS, print_bench
from scionary.answers.planned_bench import WEEK, PlannedKind, PlannedWeek, planned_weeks
from scionary.answers.schedule import ScheduleRow
from scionary.book.commands import save_noun
from scionary.book.models import BenchDay, Cultivar, Dome, Method, MotherTree, Nursery, PotKind, PrintedSheet, RootstockLot
from scionary.book.patience import patiently
from scionary.errors import Refused
from scionary.language import say

M = TypeVar("M", bound=models.Model)


@dataclass(frozen=True)
class WeekSheets:
    """A planned week with the sheets that were printed for it, each with its words."""

    week: PlannedWeek
    sheets: tuple[tuple[PrintedSheet, str], ...]


def week_sheets(nursery: Nursery, today: date) -> list[WeekSheets]:
    """Planned weeks that have grafts left or sheets, with their sheets."""
    weeks = planned_weeks(nursery, today)
    benches = {_bench_id(week, row): (week.monday, row) for week in weeks for kind in week.kinds for row in kind.rows}
    printed: dict[date, list[tuple[PrintedSheet, str]]] = {}
    for sheet in PrintedSheet.objects.filter(bench__in=list(benches), retired=False).order_by("printed_at", "pk"):
        assert sheet.bench_id is not None
        monday, row = benches[sheet.bench_id]
        count = len(sheet.layout["text"]["codes"])
        printed.setdefault(monday, []).append((sheet, say("{grafts} {name}, {method}", grafts=count, name=row.name, method=row.method)))
    return [WeekSheets(week, tuple(printed.get(week.monday, ()))) for week in weeks if week.left or week.monday in printed]


@patiently
def print_week(nursery: Nursery, monday: date, *, today: date, now: datetime, who: str = "") -> list[PrintedSheet]:
    """Print the sheets of a planned week, one or more a cultivar; those that are printed already are not printed twice."""
    week = next((each for each in planned_weeks(nursery, today) if each.monday == monday and each.left), None)
    if week is None:
        raise Refused(say("nothing is left to graft in that week."), where="plan", remedy=say("Choose a week that is listed."))
    with transaction.atomic():
        made = [_printed(week, row, grafts, today=today, now=now, who=who) for kind in week.left for row, grafts in _left_of(kind)]
    sheets = [sheet for each in made for sheet in each]
    if not sheets:
        raise Refused(say("its sheets are printed already."), where="plan", remedy=say("They are listed here, to print again as they are."))
    return sheets


def _left_of(kind: PlannedKind) -> Sequence[tuple[ScheduleRow, int]]:
    """What is left of each row: what is made is taken from the first ones."""
    made, found = kind.planned - kind.left, []
    for row in kind.rows:
        done = min(made, row.grafts)
        made -= done
        if row.grafts > done:
            found.append((row, row.grafts - done))
    return found


def _printed(week: PlannedWeek, row: ScheduleRow, grafts: int, *, today: date, now: datetime, who: str) -> list[PrintedSheet]:
    ident = _bench_id(week, row)
    if PrintedSheet.objects.filter(bench_id=ident, retired=False).exists():
        return []
    if not BenchDay.objects.filter(pk=ident).exists():
        day = today if week.monday <= today < week.monday + WEEK else max(week.monday, today)
        save_noun(BenchDay, {"id": ident, "day": day, **_setting(row)}, now=now, who=who)
    counts = [min(MOST_GRAFTS, grafts - at) for at in range(0, grafts, MOST_GRAFTS)]
    return [print_bench(ident, count, today=today, now=now, who=who) for count in counts]


def _setting(row: ScheduleRow) -> dict[str, Any]:
    """How the bench is set for a row: what it names, as far as the book holds it."""
    return {
        "cultivar": Cultivar.objects.get(pk=row.cultivar),
        "method": _named(Method, row.method),
        "lot": None if row.ordered else _named(RootstockLot, row.lot),
        "tree": _named(MotherTree, row.tree),
        "dome": _named(Dome, row.domes[0] if row.domes else ""),
        "pot_kind": _named(PotKind, row.pot),
    }


def _named(model: type[M], name: str) -> M | None:
    return model._default_manager.filter(name=name).first() if name else None


def _bench_id(week: PlannedWeek, row: ScheduleRow) -> UUID:
    """The same for the same row of the same plan, so that nothing is set up twice."""
    return uuid5(NAMESPACE_OID, f"planned bench {week.plan} {row.number}")
