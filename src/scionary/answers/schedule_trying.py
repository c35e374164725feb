"""What if: another tray, a Saturday, more stocks, wood or money, or some pots only; its plan beside the present one."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np

from scionary.answers.schedule import Beside, Schedule
from scionary.answers.schedule_kept import change_kept
from scionary.answers.schedule_solving import Ask, Tell, season_of, solved
from scionary.answers.season_problem import Season
from scionary.answers.words import read_whole, short_day
from scionary.errors import Refused
from scionary.language import either, say
from scionary.plan import (
    Instead,
    PlanProblem,
    PlanResult,
    more_hours,
    more_money,
    more_sticks,
    more_stocks,
    more_trays,
    only_pots,
    try_instead,
)
from scionary.plan.helping import SATURDAY_HOURS
from scionary.plan.limits import amount_words

MOST_TRIED = 6
_PRESENT = 0.4  # how far the work is when the present plan is at hand; mostly it is kept, and that is at once
_NUMBER = r"(?P<number>\d{1,6}(?:\.\d+)?|[a-z]+)"
_WEEK = r"(?:\s+in\s+week\s+(?P<week>\d{1,2})(?:\s*(?:to|-)\s*(?P<last>\d{1,2}))?)?"
_TEXTS = (
    ("trays", re.compile(rf"^{_NUMBER}\s+(?P<less>more|fewer|less)?\s*(?:trays?|domes?)(?:\s+like\s+(?P<which>.+?))?{_WEEK}$", re.I)),
    ("saturday", re.compile(rf"^(?:a|one)\s+saturday{_WEEK}$", re.I)),
    ("hours", re.compile(rf"^{_NUMBER}\s+(?P<less>more|fewer|less)?\s*hours?{_WEEK}$", re.I)),
    ("stocks", re.compile(rf"^{_NUMBER}\s+(?P<less>more|fewer|less)?\s*(?:root)?stocks?(?:\s+of\s+(?P<which>.+?))?$", re.I)),
    ("sticks", re.compile(rf"^{_NUMBER}\s+(?P<less>more|fewer|less)?\s*sticks?(?:\s+of\s+(?P<which>.+?))?$", re.I)),
    ("money", re.compile(rf"^{_NUMBER}\s+(?P<less>more|fewer|less)?\s*money$", re.I)),
    ("pots", re.compile(r"^only\s+(?P<which>.+?)(?:\s+pots?)?$", re.I)),
)


def try_beside(schedule: Schedule, change: Mapping[str, Any] | str, *, today: date, progress: Tell | None = None) -> Schedule:
    """The schedule with another season's plan beside it, kept where it was kept; a change may be said in words."""
    return set_beside(schedule, tried_change(schedule, change, today=today, progress=progress))


def tried_change(schedule: Schedule, change: Mapping[str, Any] | str, *, today: date, progress: Tell | None = None) -> Beside:
    """The plan of a season with one change, to be set beside."""
    tell = progress or (lambda fraction, word: True)
    ask = ask_of(schedule)
    season = season_of(ask, today=today)
    asked = change_said(change, season) if isinstance(change, str) else dict(change)
    present = solved(season, ask, progress=lambda fraction, word: tell(_PRESENT * fraction, word))
    found = _instead(
        season, present, asked, seed=ask.seed, progress=lambda fraction, word: tell(_PRESENT + (1 - _PRESENT) * fraction, word)
    )
    return Beside(
        words=change_words(season, asked),
        value=found.result.seen.mean,
        more=found.worth,
        grafts=int(found.result.grafts.sum()),
        chances=tuple(found.result.chance.tolist()),
    )


