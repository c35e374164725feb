"""What the plan that was taken to the bench still wants grafted, week by week: it is done when the grafts are made."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from scionary.answers.growing_year import year_at
from scionary.answers.held import held
from scionary.answers.schedule import ScheduleRow
from scionary.answers.schedule_drift import accepted
from scionary.answers.words import listed
from scionary.book import queries
from scionary.book.models import AcceptedPlan, Graft, Nursery
from scionary.language import say

WEEK = timedelta(days=7)


@dataclass(frozen=True)
class PlannedKind:
    """One cultivar of a planned week, with its rows of the plan: `left` of `planned` grafts are not made."""

    name: str
    cultivar: str
    planned: int
    left: int
    rows: tuple[ScheduleRow, ...]

    @property
    def words(self) -> str:
        """24 Red Tarn in Dome 2."""
        domes = list(dict.fromkeys(dome for row in self.rows for dome in row.domes))
        if not domes:
            return say("{grafts} {name}", grafts=self.left, name=self.name)
        return say("{grafts} {name} in {domes}", grafts=self.left, name=self.name, domes=listed(domes, most=3))


@dataclass(frozen=True)
class PlannedWeek:
    """One week of the plan with what is left of it; `plan` is the id of the plan that was taken."""

    plan: UUID
    monday: date
    season: int
    accepted_on: date
    kinds: tuple[PlannedKind, ...]

    @property
    def left(self) -> tuple[PlannedKind, ...]:
        return tuple(kind for kind in self.kinds if kind.left)

    @property
    def hours(self) -> float:
        """Hours at the bench for what is left."""
        return sum(row.hours * kind.left / max(kind.planned, 1) for kind in self.kinds for row in kind.rows)

    @property
    def words(self) -> str:
        """24 Red Tarn in Dome 2 and 12 Ash Gill in Dome 1."""
        return listed([kind.words for kind in self.left], most=3)


def planned_weeks(nursery: Nursery, today: date) -> list[PlannedWeek]:
    """The weeks of the plans of this growing year and the next that were taken to the bench, the first first."""
    return held("planned_weeks", (queries.stamp(), today), lambda: _of_both(nursery, today))


def _of_both(nursery: Nursery, today: date) -> list[PlannedWeek]:
    year = year_at(today, nursery)
    found = [accepted(season) for season in (year, year + 1)]
    weeks = [week for each in found if each is not None for week in _weeks(each[0], each[1].rows, nursery)]
    return sorted(weeks, key=lambda week: week.monday)


def _weeks(plan: AcceptedPlan, rows: tuple[ScheduleRow, ...], nursery: Nursery) -> list[PlannedWeek]:
    """Grafts made since the plan was taken count for its first weeks first, whichever week they were made in."""
    made = _made_since(plan.accepted_at)
    accepted_on = plan.accepted_at.astimezone(nursery.zone).date()
    found = []
    for monday in sorted({row.week for row in rows}):
        here = [row for row in rows if row.week == monday]
        kinds = []
        for cultivar in dict.fromkeys(row.cultivar for row in here):
            mine = tuple(row for row in here if row.cultivar == cultivar)
            planned = sum(row.grafts for row in mine)
            done = min(planned, made[cultivar])
            made[cultivar] -= done
            kinds.append(PlannedKind(mine[0].name, cultivar, planned, planned - done, mine))
        found.append(PlannedWeek(plan.pk, monday, plan.season, accepted_on, tuple(kinds)))
    return found


def _made_since(moment: datetime) -> Counter[str]:
    made = Graft.objects.filter(grafted_at__gt=moment).exclude(cultivar=None).values_list("cultivar_id", flat=True)
    return Counter(str(cultivar) for cultivar in made)
