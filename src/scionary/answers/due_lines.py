"""A line of Due: what to do, why, since when, and what that rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any

from scionary.answers.words import plural, weekday_soon
from scionary.book.models import Dome, Plant
from scionary.language import say

FIRST_LINES = 5
SHOWN = 60  # plants of a line that are named one by one


@dataclass(frozen=True)
class DueLine:
    """One thing to do. `event` is what is written down when it is done: (kind, payload), or None when a page has to be opened.

    `plants` are those that are named, the first sixty; `keys` all things that it is about.
    """

    step: str
    what: str
    why: str
    when: date
    late_days: int
    rests_on: str
    dome: Dome | None = None
    plants: Sequence[Plant] = ()
    event: tuple[str, dict[str, Any]] | None = None
    keys: tuple[str, ...] = ()
    cover_off: bool = False

    def of(self, plants: Sequence[Plant]) -> DueLine:
        """The same line, about these plants, of which the first are named."""
        return replace(self, plants=plants[:SHOWN], keys=tuple(plant.key for plant in plants))

    @property
    def about(self) -> tuple[str, ...]:
        """The keys of what it is about: its dome, or its plants."""
        if self.keys:
            return self.keys
        return (self.dome.key,) if self.dome else tuple(plant.key for plant in self.plants)

    @property
    def unnamed(self) -> int:
        """How many plants it is about beyond those that are named."""
        return max(len(self.about) - len(self.plants), 0) if self.plants else 0

    def to_dict(self) -> dict[str, Any]:
        plain = {name: value for name, value in asdict(self).items() if name not in ("dome", "plants", "event", "keys", "cover_off")}
        return {
            **plain,
            "when": self.when.isoformat(),
            "dome": self.dome.name if self.dome else None,
            "plants": [p.spoken for p in self.plants],
            "unnamed_plants": self.unnamed,
        }


@dataclass(frozen=True)
class DueAnswer:
    """Lines due by today, the most pressing first, and those of the coming days."""

    today: date
    lines: list[DueLine]
    ahead: list[DueLine]

    @property
    def first(self) -> list[DueLine]:
        return self.lines[:FIRST_LINES]

    @property
    def behind(self) -> list[DueLine]:
        return self.lines[FIRST_LINES:]

    @property
    def sentence(self) -> str:
        if self.lines:
            return say("{things} to do.", things=plural(len(self.lines), "thing"))
        if self.ahead:
            return say("Nothing today. Next: {what} on {day}.", what=self.ahead[0].what, day=weekday_soon(self.ahead[0].when))
        return say("Nothing is due.")

    def to_dict(self) -> dict[str, Any]:
        return {
            "today": self.today.isoformat(),
            "sentence": self.sentence,
            "lines": [line.to_dict() for line in self.lines],
            "ahead": [line.to_dict() for line in self.ahead],
        }
