"""A schedule in words for its page: another plan beside it, fillings by dome, wood by tree and week."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from scionary.answers.schedule import Beside, Change, Schedule, WishOutlook
from scionary.answers.words import percent, plural
from scionary.language import say
from scionary.web.plan.weeks_drawing import filling_words

_TELLS = 0.02  # chances nearer than this are called the same; project default, unsourced


@dataclass(frozen=True)
class BesideWords:
    """Another plan against the present one."""

    words: str
    differs: str
    chances: tuple[str, ...]
    broken: tuple[str, ...]


def money(value: float) -> str:
    """1,250, and never a part of a coin."""
    return f"{value:,.0f}".replace("-0", "0") if abs(value) < 0.5 else f"{value:,.0f}"


def beside_words(schedule: Schedule, other: Beside) -> BesideWords:
    """What another plan brings more or less than the present one, and which chances change."""
    if abs(other.more) < 0.5:
        differs = say("As much value: {value}.", value=money(other.value))
    elif other.more > 0:
        differs = say("Value {value}: {more} more than this plan.", value=money(other.value), more=money(other.more))
    else:
        differs = say("Value {value}: {less} less than this plan.", value=money(other.value), less=money(-other.more))
    if other.grafts:
        differs = f"{differs} {say('{grafts}.', grafts=plural(other.grafts, 'graft'))}"
    same = len(other.chances) == len(schedule.wishes)
    pairs = zip(schedule.wishes, other.chances, strict=True) if same else ()
    chances = tuple(
        say("{name}: {there} instead of {here}", name=wish.name, there=percent(chance), here=percent(wish.chance))
        for wish, chance in pairs
        if abs(chance - wish.chance) >= _TELLS
    )
    return BesideWords(other.words[:1].upper() + other.words[1:], differs, chances, other.broken)


def change_worth(change: Change) -> str:
    """About how much a change is worth."""
    return say("Worth about {worth}, to within {within}.", worth=money(change.worth), within=money(change.within))


def wishes_shown(schedule: Schedule) -> list[WishOutlook]:
    """Those that fall short of what was asked first, then the others."""
    return sorted(schedule.wishes, key=lambda wish: not falls_short(wish))


def falls_short(wish: WishOutlook) -> bool:
    return wish.cut or (wish.asked is not None and wish.chance < wish.asked - 0.005)


def value_words(schedule: Schedule) -> str:
    """What the season is worth."""
    return say(
        "Worth {value} on average, after costs of {cost}; one season in twenty under {low}, one over {high}.",
        value=money(schedule.value), cost=money(schedule.cost), low=money(schedule.low), high=money(schedule.high),
    )  # fmt: skip


def fillings(schedule: Schedule) -> Iterator[tuple[date, str]]:
    """Every filling in words with the week in which it begins, dome by dome."""
    for place in range(len(schedule.weeks[0].domes) if schedule.weeks else 0):
        stands = [(week.monday, week.domes[place]) for week in schedule.weeks]
        for (kind, _), run in groupby(stands, key=lambda each: (each[1].kind, each[1].since)):
            stretch = list(run)
            if kind != "free":
                yield stretch[0][0], filling_words([each for _, each in stretch])


@dataclass(frozen=True)
class WoodLine:
    """Sticks to cut from one tree for one week."""

    week: date
    tree: str
    name: str
    sticks: int
    grafts: int


def wood(schedule: Schedule) -> list[WoodLine]:
    """Sticks by week and tree, whole ones."""
    found = []
    rows = sorted(schedule.rows, key=lambda row: (row.week, row.tree, row.name))
    for (week, tree, name), run in groupby(rows, key=lambda row: (row.week, row.tree, row.name)):
        here = list(run)
        found.append(WoodLine(week, tree, name, math.ceil(sum(row.sticks for row in here) - 1e-6), sum(row.grafts for row in here)))
    return found
