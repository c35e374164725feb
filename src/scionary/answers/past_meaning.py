"""What each row of a grower's past records means for the book: a plant of its own, or a count. Nothing here writes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from scionary.answers.growing_year import in_leaf_date
from scionary.answers.rates import STAGES
from scionary.answers.words import plural
from scionary.book.commands import noon
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.files.past_records import Look, NotUnderstood, PastRow
from scionary.language import mark, say

# The records seldom say when someone looked: so many days after grafting, and the note says so. Project default, unsourced.
LOOK_DAYS = {"firm": 45, "growing": 90}
_IN_LEAF_DAYS = 60  # after the equinox of the next spring; project default, unsourced
NOT_SAID = "not said"  # a person's answer: the records do not say at which stage they counted
WHY_A_PLANT = mark("one graft whose time is known, and the stage of its takes")
_NO_STAGE = mark("at which stage it took is not said")
_MID_MONTH, _MID_YEAR = 15, (7, 1)
_EARLIEST_YEAR = 1900
_LONGEST_NAME = 60
_RUNNING = re.compile(r"(?:.*\D)?(\d{1,6})")


@dataclass(frozen=True)
class Choices:
    """Names as they stand in the file, and what the person says they are; an empty name leaves a method or lot out."""

    cultivars: Mapping[str, str] = field(default_factory=dict)
    methods: Mapping[str, str] = field(default_factory=dict)
    lots: Mapping[str, str] = field(default_factory=dict)

    def cultivar(self, name: str) -> str:
        return _chosen(self.cultivars, name) or name

    def method(self, name: str) -> str:
        return _chosen(self.methods, name)

    def lot(self, name: str) -> str:
        return _chosen(self.lots, name)


@dataclass(frozen=True)
class Sign:
    """One look at a plant: the stage, whether it had reached it, and a moment for it."""

    stage: str
    answer: str
    at: datetime


@dataclass(frozen=True)
class Meaning:
    """What one row becomes. `grafted_at` with a plant alone; `counts` are (stage, takes) with a count alone."""

    row: PastRow
    cultivar: str
    method: str
    lot: str
    note: str
    words: str
    why: str
    grafted_at: datetime | None = None
    precision: str = "day"
    running: int | None = None
    signs: tuple[Sign, ...] = ()
    lost_at: datetime | None = None
    counts: tuple[tuple[str | None, int | None], ...] = ()

    @property
    def is_plant(self) -> bool:
        return self.grafted_at is not None


def read_stage(stage: str | None) -> str | None:
    """The stage that a person says the counts speak of, checked; None also for "not said"."""
    if stage in (None, "", NOT_SAID):
        return None
    if stage not in STAGES:
        raise Refused(
            say("no stage is called {stage!r}.", stage=stage),
            where="stage",
            remedy=say("Stages: {stages}, or '{not_said}'.", stages=", ".join(STAGES), not_said=NOT_SAID),
        )
    return stage


def meanings(
    rows: Iterable[PastRow], *, stage: str | None, choices: Choices, as_counts: bool, nursery: Nursery, now: datetime
) -> tuple[list[Meaning], list[NotUnderstood]]:
    """What the rows become, and those that cannot be taken although each cell is understood."""
    taken: list[Meaning] = []
    refused: list[NotUnderstood] = []
    for row in rows:
        problem = _problem(row, choices)
        if problem:
            refused.append(problem)
            continue
        looks = tuple(Look(look.takes, look.outcome, look.stage or read_stage(stage), look.column) for look in row.looks)
        taken.append(_meaning(row, looks, choices, nursery, now, as_counts=as_counts))
    return taken, refused


def _problem(row: PastRow, choices: Choices) -> NotUnderstood | None:
    name = choices.cultivar(row.cultivar)
    if len(name) > _LONGEST_NAME:
        why = say("the cultivar's name has {name} characters; at most {longest_name} are kept.", name=len(name), longest_name=_LONGEST_NAME)
        return NotUnderstood(row.row, "cultivar", name[:80], why, say("Shorten it; what else stands there belongs into a note."))
    year = row.date.year if row.date else row.season
    if year is not None and year < _EARLIEST_YEAR:
        return NotUnderstood(
            row.row,
            "date",
            str(year),
            say("the year {year} lies before {earliest_year}.", year=year, earliest_year=_EARLIEST_YEAR),
            say("Write the year in four digits."),
        )
    return None


def _meaning(row: PastRow, looks: tuple[Look, ...], choices: Choices, nursery: Nursery, now: datetime, *, as_counts: bool) -> Meaning:
    moment, precision = grafted(row, nursery, now)
    cultivar, method, lot = choices.cultivar(row.cultivar), choices.method(row.method), choices.lot(row.stock_lot)
    method, lot = (name if len(name) <= _LONGEST_NAME else "" for name in (method, lot))
    known = [look for look in looks if look.takes is not None]
    alone = row.grafts == 1 and moment is not None and not as_counts and all(look.stage for look in known)
    running = _running(row.label) if alone else None
    extra = [
        "" if method or not row.method else f"method: {row.method}",
        "" if lot or not row.stock_lot else f"stock: {row.stock_lot}",
        "" if running or not row.label else f"label: {row.label}",
        "" if alone or not row.place else f"place: {row.place}",
    ]
    note = "; ".join(part for part in (row.note, *extra) if part)
    if not alone or moment is None:
        counts = _counts(looks)
        words, why = _count_words(row, cultivar, counts), _why_a_count(row, moment, as_counts=as_counts)
        return Meaning(row, cultivar, method, lot, note, words, why, counts=counts)
    answers = [(str(look.stage), mark("yes") if look.takes else mark("no")) for look in known]
    signs = tuple(Sign(stage, answer, _looked_at(moment, stage, nursery, now)) for stage, answer in answers)
    lost_at = signs[-1].at if signs and signs[-1].answer == "no" else None
    words = _plant_words(cultivar, moment, precision, signs, nursery)
    return Meaning(row, cultivar, method, lot, note, words, WHY_A_PLANT, moment, precision, running, signs, lost_at)


def stage_decides(meaning: Meaning, *, as_counts: bool) -> bool:
    """Whether a row would become a plant of its own if only the stage of its takes were said."""
    return meaning.why == _NO_STAGE and not as_counts


def _why_a_count(row: PastRow, moment: datetime | None, *, as_counts: bool) -> str:
    if row.grafts != 1:
        return say("a row of several grafts")
    if as_counts:
        return say("all rows are to be kept as counts")
    return say("when it was grafted is not known") if moment is None else _NO_STAGE


def grafted(row: PastRow, nursery: Nursery, now: datetime) -> tuple[datetime | None, str]:
    """A moment for the graft and how exactly it is known; the middle of a month or year that still runs is not put into the future."""
    if row.date is not None and row.precision == "day":
        return noon(row.date, nursery), "day"
    if row.date is not None:
        return _no_later(noon(row.date.replace(day=_MID_MONTH), nursery), now), "month"
    if row.season is not None:
        middle = noon(datetime(row.season, *_MID_YEAR).date(), nursery)
        return _no_later(middle, now), "year"
    return None, "year"


def _no_later(moment: datetime, now: datetime) -> datetime:
    """At most now, unless the year itself lies ahead: that is written as it stands, and flagged."""
    return min(moment, now) if moment.year <= now.year else moment


def _looked_at(grafted_at: datetime, stage: str, nursery: Nursery, now: datetime) -> datetime:
    """A moment for a look whose day the records do not say: after the graft, not in the future; in leaf in the spring after."""
    if stage == "in_leaf":
        wanted = noon(in_leaf_date(grafted_at.astimezone(nursery.zone).date(), nursery.latitude_deg, _IN_LEAF_DAYS), nursery)
    else:
        wanted = grafted_at + timedelta(days=LOOK_DAYS[stage])
    return max(grafted_at + timedelta(minutes=1), min(wanted, now))


def _counts(looks: tuple[Look, ...]) -> tuple[tuple[str | None, int | None], ...]:
    """One count a stage, the last look at it that says something; a row without any look is one count with nothing known."""
    found: dict[str | None, int | None] = {}
    for look in looks:
        if look.takes is not None or look.stage not in found:
            found[look.stage] = look.takes
    known = {stage: takes for stage, takes in found.items() if takes is not None or stage is not None}
    return tuple(known.items()) or ((None, None),)


def _running(label: str) -> int | None:
    match = _RUNNING.fullmatch(label.strip())
    number = int(match[1]) if match else 0
    return number if 1 <= number <= 1_000_000 else None


def _plant_words(cultivar: str, moment: datetime, precision: str, signs: tuple[Sign, ...], nursery: Nursery) -> str:
    day = moment.astimezone(nursery.zone).date().isoformat()
    when = {"month": day[:7], "year": day[:4]}.get(precision, day)
    seen = ", ".join(f"{STAGES[sign.stage]}: {say(sign.answer)}" for sign in signs) or say("how it went is not known")
    return say("A plant of its own: {cultivar}, grafted {when}; {seen}.", cultivar=cultivar, when=when, seen=seen)


def _count_words(row: PastRow, cultivar: str, counts: tuple[tuple[str | None, int | None], ...]) -> str:
    when = row.date.isoformat() if row.date and row.precision == "day" else str(row.season) if row.season else say("when is not known")
    parts = []
    for stage, takes in counts:
        where = STAGES[stage] if stage else say("the stage is not said")
        parts.append(
            say("{takes} of {grafts} took ({where})", takes=takes, grafts=row.grafts, where=where)
            if takes is not None
            else say("how many of {grafts} took is not known ({where})", grafts=row.grafts, where=where)
        )
    return say(
        "A count: {cultivar}, {grafts}, {when}; {counts}.",
        cultivar=cultivar,
        grafts=plural(row.grafts, "graft"),
        when=when,
        counts="; ".join(parts),
    )


def _chosen(names: Mapping[str, str], name: str) -> str:
    """What the person says a name is; the name itself where nothing was said."""
    wanted = {written.casefold(): meant for written, meant in names.items()}
    return " ".join(wanted.get(name.casefold(), name).split())
