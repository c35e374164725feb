"""A schedule in words that page and terminal share: another plan beside it, and what asking for certainty costs and buys."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scionary.answers.schedule import Beside, Change, Schedule, WishOutlook
from scionary.answers.schedule_surety import lost_chance
from scionary.answers.words import listed, percent, plural
from scionary.language import say

_NEAR = 0.005  # chances nearer than this are the same in per cent


def money(value: float) -> str:
    """1,250, and never a part of a coin."""
    return f"{value:,.0f}".replace("-0", "0") if abs(value) < 0.5 else f"{value:,.0f}"


def money_beside(schedule: Schedule, other: Beside) -> str:
    """What another plan brings more or less in money, and apart from that counting how sure one wants to be."""
    by = other.value - schedule.value
    if abs(by) < 0.5:
        differs = say("As much value: {value}.", value=money(other.value))
    elif by > 0:
        differs = say("Value {value}: {more} more than this plan.", value=money(other.value), more=money(by))
    else:
        differs = say("Value {value}: {less} less than this plan.", value=money(other.value), less=money(-by))
    surer = sureness_beside(by, other.more)
    return f"{differs} {surer}" if surer else differs


def sureness_beside(in_money: float, in_all: float) -> str:
    """The difference that counts certainty too, where it is another than that in money; else empty."""
    if abs(in_all - in_money) < 0.5:
        return ""
    if in_all >= 0:
        return say("Counting also how sure you want to be: {more} better.", more=money(in_all))
    return say("Counting also how sure you want to be: {more} worse.", more=money(-in_all))


def change_worth(change: Change) -> str:
    """What trying a change brings, in money and apart from that counting how sure one wants to be."""
    if change.score is None:
        return say("Worth about {worth}, counting how sure you want to be.", worth=money(change.worth))
    told = say("Tried with whole grafts: about {worth} more.", worth=money(change.worth))
    if change.worth < -0.5:
        told = say("Tried with whole grafts: about {worth} less.", worth=money(-change.worth))
    surer = sureness_beside(change.worth, change.score)
    return f"{told} {surer}" if surer else told


def surety_words(schedule: Schedule) -> str:
    """What asking for certainty costs and buys beside most value; plainly, where none was found. Empty where none was asked for."""
    plain = schedule.most_value
    if plain is None or len(plain.chances) != len(schedule.wishes):
        return ""
    sure = [wish.chance >= wish.asked - _NEAR for wish in schedule.wishes if wish.asked is not None]
    if not plain.bought:
        if not schedule.grafts:
            return ""  # nothing can be grafted: the reason stands with the wishes
        if all(sure):
            return say("Most value is as sure as you asked, and this is that plan.")
        told = say(
            "No surer plan was found that does not take more from some wishes than it gives others. This is the plan for most value."
        )
        return told if schedule.effort != "quick" else f"{told} {say('A longer look may find one.')}"
    pairs = [(wish, chance) for wish, chance in zip(schedule.wishes, plain.chances, strict=True) if wish.asked is not None]
    plainly_sure = sum(chance >= (wish.asked or 0.0) - _NEAR for wish, chance in pairs)
    told = say(
        "As sure as asked: {here} of {wishes}; under most value {there}. Reached on average: {reached}; under most value {plainly}.",
        here=sum(sure), wishes=plural(len(sure), "wish", "wishes"), there=plainly_sure, reached=f"{schedule.reached:.1f}",
        plainly=f"{sum(plain.chances):.1f}",
    )  # fmt: skip
    by = plain.value - schedule.value
    cost = say("It costs {money}: most value is worth {value}.", money=money(by), value=money(plain.value))
    return " ".join(each for each in (told, cost if by >= 0.5 else say("It costs nothing."), _losing(pairs)) if each)


def _losing(pairs: Sequence[tuple[WishOutlook, float]]) -> str:
    """Which wishes lose their chance to others."""
    asked = np.array([np.nan if wish.asked is None else wish.asked for wish, _ in pairs])
    lost = lost_chance(np.array([wish.chance for wish, _ in pairs]), asked, np.array([chance for _, chance in pairs]))
    told = [
        say("{name} ({here} instead of {there})", name=wish.name, here=percent(wish.chance), there=percent(chance))
        for (wish, chance), gone in zip(pairs, lost.tolist(), strict=True)
        if gone
    ]
    return say("To make others sure it takes the chance from {names}.", names=listed(told)) if told else ""


def chance_under_most_value(schedule: Schedule, wish: WishOutlook) -> str:
    """Under most value 35 %; empty where that plan is this one, or none was set beside."""
    plain = schedule.most_value
    if plain is None or not plain.bought or len(plain.chances) != len(schedule.wishes):
        return ""
    return say("Under most value {chance}.", chance=percent(plain.chances[schedule.wishes.index(wish)]))
