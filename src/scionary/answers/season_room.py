"""Where grafts of a season can heal: domes by inside size and by the weeks in which they are to be had."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

import numpy as np

from scionary.answers.domes import tray_layout
from scionary.answers.season_facts import SeasonFacts
from scionary.answers.words import listed
from scionary.book.models import Dome, PotKind
from scionary.errors import Refused
from scionary.language import mark, say
from scionary.plan import Rooms

ENOUGH = 1_000  # trays where none is written down: they do not limit
USUAL_TRAY = mark("tray of the usual size")


@dataclass(frozen=True)
class Room:
    """Domes of one size that are to be had in the same weeks; no domes: as many trays of the usual size as are wanted."""

    name: str
    domes: tuple[Dome, ...]
    there: tuple[bool, ...]
    holds: tuple[int, ...]


def rooms_of(facts: SeasonFacts, mondays: Sequence[date], pots: Sequence[PotKind]) -> list[Room]:
    """Domes that are alike are one kind of room."""
    if not facts.domes:
        return [Room(say(USUAL_TRAY), (), (True,) * len(mondays), _holds(Dome(), pots))]
    alike: dict[tuple[float, float, tuple[bool, ...]], list[Dome]] = {}
    for dome in facts.domes:
        there = tuple(not taken(facts, dome, monday) for monday in mondays)
        alike.setdefault((dome.length_mm, dome.width_mm, there), []).append(dome)
    found = [
        Room(say("dome like {name}", name=domes[0].name), tuple(domes), there, _holds(domes[0], pots))
        for (_, _, there), domes in alike.items()
    ]
    if not any(any(room.holds) for room in found):
        _refuse(facts.domes, pots)
    return found


def too_small(rooms: Sequence[Room]) -> list[str]:
    """Names of domes that hold no pot of those that are planned."""
    return [dome.name for room in rooms if not any(room.holds) for dome in room.domes]


def _refuse(domes: Sequence[Dome], pots: Sequence[PotKind]) -> None:
    """Say that no dome holds a single pot."""
    sizes = [
        say("{name} is {length} × {width} mm inside", name=dome.name, length=f"{dome.length_mm:g}", width=f"{dome.width_mm:g}")
        for dome in domes
    ]
    least = min(pots, key=lambda pot: pot.across_mm)
    raise Refused(
        say("no dome holds a single pot: {sizes}; {pot} is {across} mm across.",
            sizes=listed(sizes), pot=least.name, across=f"{least.across_mm:g}"),
        where="plan", remedy=say("Put the inside size of a dome right, or write down a smaller pot."),
    )  # fmt: skip


def engine_rooms(rooms: Sequence[Room], cost: float) -> Rooms:
    """The same as the engine has them."""
    number = [len(room.domes) or ENOUGH for room in rooms]
    available = np.array([[count if free else 0 for free in room.there] for room, count in zip(rooms, number, strict=True)], dtype=float)
    return Rooms(tuple(room.name for room in rooms), available, np.array([room.holds for room in rooms], dtype=float), cost)


def taken(facts: SeasonFacts, dome: Dome, monday: date) -> str:
    """Why a dome is not to be had in a week: before (grafts stand in it) or away; empty where it is."""
    if away(dome, monday):
        return "away"
    stands = facts.standing.get(UUID(str(dome.pk)))
    return "before" if stands is not None and monday < stands.until else ""


def away(dome: Dome, monday: date) -> bool:
    """Whether a dome is away on any day of a week."""
    sunday = monday + timedelta(days=6)
    return any(_day(each.get("from"), date.min) <= sunday and monday <= _day(each.get("until"), date.max) for each in dome.away or [])


def _day(text: str | None, otherwise: date) -> date:
    return date.fromisoformat(text) if text else otherwise


def _holds(dome: Dome, pots: Sequence[PotKind]) -> tuple[int, ...]:
    return tuple(len(tray_layout(dome.length_mm, dome.width_mm, pot.shape, pot.across_mm).positions) for pot in pots)
