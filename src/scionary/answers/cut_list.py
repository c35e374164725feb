"""The sticks that a schedule wants cut: in which week, from which tree, how long they are kept, and where a tree gives fewer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from scionary.answers.cut_times import CutTimes
from scionary.answers.growing_year import year_days
from scionary.answers.schedule import Schedule, ScheduleRow
from scionary.answers.words import plural, short_day
from scionary.book.models import Cultivar, Method, MotherTree, Nursery
from scionary.language import say


@dataclass(frozen=True)
class CutLine:
    """Sticks of one tree to cut in one week; `tree` is empty where none is written down.

    `until` is the last week of grafting for which dormant ones are kept, None where none is; `gives` how many the tree still gives, where
    the list asks for more than that.
    """

    week: date
    tree: str
    cultivar: str
    sticks: int
    until: date | None = None
    days: int = 0
    usual: int = 0
    gives: int | None = None

    @property
    def words(self) -> str:
        """Week of 15 February: 4 sticks of Gold Scree, to be kept cold and moist until the week of 3 May."""
        tree = self.tree or say("a tree of {cultivar} that is not written down", cultivar=self.cultivar)
        told = say("Week of {day}: {sticks} of {tree}", day=short_day(self.week), sticks=plural(self.sticks, "stick"), tree=tree)
        if self.until is not None:
            told = say("{told}, to be kept cold and moist until the week of {day}", told=told, day=short_day(self.until))
        if self.days > self.usual:
            told = say("{told}: {days} days, at most {usual} are usual", told=told, days=self.days, usual=self.usual)
        if self.gives is not None:
            told = say("{told}. The tree gives {number} in all: make fewer grafts of it, or take wood from elsewhere", told=told,
                       number=plural(self.gives, "stick"))  # fmt: skip
        return told

    def to_dict(self) -> dict[str, Any]:
        return {
            "week": self.week.isoformat(), "tree": self.tree, "cultivar": self.cultivar, "sticks": self.sticks,
            "kept_until": self.until.isoformat() if self.until else None, "gives": self.gives,
        }  # fmt: skip


def cut_list(schedule: Schedule, nursery: Nursery, today: date) -> tuple[CutLine, ...]:
    """All of them, by week; the last line of a tree that has to give more than it has says so."""
    first = max(today, year_days(schedule.season, nursery.latitude_deg)[0])
    times = CutTimes.of(nursery, schedule.season, first - timedelta(days=first.weekday()))
    methods = {method.name: method for method in Method.objects.all()}
    names = {str(pk): spoken for pk, spoken in Cultivar.objects.values_list("pk", "spoken")}
    rows: dict[tuple[str, str], list[ScheduleRow]] = {}
    for row in schedule.rows:
        rows.setdefault((row.tree, names.get(row.cultivar, row.name)), []).append(row)
    found: list[CutLine] = []
    for (tree, cultivar), some in rows.items():
        found += _of_tree(tree, cultivar, some, times, methods)
    return tuple(sorted(_with_limits(found), key=lambda cut: (cut.week, cut.tree == "", cut.tree, cut.cultivar)))


def _of_tree(tree: str, cultivar: str, rows: Sequence[ScheduleRow], times: CutTimes, methods: dict[str, Method]) -> list[CutLine]:
    how = {row.method: methods.get(row.method, Method()) for row in rows}
    weeks = times.dormant(row.week for row in rows if not how[row.method].leafy)
    whole = times.whole((row.week, how[row.method].leafy, row.grafts / how[row.method].grafts_a_stick) for row in rows)
    found = []
    for day, sticks in whole.items():
        kept = max((week for week, cut in weeks.items() if cut == day), default=day)
        days = (kept - day).days
        found.append(CutLine(day, tree, cultivar, sticks, kept if days else None, days, round(times.days)))
    return found


def _with_limits(cuts: Sequence[CutLine]) -> list[CutLine]:
    """The same, with the number that a tree gives where more is asked of it."""
    gives = {tree.name: int(tree.sticks_a_season or 0) for tree in MotherTree.objects.filter(retired=False).exclude(sticks_a_season=None)}
    asked: dict[str, int] = {}
    last: dict[str, date] = {}
    for cut in cuts:
        asked[cut.tree] = asked.get(cut.tree, 0) + cut.sticks
        last[cut.tree] = max(last.get(cut.tree, cut.week), cut.week)
    over = {tree for tree, number in asked.items() if tree in gives and number > gives[tree]}
    return [replace(cut, gives=gives[cut.tree]) if cut.tree in over and cut.week == last[cut.tree] else cut for cut in cuts]
