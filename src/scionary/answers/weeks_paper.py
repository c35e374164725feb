"""A schedule on paper: its weeks as they are drawn, what to graft week by week, what to cut, to order, to use."""

from __future__ import annotations

from datetime import date
from itertools import groupby

from scionary.answers.join_paper import page_of
from scionary.answers.plan_lists import PlanLists
from scionary.answers.schedule import Schedule, ScheduleRow
from scionary.answers.schedule_fillings import fillings_of, is_quiet
from scionary.answers.words import date_soon, short_day
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.files.weeks_sheet import SheetFilling, SheetSection, SheetWeek, WeeksSheet, weeks_sheet
from scionary.language import say


def weeks_pdf(schedule: Schedule, lists: PlanLists, nursery: Nursery, *, today: date) -> bytes:
    """The sheet as a PDF; refused where nothing is planned."""
    if not schedule.rows:
        raise Refused(schedule.sentence, where="plan", remedy=say("Find the weeks again when something has changed."))
    weeks, fillings = _drawn(schedule)
    about = say("{sentence} Printed {printed}.", sentence=schedule.sentence, printed=short_day(today))
    domes = tuple(each.dome for each in schedule.weeks[0].domes)
    title = say("The weeks of {season}", season=schedule.season)
    return weeks_sheet(WeeksSheet(title, about, domes, weeks, fillings, _sections(schedule, lists), page_of(nursery)))


def graft_words(schedule: Schedule) -> list[tuple[date, tuple[str, ...]]]:
    """What to graft in each week, a line a row."""
    rows = sorted(schedule.rows, key=lambda row: (row.week, row.number))
    found = []
    for week, run in groupby(rows, key=lambda row: row.week):
        found.append((week, tuple(", ".join(part for part in (row.words, *_stock_and_tree(row)) if part) for row in run)))
    return found


def _by_method(schedule: Schedule) -> list[tuple[tuple[date, str, str], tuple[str, ...]]]:
    """What to graft in each week by one method in one kind of pot, so that a line need not say these again."""
    rows = sorted(schedule.rows, key=lambda row: (row.week, row.method, row.pot, row.number))
    found = []
    for key, run in groupby(rows, key=lambda row: (row.week, row.method, row.pot)):
        lines = (
            ", ".join([f"{row.grafts} {row.name}", *row.domes, *(part for part in _stock_and_tree(row) if part)])
            for row in run
        )  # fmt: skip
        found.append((key, tuple(lines)))
    return found


def _stock_and_tree(row: ScheduleRow) -> tuple[str, str]:
    lot = say("on {lot}", lot=row.lot) if row.lot else ""
    tree = say("wood of {tree}", tree=row.tree) if row.tree else ""
    return say("on stocks that failed") if row.regraft else lot, tree


def _drawn(schedule: Schedule) -> tuple[tuple[SheetWeek, ...], tuple[SheetFilling, ...]]:
    """Weeks in which something stands, and the fillings at their places among them."""
    places: dict[int, int] = {}
    weeks: list[SheetWeek] = []
    for at, week in enumerate(schedule.weeks):
        if not is_quiet(week):
            places[at] = len(weeks)
            weeks.append(SheetWeek(date_soon(week.monday), _hours(week.hours_used, week.hours_there)))
    fillings = []
    for each in fillings_of(schedule):
        shown = [places[at] for at in range(each.first, each.first + len(each.run)) if at in places]
        if shown:
            age = 0 if each.stands.kind == "away" else each.stands.age_weeks + 1
            before = each.stands.kind == "before"
            fillings.append(SheetFilling(each.dome, shown[0], len(shown), each.share, each.label, each.count, age, before))
    return tuple(weeks), tuple(fillings)


def _hours(used: float, there: float | None) -> str:
    if not used:
        return "–"
    said = f"{used:.1f}".removesuffix(".0")
    return said if there is None else say("{grafts} of {holds}", grafts=said, holds=f"{there:g}")


def _sections(schedule: Schedule, lists: PlanLists) -> tuple[SheetSection, ...]:
    grafts = [
        SheetSection(say("Week of {day}: {method}, {pot}", day=short_day(week), method=method, pot=pot), lines)
        for (week, method, pot), lines in _by_method(schedule)
    ]
    more = [
        SheetSection(say("To order"), tuple(lists.order_words)),
        SheetSection(say("To cut"), tuple(lists.stick_words)),
        SheetSection(say("To sow"), tuple(each.words for each in lists.raised)),
        SheetSection(say("To use"), (lists.used_words,)),
    ]
    return (*grafts, *(section for section in more if section.lines))
