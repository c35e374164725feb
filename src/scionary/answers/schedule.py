"""A season's schedule as pages and terminal show it: what is grafted when, how, where and from which tree, how sure that is, and why.

Plain frozen values that go to JSON and back. `schedule_kept` keeps them (`kept_schedule`), `schedule_asking` starts, stops and takes them,
`schedule_moving` moves a row by hand, `schedule_trying` sets another season beside. Weeks are told by their Monday.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from scionary.answers.words import listed, percent, plural, short_day
from scionary.language import Words, mark, say

LEFT_OUT = Words({
    "sure": mark("how sure each wish can be made"), "why": mark("what would help"), "clash": mark("which limits clash"),
})  # fmt: skip


@dataclass(frozen=True)
class ScheduleRow:
    """Grafts of one wish in one week, by one method, in one kind of pot, on one lot, from one tree; `number` names the row.

    `domes` are the names of those that they stand in; `lot` and `tree` are empty where none is written down. `ordered`: on stocks that
    have to be ordered first. `why` says why then, on those stocks and in that pot; empty where the plan breaks limits.
    """

    number: int
    wish: str
    name: str
    cultivar: str
    week: date
    grafts: int
    method: str
    pot: str
    domes: tuple[str, ...]
    lot: str
    tree: str
    sticks: float
    hours: float
    healing_weeks: int
    regraft: bool = False
    ordered: bool = False
    option: int = -1
    why: str = ""

    @property
    def week_words(self) -> str:
        """Week of 3 August."""
        return say("week of {day}", day=short_day(self.week))

    @property
    def words(self) -> str:
        """12 Red Tarn, side veneer, 4-inch square, Dome 2."""
        return ", ".join([f"{self.grafts} {self.name}", self.method, self.pot, *self.domes])


@dataclass(frozen=True)
class Standing:
    """What stands in one dome in one week: `grafts` of `holds`, grafted in the week of `since`, so many weeks old.

    `kind` is free, planned, before (grafts that are made already) or away (the dome is not to be had).
    """

    dome: str
    kind: str
    grafts: int = 0
    holds: int = 0
    pot: str = ""
    since: date | None = None
    age_weeks: int = 0
    names: tuple[str, ...] = ()
    mixed_ages: bool = False

    @property
    def words(self) -> str:
        if self.kind == "free":
            return say("free")
        if self.kind == "away":
            return say("not to be had")
        what = say("{grafts} of {holds}", grafts=self.grafts, holds=self.holds) if self.holds else plural(self.grafts, "graft")
        return say("{what}, week {age}", what=what, age=self.age_weeks + 1)


@dataclass(frozen=True)
class ScheduleWeek:
    """One week: what each dome holds, and hours at the bench; `hours_there` None where they do not limit."""

    monday: date
    number: int
    grafts: int
    hours_used: float
    hours_there: float | None
    domes: tuple[Standing, ...]
    windows: tuple[str, ...] = ()


@dataclass(frozen=True)
class WishOutlook:
    """What becomes of one wish: grafts, finished plants expected and their range (one year in twenty below or above), and the chance.

    `asked` is the chance that was asked for, None where most value was; `why_cut` says why it is not met, empty where it is; `made` are
    grafts that stand already.
    """

    wish: str
    cultivar: str
    name: str
    wanted: int
    grafts: int
    made: int
    expected: float
    low: int
    high: int
    chance: float
    asked: float | None
    worth: float
    worth_assumed: bool
    by_when: date | None = None
    why_cut: str = ""

    @property
    def cut(self) -> bool:
        return self.expected < self.wanted

    @property
    def words(self) -> str:
        """Likely 21 of 20; one year in twenty 14 or fewer; enough with a chance of 62 %."""
        few = say("{low} or fewer", low=self.low) if self.low else say("none")
        told = say(
            "Likely {expected} of {wanted}; one year in twenty {few}; enough with a chance of {chance}.",
            expected=round(self.expected), wanted=self.wanted, few=few, chance=percent(self.chance),
        )  # fmt: skip
        if self.asked is None or self.chance >= self.asked - 0.005:
            return told
        return f"{told} {say('You asked for {asked}.', asked=percent(self.asked))}"


@dataclass(frozen=True)
class HeldUp:
    """One limit that holds the plan back, checked by solving with one more and one less."""

    words: str
    one_more: float
    one_less: float | None
    within: float


@dataclass(frozen=True)
class Change:
    """A change that would help; `ask` is what `try_beside` takes.

    `worth` is the money that trying it brings in the judging seasons, `score` the same counting how sure one wants to be, None in older
    plans, which knew no difference; `within` is how far a longer search could move it.
    """

    words: str
    worth: float
    within: float
    ask: dict[str, Any] = field(default_factory=dict)
    score: float | None = None


@dataclass(frozen=True)
class CheapWish:
    """A wish that is cheap to make sure of."""

    name: str
    words: str


@dataclass(frozen=True)
class Beside:
    """Another plan under the same seasons: the person's own, or that of a season with one change.

    `more` is money that it brings more than the plan shown; `broken` are limits that it breaks, and with any it cannot win.
    """

    words: str
    value: float
    more: float
    grafts: int
    chances: tuple[float, ...]
    broken: tuple[str, ...] = ()
    won: bool = False
    number: int = 0


@dataclass(frozen=True)
class MostValue:
    """The plan of the same season that asks for no certainty, under the same seasons; `chances` wish by wish as in the schedule.

    `bought` is False where asking makes no wish surer on the whole, and the schedule is a plan for most value then.
    """

    value: float
    grafts: int
    chances: tuple[float, ...]
    bought: bool


@dataclass(frozen=True)
class Assumed:
    """Something that was assumed; `figure` is its name where a person can move it, with its value and unit, else empty."""

    words: str
    figure: str = ""
    value: float | str | None = None
    unit: str = ""
    moved: bool = False


@dataclass(frozen=True)
class Drift:
    """How the season goes against the accepted plan: grafts planned by now, made by now, finished plants expected then and now."""

    wish: str
    name: str
    planned: int
    made: int
    expected_then: float
    expected_now: float

    @property
    def words(self) -> str:
        """By now 30 were planned and 24 are made; 18 were expected in the end, now 16."""
        return say(
            "{name}: by now {planned} were planned and {made} are made; {then} were expected in the end, now {now}.",
            name=self.name, planned=self.planned, made=self.made, then=round(self.expected_then), now=round(self.expected_now),
        )  # fmt: skip


@dataclass(frozen=True)
class Schedule:
    """A season's schedule. `clash` names the smallest set of limits that keeps some wish from being met, empty where all can be.

    `asked` is what was asked for, as `schedule_asking.Ask` writes it; `source` is solved, moved (a row was moved by hand) or tried.
    `value` is money on average over the judging seasons; `planned` that over the seasons that the plan was made from, `bound` what no plan
    exceeds in those, and `gap` the part of `planned` between them: money alone, whatever certainty was asked for.
    `broken` are limits that hand moves broke, `unused` says why stocks of the book are not used. `complete` is False where the search was
    ended early: by `stopped`, or by its seconds.
    """

    season: int
    ident: str
    made_at: datetime
    today: date
    source: str
    effort: str
    asked: dict[str, Any]
    rows: tuple[ScheduleRow, ...]
    weeks: tuple[ScheduleWeek, ...]
    wishes: tuple[WishOutlook, ...]
    value: float
    low: float
    high: float
    cost: float
    bound: float | None
    gap: float | None
    complete: bool
    stopped: bool
    held_up: tuple[HeldUp, ...] = ()
    changes: tuple[Change, ...] = ()
    cheap: tuple[CheapWish, ...] = ()
    own: Beside | None = None
    most_value: MostValue | None = None
    planned: float | None = None
    tried: tuple[Beside, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    clash: str = ""
    broken: tuple[str, ...] = ()
    unused: tuple[str, ...] = ()
    drift: tuple[Drift, ...] = ()
    first: bool = False
    facts: str = ""
    year_words: str = ""
    left_out: tuple[str, ...] = ()

    @property
    def grafts(self) -> int:
        return sum(row.grafts for row in self.rows)

    @property
    def reached(self) -> float:
        """Wishes reached, on average."""
        return sum(wish.chance for wish in self.wishes)

    @property
    def gap_words(self) -> str:
        """No plan is worth more than 1.3 % more than this one, in the seasons that it was made from."""
        if self.first or not self.rows:
            return ""
        if self.planned is None or self.bound is None:
            return say("How far it is from the best plan is not known.")
        more = max(self.bound - self.planned, 0.0)
        if more < max(0.5, 0.0005 * abs(self.planned)):
            return say("No other plan is worth more, in the seasons that this one was made from.")
        if self.gap is None or self.gap > 1.0:
            return say("No other plan is worth more than {money} more, in the seasons that this one was made from.", money=f"{more:,.0f}")
        share = f"{self.gap * 100:.1f}"
        return say("No other plan is worth more than {share} % more, in the seasons that this one was made from.", share=share)

    @property
    def search_words(self) -> str:
        """How the search ended, where it was not at its own end."""
        if self.first:
            return say("A first plan; better ones are being looked for.")
        if self.stopped:
            return say("Stopped by you: the best plan so far.")
        ended = "" if self.complete else say("The time was up: the best plan so far; it may differ next time.")
        things = listed([LEFT_OUT[each] for each in self.left_out])
        missed = say("No time was left to look at {what}.", what=things) if things else ""
        return f"{ended} {missed}".strip()

    @property
    def sentence(self) -> str:
        """2027: 212 grafts in 9 weeks; 8 of 12 wishes reached in a usual year."""
        if not self.rows:
            return say("{season}: nothing can be grafted for these wishes.", season=self.season)
        weeks = len({row.week for row in self.rows})
        return say(
            "{season}: {grafts} in {weeks}; on average {reached} of {wishes} reached.",
            season=self.season, grafts=plural(self.grafts, "graft"), weeks=plural(weeks, "week"),
            reached=f"{self.reached:.1f}".removesuffix(".0"), wishes=plural(len(self.wishes), "wish", "wishes"),
        )  # fmt: skip
