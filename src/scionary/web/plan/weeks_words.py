"""A schedule in words for its page: another plan beside it, what falls short, what it is worth."""

from __future__ import annotations

from dataclasses import dataclass

from scionary.answers.schedule import Beside, Schedule, ScheduleRow, WishOutlook
from scionary.answers.schedule_words import money, money_beside
from scionary.answers.words import percent, plural
from scionary.language import say

_TELLS = 0.02  # chances nearer than this are called the same; project default, unsourced


@dataclass(frozen=True)
class BesideWords:
    """Another plan against the present one."""

    words: str
    differs: str
    chances: tuple[str, ...]
    broken: tuple[str, ...]


def beside_words(schedule: Schedule, other: Beside) -> BesideWords:
    """What another plan brings more or less than the present one, and which chances change."""
    differs = money_beside(schedule, other)
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


def wishes_shown(schedule: Schedule) -> list[WishOutlook]:
    """Those that fall short of what was asked first, then the others."""
    return sorted(schedule.wishes, key=lambda wish: not falls_short(wish))


def rows_with_reasons(schedule: Schedule, wish: WishOutlook) -> list[ScheduleRow]:
    """The rows of a wish that say why they stand where they do."""
    return [row for row in schedule.rows if row.wish == wish.wish and row.why]


def falls_short(wish: WishOutlook) -> bool:
    return wish.cut or (wish.asked is not None and wish.chance < wish.asked - 0.005)


def value_words(schedule: Schedule) -> str:
    """What the season is worth."""
    return say(
        "Worth {value} on average, after costs of {cost}; one season in twenty under {low}, one over {high}.",
        value=money(schedule.value), cost=money(schedule.cost), low=money(schedule.low), high=money(schedule.high),
    )  # fmt: skip
