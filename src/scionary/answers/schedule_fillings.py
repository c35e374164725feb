"""What stands in each dome from one week to another: the weeks of a schedule put together for pictures, paper and words."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from scionary.answers.schedule import Schedule, ScheduleWeek, Standing
from scionary.answers.words import listed, plural, short_day
from scionary.language import say


@dataclass(frozen=True)
class Filling:
    """The same in a dome for some weeks; `dome` and `first` are places among the domes and weeks of the schedule."""

    dome: int
    first: int
    run: tuple[Standing, ...]

    @property
    def stands(self) -> Standing:
        return self.run[0]

    @property
    def share(self) -> float:
        """How full the dome is, at most 1; 1 where it is not known, 0 where the dome is away."""
        if self.stands.kind == "away":
            return 0.0
        return min(self.stands.grafts / self.stands.holds, 1.0) if self.stands.holds else 1.0

    @property
    def count(self) -> str:
        """12 of 15, or 12 where it is not known how many there is room for."""
        stands = self.stands
        if stands.kind == "away":
            return ""
        return say("{grafts} of {holds}", grafts=stands.grafts, holds=stands.holds) if stands.holds else str(stands.grafts)

    @property
    def label(self) -> str:
        """What is written over it."""
        if self.stands.kind == "away":
            return say("away")
        return say("made") if self.stands.kind == "before" else ", ".join(self.stands.names)

    @property
    def mixed(self) -> bool:
        return any(each.mixed_ages for each in self.run)

    @property
    def words(self) -> str:
        """Dome 1: 12 of 15, Red Tarn and Ash Gill, grafted in the week of 5 July, there for 7 weeks."""
        stands, weeks = self.stands, plural(len(self.run), "week")
        if stands.kind == "away":
            return say("{dome}: not to be had, for {weeks}", dome=stands.dome, weeks=weeks)
        grafts = self.count if stands.holds else plural(stands.grafts, "graft")
        day = short_day(stands.since) if stands.since else say("not known")
        told = {"dome": stands.dome, "grafts": grafts, "names": listed(stands.names), "weeks": weeks, "day": day}
        if stands.kind == "before":
            words = say("{dome}: {grafts} made before, {names}, still there for {weeks}", **told)
        else:
            words = say("{dome}: {grafts}, {names}, grafted in the week of {day}, there for {weeks}", **told)
        return f"{words}; {say('mixed ages')}" if self.mixed else words


def fillings_of(schedule: Schedule) -> list[Filling]:
    """Dome by dome, free weeks left out."""
    found = []
    for dome in range(len(schedule.weeks[0].domes) if schedule.weeks else 0):
        first = 0
        for (kind, _), run in groupby((week.domes[dome] for week in schedule.weeks), key=lambda each: (each.kind, each.since)):
            stretch = tuple(run)
            if kind != "free":
                found.append(Filling(dome, first, stretch))
            first += len(stretch)
    return found


def is_quiet(week: ScheduleWeek) -> bool:
    """Whether nothing is grafted and nothing stands in a dome."""
    return week.grafts == 0 and all(stands.kind in ("free", "away") for stands in week.domes)
