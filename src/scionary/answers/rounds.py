"""A round: what is seen on a walk past a dome, written down all at once or one tap at a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from scionary.book import queries
from scionary.book.commands import write_many
from scionary.book.models import Dome, Plant
from scionary.errors import Refused
from scionary.language import mark, say

# What a person says on a round, and the event that it becomes: (kind, payload).
SEEN: dict[str, tuple[str, dict[str, Any]]] = {
    "firm": ("scored", {"sign": "firm", "answer": "yes"}),
    "not-firm": ("scored", {"sign": "firm", "answer": "no"}),
    "unsure": ("scored", {"sign": "firm", "answer": "unsure"}),
    "growing": ("scored", {"sign": "growing", "answer": "yes"}),
    "in-leaf": ("scored", {"sign": "in_leaf", "answer": "yes"}),
    "not-in-leaf": ("scored", {"sign": "in_leaf", "answer": "no"}),
    "drops": ("scored", {"sign": "stalk_drops", "answer": "yes"}),
    "stays": ("scored", {"sign": "stalk_drops", "answer": "no"}),
    "bud": ("scored", {"sign": "bud_moving", "answer": "yes"}),
    "wilting": ("observed", {"seen": "wilting"}),
    "mould": ("observed", {"seen": "mould"}),
    "missing": ("observed", {"seen": "missing"}),
    "unchanged": ("observed", {"seen": "unchanged"}),
    "lost": ("lost", {}),
}

# The key of each sign on a laptop; those of the page in the hand are the same.
KEYS = {
    "firm": "f", "unsure": "n", "lost": "x", "drops": "d", "stays": "s", "bud": "b", "growing": "g", "in-leaf": "l", "not-in-leaf": "o",
    "wilting": "w", "mould": "m", "missing": "i", "unchanged": "u",
}  # fmt: skip
# What is seen on a lost plant and what is suspected: words to choose from; neither is needed.
LOST_SIGNS = (mark("dried up"), mark("black wood"), mark("mouldy"), mark("rotten"), mark("broken off"), mark("eaten"))
CAUSES = (mark("too dry"), mark("too hot"), mark("too wet"), mark("stock never woke"), mark("cambium did not meet"), mark("knocked"))


@dataclass(frozen=True)
class RoundWords:
    """What was typed: "Red Tarn 1=firm", "3=lost" by place, "rest=firm"; water and vents of the whole dome."""

    seen: tuple[str, ...] = ()
    water: bool = False
    open_pct: float | None = None
    note: str = ""


def write_round(
    dome: Dome, words: RoundWords, *, happened_at: datetime, now: datetime, plant_of: Callable[[str], Plant], who: str = ""
) -> list[str]:
    """Write a round down, all or nothing; returns what was flagged. The dome counts as looked at."""
    standing = [p for p in queries.plants_in(dome) if p.state in queries.STANDING or p.state == Plant.State.MISSING]
    events = _plant_events(words.seen, standing, plant_of)
    events.append(("observed", dome.key, {"note": words.note} if words.note else {}))
    if words.water:
        events.append(("watered", dome.key, {}))
    if words.open_pct is not None:
        events.append(("vented", dome.key, {"open_pct": words.open_pct}))
    answers = write_many(events, happened_at=happened_at, now=now, who=who)
    return sorted({flag for answer in answers for flag in answer.flags})


def _plant_events(seen: tuple[str, ...], standing: list[Plant], plant_of: Callable[[str], Plant]) -> list[tuple[str, str, dict[str, Any]]]:
    named: dict[str, str] = {}
    rest: str | None = None
    for text in seen:
        who, sign, what = text.rpartition("=")
        what = what.strip().lower()
        if not sign or what not in SEEN:
            raise Refused(
                say("{typed!r} cannot be read.", typed=text),
                where="round",
                remedy=say("Write PLANT=WHAT; WHAT is one of {seen}.", seen=", ".join(SEEN)),
            )
        if who.strip().lower() == "rest":
            rest = what
        else:
            named[_plant(who.strip(), standing, plant_of).key] = what
    if rest:
        named |= {plant.key: rest for plant in standing if plant.key not in named}
    return [(SEEN[what][0], key, dict(SEEN[what][1])) for key, what in named.items()]


def _plant(who: str, standing: list[Plant], plant_of: Callable[[str], Plant]) -> Plant:
    """By its place in this dome when a bare number was typed, else by code or name."""
    if who.isascii() and who.isdigit() and len(who) <= 6:
        for plant in standing:
            if plant.place == int(who):
                return plant
        raise Refused(say("no plant stands at place {who}.", who=who), where="round", remedy=say("Look at the tray: scionary round DOME."))
    return plant_of(who)