def _instead(season: Season, present: PlanResult, asked: Mapping[str, Any], *, seed: int, progress: Tell) -> Instead:
    """The plan of the changed season; wishes that the present plan keeps as most value gives them stay so where that leaves room."""
    least, options = present.made_from.problem.options.least, season.problem.options
    if len(least) == len(options) and not np.array_equal(least, options.least):
        keeping = replace(season, problem=replace(season.problem, options=replace(options, least=least)))
        try:
            return try_instead(changed_problem(keeping, asked), present, rng=seed, progress=progress)
        except Refused:  # the change leaves no room for what is kept, or cannot be tried at all, which is said below
            pass
    return try_instead(changed_problem(season, asked), present, rng=seed, progress=progress)


def set_beside(schedule: Schedule, tried: Beside) -> Schedule:
    """The schedule with a plan beside it, kept where it was kept; the oldest of more than a few goes."""
    numbered = replace(tried, number=1 + max((each.number for each in schedule.tried), default=0))
    beside = replace(schedule, tried=(*schedule.tried, numbered)[-MOST_TRIED:])
    return change_kept(beside) if schedule.ident else beside


def ask_of(schedule: Schedule) -> Ask:
    """What the present plan was asked for, to ask it of another season."""
    return replace(Ask.of(schedule.asked), own=(), seconds=None)


def change_said(text: str, season: Season) -> dict[str, Any]:
    """One more tray in week 13; a Saturday in week 31; 50 more stocks of 26-A; 10 more sticks of the old tree; only 4-inch square."""
    for what, pattern in _TEXTS:
        match = pattern.match(text.strip())
        if match is None:
            continue
        said = match.groupdict()
        number = SATURDAY_HOURS if what == "saturday" else _number(said.get("number") or "1", text)
        less = (said.get("less") or "").casefold() in ("fewer", "less")
        change: dict[str, Any] = {"what": "hours" if what == "saturday" else what, "number": -number if less else number}
        if said.get("which"):
            change["which"] = said["which"].strip()
        elif what == "stocks":
            change |= _most_wanted(season)
        return change | _weeks(season, said)
    raise Refused(
        say("{typed!r} is no change that can be tried.", typed=text[:60]), where="plan",
        remedy=say(
            "Say: one more tray in week 13; a Saturday in week 31; 50 more stocks; 10 more sticks of a tree; 100 more money;"
            " only 4-inch square."
        ),
    )  # fmt: skip


def _most_wanted(season: Season) -> dict[str, str]:
    """Where no lot is named, of the counted lots of the book the one that serves most wishes; nothing where there is none."""
    options, lots = season.problem.options, season.lots
    serves = [
        len(set(options.target[options.stock_lot == at].tolist())) if lot.lot is not None and lot.number is not None else 0
        for at, lot in enumerate(lots)
    ]
    return {"which": lots[int(np.argmax(serves))].name} if any(serves) else {}


def changed_problem(season: Season, change: Mapping[str, Any]) -> PlanProblem:
    """The season so changed; refuses what the season has not."""
    problem, what, number = season.problem, change.get("what"), float(change.get("number") or 1)
    if not abs(number) <= 1e6:
        raise Refused(say("so much more is no sensible change."), where="plan", remedy=say("Give a smaller number."))
    if what == "trays":
        return more_trays(problem, _room(season, str(change.get("which") or "")), number, _span(season, change))
    if what == "hours":
        return more_hours(problem, number, _span(season, change))
    if what == "stocks":
        return more_stocks(problem, _named(problem.stocks.names, str(change.get("which") or ""), say("lot")), number)
    if what == "sticks":
        return more_sticks(problem, _named(problem.sticks.names, str(change.get("which") or ""), say("mother tree")), number)
    if what == "money":
        return more_money(problem, number)
    if what == "pots":
        return only_pots(problem, (_named(problem.pots.names, str(change.get("which") or ""), say("kind of pot")),))
    raise Refused(
        say("this is no change that can be tried."), where="plan", remedy=say("Try a tray, hours, stocks, sticks, money or pots.")
    )


