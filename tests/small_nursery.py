"""A small nursery to plan a season for, and a second, plain way to see whether a schedule keeps its limits."""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, timedelta
from typing import Any

from scionary.answers.schedule import Schedule
from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, Dome, Method, MotherTree, Nursery, PotKind, RootstockLot, Wish

SEASON, TODAY = 2026, date(2026, 2, 14)
WISHES = {"Red Tarn": (8, 30.0), "Ash Gill": (6, 60.0), "Slate Veil": (3, 45.0)}


def small_nursery(nursery: Nursery, now: datetime) -> dict[str, Cultivar]:
    """Three wishes, two domes, one lot of 60 stocks, a tree each with few sticks of Ash Gill, two hours at the bench a week."""
    pot = PotKind.objects.get(name="4-inch square")
    save_noun(Nursery, {"bench_hours_a_week": 2.0}, now=now, pk=nursery.pk)
    lot = {"name": "26-A", "species": "Acer palmatum", "count": 60, "arrived_on": date(2025, 10, 1), "pot_kind": pot}
    save_noun(RootstockLot, lot, now=now)
    for number in (1, 2):
        save_noun(Dome, {"name": f"Dome {number}", "pot_kind": pot}, now=now)
    made = {}
    for name, (wanted, worth) in WISHES.items():
        made[name] = save_noun(Cultivar, {"spoken": name, "botanical": f"Acer palmatum '{name}'"}, now=now)
        sticks = 4 if name == "Ash Gill" else 30
        save_noun(MotherTree, {"name": f"{name} by the gate", "cultivar": made[name], "sticks_a_season": sticks}, now=now)
        wish = {"cultivar": made[name], "wanted": wanted, "season": SEASON, "assurance": 0.8, "worth": worth}
        save_noun(Wish, wish, now=now)
    return made


def limits_broken(schedule: Schedule) -> list[str]:
    """Every limit that a schedule breaks, from the book itself and the schedule's own rows, without the engine."""
    broken = []
    methods = {method.name: method for method in Method.objects.all()}
    hours, sticks, stocks = Counter[Any](), Counter[str](), Counter[str]()
    for row in schedule.rows:
        hours[row.week] += row.grafts * methods[row.method].minutes_a_graft / 60  # type: ignore[assignment]
        sticks[row.tree] += row.grafts / methods[row.method].grafts_a_stick  # type: ignore[assignment]
        stocks[row.lot] += 0 if row.regraft else row.grafts
    there = Nursery.objects.get().bench_hours_a_week
    broken += [f"{week}: {used} hours" for week, used in hours.items() if there is not None and used > there + 1e-6]
    for tree in MotherTree.objects.exclude(sticks_a_season=None):
        if sticks[tree.name] > (tree.sticks_a_season or 0) + 1e-6:
            broken.append(f"{sticks[tree.name]} sticks of {tree}")
    broken += [
        f"{stocks[lot.name]} of {lot}" for lot in RootstockLot.objects.all() if lot.count is not None and stocks[lot.name] > lot.count
    ]
    return broken + _crowded(schedule)


def _crowded(schedule: Schedule) -> list[str]:
    """Domes that hold more than they can, or two ages, in some week; and grafts that stand nowhere."""
    broken = []
    for week in schedule.weeks:
        for stands in week.domes:
            if stands.kind == "planned" and (stands.grafts > stands.holds or stands.mixed_ages):
                broken.append(f"{stands.dome} in {week.monday}: {stands.grafts} of {stands.holds}")
        rows = [row for row in schedule.rows if row.week <= week.monday < row.week + timedelta(days=7 * row.healing_weeks)]
        held = sum(stands.grafts for stands in week.domes if stands.kind == "planned")
        if held != sum(row.grafts for row in rows):
            broken.append(f"{week.monday}: {held} stand, {sum(row.grafts for row in rows)} should")
    return broken
