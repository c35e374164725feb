"""What a wish list needs, and what is short.

Adds up; it does not choose. Where supplies are short, what to give up is the person's decision. Everything is grafted in one window, so
all trays stand at once; several rounds are mentioned where trays are short.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import ceil
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import mark, say
from scionary.plan.wishes import Supplies, Wish

GRAFTS_PER_STICK = 1.0  # project default, unsourced: the careful end
MINUTES_PER_GRAFT = 5.0  # a beginner makes 8 to 15 an hour: common practice, no source
HEALING_WEEKS = 5.0  # about a month closed, then by degrees: common practice, no source
SURVIVAL = 1.0  # project default, unsourced: nothing is lost after the take

GraftsNeeded = Callable[[npt.NDArray[np.float64], int, float], int | None]
ChanceOfAtLeast = Callable[[npt.NDArray[np.float64], int, int], float]
LikelyTakes = Callable[[npt.NDArray[np.float64], int], tuple[int, int, int]]


@dataclass(frozen=True)
class WishNeeds:
    """What one wish needs; the numbers are None where no sensible number of grafts reaches it.

    Attributes
    ----------
    name : str
        The wish.
    wanted : int
        Finished plants wanted.
    assurance : float
        Chance asked for.
    grafts, rootstocks, sticks : int or None
        Numbers needed; a rootstock a graft.
    hours : float or None
        At the bench.
    takes, finished : (low, middle, high) or None
        Takes, and finished plants, to expect of that many grafts.
    chance : float or None
        Chance of `wanted` finished plants or more.
    grafts_with_sticks : int or None
        What the sticks at hand allow, where they are too few.
    chance_with_sticks : float or None
        The chance with those.
    """

    name: str
    wanted: int
    assurance: float
    grafts: int | None
    rootstocks: int | None
    sticks: int | None
    hours: float | None
    takes: tuple[int, int, int] | None
    finished: tuple[int, int, int] | None
    chance: float | None
    grafts_with_sticks: int | None = None
    chance_with_sticks: float | None = None


@dataclass(frozen=True)
class Shortage:
    """Something that there is too little of.

    Attributes
    ----------
    what : str
        ``sticks``, ``rootstocks``, ``trays``, ``bench hours``, or ``grafts`` where no number of them is enough.
    of : str
        Which wish or kind; empty for trays and hours.
    needed, have, missing : float or None
        Numbers; None where no number is enough.
    words : str
        One sentence.
    """

    what: str
    of: str
    needed: float | None
    have: float | None
    missing: float | None
    words: str


@dataclass(frozen=True)
class SeasonNeeds:
    """What a wish list needs altogether.

    Attributes
    ----------
    wishes : tuple of WishNeeds
        One a wish, in the order given.
    grafts, rootstocks, sticks : int
        Sums over the wishes that can be reached.
    hours : float
        At the bench.
    rootstocks_by_kind : mapping of str to int
        Rootstocks of each kind.
    trays : int or None
        Trays that stand at once; None where it is not known how many pots a tray takes.
    trays_by_pot : mapping of str to int
        Trays of each kind of pot that is known; pots of different wishes share trays, kinds of pots do not.
    healing_weeks : float
        The longest time that a tray is taken up.
    short : tuple of Shortage
        What there is too little of.
    assumed : tuple of str
        What was not known and supposed, or left out, one sentence each.
    """

    wishes: tuple[WishNeeds, ...]
    grafts: int
    rootstocks: int
    sticks: int
    hours: float
    rootstocks_by_kind: Mapping[str, int]
    trays: int | None
    trays_by_pot: Mapping[str, int]
    healing_weeks: float
    short: tuple[Shortage, ...]
    assumed: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Give everything as plain values."""
        return asdict(self)


