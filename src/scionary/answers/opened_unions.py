"""How far a hand misses: unions that were opened and measured, and what is learned from them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from scionary.answers.events_in_bulk import Happened, standing_events
from scionary.answers.held import held
from scionary.answers.join_ask import hand_of, hand_words
from scionary.book import queries
from scionary.book.commands import write_event
from scionary.book.models import Graft, Nursery
from scionary.book.patience import patiently
from scionary.book.record import Answer
from scionary.errors import Refused
from scionary.language import say
from scionary.union import Skill

MISSES = ("foot_mm", "top_mm", "depth_mm")
MOST_MM = 50.0


@dataclass(frozen=True)
class Hand:
    """One person's hand: what is assumed of it, and how many unions were opened."""

    grafter: str
    skill: Skill
    words: str
    unions: int


@dataclass(frozen=True)
class Opened:
    """One union that was opened."""

    event: str
    grafter: str
    misses: Mapping[str, float]


def hands(nursery: Nursery) -> list[Hand]:
    """The hands of which unions were opened; without any, the one that the book assumes."""
    names = list(dict.fromkeys(each.grafter for each in opened())) or [""]
    counts = {name: sum(each.grafter == name for each in opened()) for name in names}
    return [Hand(name, hand_of(nursery, name), hand_words(nursery, name), counts[name]) for name in names]


def opened() -> list[Opened]:
    """All unions that were opened, the latest first."""
    return held("opened_unions", queries.stamp(), _read)


def _read() -> list[Opened]:
    found = sorted(standing_events(("union_opened",), "nursery"), key=lambda event: (event.at, event.event), reverse=True)
    return [_told(event) for event in found]


def _told(event: Happened) -> Opened:
    return Opened(event.event, event.payload.get("grafter", ""), {name: event.payload[name] for name in MISSES if name in event.payload})


def grafters() -> Sequence[str]:
    """Names of those who graft, as the book knows them."""
    return list(Graft.objects.exclude(grafter="").order_by("grafter").values_list("grafter", flat=True).distinct())


@patiently
def write_opened(misses: Mapping[str, float], grafter: str, nursery: Nursery, *, now: datetime, event_id: UUID, who: str = "") -> Answer:
    """Write down how far one union lay off; at least one of its three is measured."""
    found: dict[str, Any] = {name: misses[name] for name in MISSES if name in misses}
    if not found:
        raise Refused(
            say("nothing was measured."), where="foot", remedy=say("Give how far foot, top or depth lay off; 0 where it lay right.")
        )
    payload = {**found, "grafter": grafter}
    return write_event("union_opened", nursery.key, payload, happened_at=now, now=now, who=who, event_id=event_id)
