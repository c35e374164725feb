"""What is due at the bench: the grafts of this week by the plan that was taken to it, and those of the next."""

from __future__ import annotations

from datetime import date, timedelta

from scionary.answers.due_lines import DueLine
from scionary.answers.planned_bench import WEEK, PlannedWeek, planned_weeks
from scionary.answers.put_off import SetAsides
from scionary.answers.words import short_day
from scionary.book.models import Nursery
from scionary.language import say

STEP = "graft"
GIVEN_UP = timedelta(days=42)  # a planned week that is longer past is not asked for any more; project default, unsourced


def bench_lines(nursery: Nursery, asides: SetAsides, today: date) -> list[DueLine]:
    """A line for each planned week that has begun and has grafts left."""
    return [
        planned_line(week, nursery, today)
        for week in planned_weeks(nursery, today)
        if week.left
        and today - GIVEN_UP < week.monday + WEEK
        and week.monday <= today
        and not asides.hides(nursery.key, STEP, week.monday, today)
    ]


def coming_bench(nursery: Nursery, today: date) -> list[DueLine]:
    """The planned week that begins within seven days."""
    return [
        planned_line(week, nursery, today) for week in planned_weeks(nursery, today) if week.left and today < week.monday <= today + WEEK
    ]


def planned_line(week: PlannedWeek, nursery: Nursery, today: date) -> DueLine:
    """Graft 24 Red Tarn in Dome 2 this week, by the plan."""
    late = max((today - week.monday).days - 6, 0)
    if week.monday > today:
        what = say("Graft {grafts} in the week of {day}, by the plan", grafts=week.words, day=short_day(week.monday))
    elif late:
        what = say("Graft {grafts}, by the plan of the week of {day}", grafts=week.words, day=short_day(week.monday))
    else:
        what = say("Graft {grafts} this week, by the plan", grafts=week.words)
    return DueLine(STEP, what, why_words(week, late=bool(late)), week.monday, late, rests_words(week), keys=(nursery.key,))


def why_words(week: PlannedWeek, *, late: bool = False) -> str:
    """How long it takes, and from which trees."""
    trees = list(dict.fromkeys(row.tree for kind in week.left for row in kind.rows if row.tree))
    words = say("About {hours} hours at the bench.", hours=f"{week.hours:.1f}".removesuffix(".0"))
    if len(trees) == 1:
        words = f"{words} {say('Wood of {tree}.', tree=trees[0])}"
    return f"{words} {say('The week is over: if it cannot be made up, plan the rest from today.')}" if late else words


def rests_words(week: PlannedWeek) -> str:
    return say(
        "the plan of {season} that was taken to the bench on {accepted}, its week of {day}, and the grafts made since",
        season=week.season, accepted=short_day(week.accepted_on), day=short_day(week.monday),
    )  # fmt: skip