def season_needs(
    wishes: Sequence[Wish],
    supplies: Supplies | None = None,
    *,
    grafts_needed: GraftsNeeded,
    chance_of_at_least: ChanceOfAtLeast,
    likely_takes: LikelyTakes,
) -> SeasonNeeds:
    """Add up what a wish list needs, and name what is short.

    Parameters
    ----------
    wishes : sequence of Wish
        What is wanted; none at all is allowed.
    supplies : Supplies, optional
        What there is; nothing given means: not known, nothing is called short.
    grafts_needed : callable
        From probability draws, a number wanted and an assurance to a number of grafts, or None where none is enough.
    chance_of_at_least : callable
        From probability draws, grafts and a number wanted to a chance.
    likely_takes : callable
        From probability draws and grafts to a low, a middle and a high number.

    Returns
    -------
    SeasonNeeds
        Needs of each wish, sums, what is short, what was assumed.

    Raises
    ------
    BadValue
        When two wishes have one name; the callables refuse draws that are none.
    """
    names = [wish.name for wish in wishes]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise BadValue("wishes", twice, "one wish a name: put the numbers together")
    have = supplies or Supplies()
    needs = tuple(_needs(wish, have, grafts_needed, chance_of_at_least, likely_takes) for wish in wishes)
    pots, rootstocks = (_by_kind(wishes, needs, kind) for kind in ("pot", "rootstock"))
    trays_by_pot = {kind: ceil(count / have.pots_per_tray[kind]) for kind, count in pots.items() if kind in have.pots_per_tray}
    hours = sum(need.hours or 0.0 for need in needs)
    weeks = max((wish.way.healing_weeks or HEALING_WEEKS for wish in wishes), default=0.0)
    short = [*_wish_shortages(needs, have), *_kind_shortages(rootstocks, have), *_room_shortages(trays_by_pot, hours, weeks, have)]
    return SeasonNeeds(
        wishes=needs,
        grafts=sum(need.grafts or 0 for need in needs),
        rootstocks=sum(rootstocks.values()),
        sticks=sum(need.sticks or 0 for need in needs),
        hours=hours,
        rootstocks_by_kind=rootstocks,
        trays=sum(trays_by_pot.values()) if len(trays_by_pot) == len(pots) else None,
        trays_by_pot=trays_by_pot,
        healing_weeks=weeks,
        short=tuple(short),
        assumed=tuple(_assumed(wishes, pots, rootstocks, have)),
    )


def _needs(wish: Wish, have: Supplies, needed: GraftsNeeded, chance: ChanceOfAtLeast, likely: LikelyTakes) -> WishNeeds:
    draws = np.asarray(wish.take_draws, dtype=np.float64)
    finished = draws * (SURVIVAL if wish.survival is None else wish.survival)
    grafts = needed(finished, wish.wanted, wish.assurance) if wish.planned_grafts is None else wish.planned_grafts
    if grafts is None:
        return WishNeeds(wish.name, wish.wanted, wish.assurance, *[None] * 7)
    per_stick = wish.way.grafts_per_stick or GRAFTS_PER_STICK
    sticks, at_hand = ceil(grafts / per_stick - 1e-9), have.sticks.get(wish.name)
    takes = likely(draws, grafts)
    possible = None if at_hand is None or at_hand >= sticks else int(at_hand * per_stick + 1e-9)
    return WishNeeds(
        name=wish.name,
        wanted=wish.wanted,
        assurance=wish.assurance,
        grafts=grafts,
        rootstocks=grafts,
        sticks=sticks,
        hours=grafts * (wish.way.minutes_per_graft or MINUTES_PER_GRAFT) / 60.0,
        takes=takes,
        finished=takes if np.array_equal(finished, draws) else likely(finished, grafts),
        chance=chance(finished, grafts, wish.wanted),
        grafts_with_sticks=possible,
        chance_with_sticks=None if possible is None else chance(finished, possible, wish.wanted),
    )


def _by_kind(wishes: Sequence[Wish], needs: Sequence[WishNeeds], attribute: str) -> dict[str, int]:
    """Grafts of every kind of pot or rootstock."""
    total: dict[str, int] = {}
    for wish, need in zip(wishes, needs, strict=True):
        if need.grafts:
            kind = getattr(wish, attribute)
            total[kind] = total.get(kind, 0) + need.grafts
    return total


def _wish_shortages(needs: Sequence[WishNeeds], have: Supplies) -> list[Shortage]:
    short = []
    for need in needs:
        if need.sticks is None:
            words = say(
                "{wish}: no sensible number of grafts gives {wanted} with a chance of {chance}.",
                wish=need.name,
                wanted=need.wanted,
                chance=_percent(need.assurance),
            )
            short.append(Shortage("grafts", need.name, None, None, None, words))
        elif need.grafts_with_sticks is not None and need.chance_with_sticks is not None:
            with_those = say(
                "they allow {grafts} grafts, with a chance of {chance}",
                grafts=need.grafts_with_sticks,
                chance=_percent(need.chance_with_sticks),
            )
            short.append(_shortage("sticks", need.name, need.sticks, have.sticks[need.name], with_those))
    return short