def change_words(season: Season, change: Mapping[str, Any]) -> str:
    """What was changed, in words: 1 more dome like Dome 1, week of 3 August."""
    what, number, which = change.get("what"), float(change.get("number") or 1), str(change.get("which") or "")
    if what == "pots":
        return say("only {pot}", pot=which)
    names = {
        "trays": season.rooms[_room(season, which)].name if what == "trays" else "",
        "hours": say("hours at the bench"),
        "stocks": say("stocks of {name}", name=_full(season.problem.stocks.names, which)),
        "sticks": say("sticks of {name}", name=_full(season.problem.sticks.names, which)),
        "money": say("money"),
    }
    much = amount_words(abs(number))
    told = (
        say("{much} more: {name}", much=much, name=names[str(what)])
        if number >= 0
        else say("{much} fewer: {name}", much=much, name=names[str(what)])
    )
    if not change.get("from"):
        return told
    first, last = (date.fromisoformat(str(change[name])) for name in ("from", "until"))
    if first == last:
        return say("{told}, week of {day}", told=told, day=short_day(first))
    return say("{told}, weeks of {first} to {last}", told=told, first=short_day(first), last=short_day(last))


def _number(text: str, whole: str) -> float:
    found = read_whole(text) if not text[0].isdigit() else None
    if found is None and not text[0].isdigit():
        if text.casefold() != "another":
            raise Refused(say("{typed!r} has no number.", typed=whole[:60]), where="plan", remedy=say("Say how many more: one more tray."))
        found = 1
    return float(text) if found is None else float(found)


def _weeks(season: Season, said: Mapping[str, str | None]) -> dict[str, str]:
    """The Mondays of weeks that were said by their numbers; none said: all."""
    if not said.get("week"):
        return {}
    by_number = {monday.isocalendar().week: monday for monday in reversed(season.mondays)}
    first, last = (by_number.get(int(each)) for each in (said["week"] or "0", said.get("last") or said["week"] or "0"))
    if first is None or last is None or last < first:
        raise Refused(
            say("week {week} is none of the weeks that can be planned.", week=said["week"]), where="plan",
            remedy=say(
                "They run from the week of {first} to that of {last}.",
                first=short_day(season.mondays[0]), last=short_day(season.mondays[-1]),
            ),
        )  # fmt: skip
    return {"from": first.isoformat(), "until": last.isoformat()}


def _span(season: Season, change: Mapping[str, Any]) -> slice:
    if not change.get("from"):
        return slice(None)
    first, last = (date.fromisoformat(str(change[name])) for name in ("from", "until"))
    inside = [at for at, monday in enumerate(season.mondays) if first <= monday <= last]
    if not inside:
        raise Refused(say("these weeks are past."), where="plan", remedy=say("Take weeks to come."))
    return slice(inside[0], inside[-1] + 1)


def _room(season: Season, which: str) -> int:
    """The room that is named, by itself or by one of its domes; else the one with most domes."""
    called = which.casefold()
    for at, room in enumerate(season.rooms):
        if called and (called == room.name.casefold() or any(called == dome.name.casefold() for dome in room.domes)):
            return at
    if called:
        names = either(dome.name for room in season.rooms for dome in room.domes)
        raise Refused(say("the book holds no dome {name!r}.", name=which[:60]), where="plan", remedy=say("Say: like {names}.", names=names))
    return int(np.argmax([len(room.domes) for room in season.rooms]))


def _named(names: tuple[str, ...], which: str, what: str) -> int:
    if not which and len(names) == 1:
        return 0
    found = [at for at, name in enumerate(names) if name.casefold() == which.casefold()]
    found = found or [at for at, name in enumerate(names) if which and which.casefold() in name.casefold()]
    if len(found) != 1:
        raise Refused(
            say("{which!r} names no {what} of this season.", which=which[:60], what=what) if not found
            else say("{which!r} names more than one {what}.", which=which[:60], what=what),
            where="plan",
            remedy=say("Say which: {names}.", names=either(names[:8])) if names else say("There is none that limits the plan."),
        )  # fmt: skip
    return found[0]


def _full(names: tuple[str, ...], which: str) -> str:
    return next((name for name in names if which and which.casefold() in name.casefold()), names[0] if len(names) == 1 else which)