def rootstocks_there(needed: Mapping[str, int], have: Supplies) -> dict[str, int]:
    """Tell what is there of each kind that is needed: of no named kind, all that the named ones leave.

    Parameters
    ----------
    needed : mapping of str to int
        Rootstocks needed, by kind.
    have : Supplies
        What there is.

    Returns
    -------
    dict of str to int
        Without the kinds of which it is not known.
    """
    there = {kind: have.rootstocks[kind] for kind in needed if kind in have.rootstocks}
    if "" in there:
        there[""] = sum(count - min(count, needed.get(kind, 0) if kind else 0) for kind, count in have.rootstocks.items())
    return there


def _kind_shortages(rootstocks: Mapping[str, int], have: Supplies) -> list[Shortage]:
    there = rootstocks_there(rootstocks, have)
    known = [(kind, count, there[kind]) for kind, count in rootstocks.items() if kind in there]
    return [_shortage("rootstocks", kind, count, there) for kind, count, there in known if there < count]


def _room_shortages(trays_by_pot: Mapping[str, int], hours: float, weeks: float, have: Supplies) -> list[Shortage]:
    short, trays = [], sum(trays_by_pot.values())
    if have.trays is not None and have.trays < trays:
        often = ceil(trays / have.trays) if have.trays else 0
        rounds = say("or {rounds} rounds, {weeks:g} weeks apart", rounds=often, weeks=weeks) if often else ""
        short.append(_shortage("trays", "", trays, have.trays, rounds))
    if have.bench_hours is not None and have.bench_hours < hours - 1e-9:
        short.append(_shortage("bench hours", "", hours, have.bench_hours))
    return short


_SHORT = {
    "sticks": mark("Sticks of {of}: {needed} needed, {have} there, {missing} short"),
    "rootstocks": mark("Rootstocks of {of}: {needed} needed, {have} there, {missing} short"),
    "trays": mark("Trays: {needed} needed, {have} there, {missing} short"),
    "bench hours": mark("Bench hours: {needed} needed, {have} there, {missing} short"),
}


def _shortage(what: str, of: str, needed: float, have: float, more: str = "") -> Shortage:
    missing = needed - have
    shown = [f"{number:.1f}".removesuffix(".0") for number in (needed, have, missing)]
    told = say(_SHORT[what], of=of or say("any kind"), needed=shown[0], have=shown[1], missing=shown[2])
    return Shortage(what, of, needed, have, missing, f"{told}; {more}." if more else f"{told}.")


def _assumed(wishes: Sequence[Wish], pots: Mapping[str, int], rootstocks: Mapping[str, int], have: Supplies) -> list[str]:
    """What was supposed or left out, each with the wishes or kinds that it concerns."""
    defaults: tuple[tuple[str, Callable[[Wish], object]], ...] = (
        (say("{number:g} graft a stick (project default, unsourced)", number=GRAFTS_PER_STICK), lambda wish: wish.way.grafts_per_stick),
        (say("{number:g} minutes a graft (common practice, no source)", number=MINUTES_PER_GRAFT), lambda wish: wish.way.minutes_per_graft),
        (say("{number:g} weeks on the tray (common practice, no source)", number=HEALING_WEEKS), lambda wish: wish.way.healing_weeks),
        (say("every take becomes a finished plant (project default, unsourced)"), lambda wish: wish.survival),
        (say("sticks at hand are not known, so not called short"), lambda wish: have.sticks.get(wish.name)),
    )
    lines = []
    for words, value in defaults:
        concerned = [wish.name for wish in wishes if value(wish) is None]
        lines += [f"{_listed(concerned)}: {words}."] if concerned else []
    for kind in sorted(rootstocks.keys() - have.rootstocks.keys()):
        lines.append(say("Rootstocks {kind}: how many are usable is not known.", kind=_kind(kind)))
    for kind in sorted(pots.keys() - have.pots_per_tray.keys()):
        lines.append(say("Pots {kind}: how many a tray takes is not known, so their trays are not counted.", kind=_kind(kind)))
    lines += [say("How many trays can stand at once is not known.")] if wishes and have.trays is None else []
    lines += [say("Hours at the bench are not known.")] if wishes and have.bench_hours is None else []
    return lines


def _percent(share: float) -> str:
    """A chance in words; never 0 or 100 for what is merely near."""
    if 0.0 < share < 0.005:
        return say("under 1 %")
    return say("over 99 %") if 0.995 <= share < 1.0 else f"{100.0 * share:.0f} %"


def _kind(kind: str) -> str:
    return kind or say("of no named kind")


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= 3 else say("{names} and {rest} more", names=", ".join(names[:3]), rest=len(names) - 3)
