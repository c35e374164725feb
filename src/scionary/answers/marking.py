"""Quarantine and doubt for a whole set: the plants that a spread reaches, with what they came from, in one step."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from scionary.answers.events_in_bulk import ident_text
from scionary.answers.set_apart import set_apart
from scionary.answers.spread import FEW, SpreadAnswer
from scionary.answers.things import NOUN_WORDS
from scionary.answers.words import listed, plural
from scionary.book.ids import uuid7
from scionary.book.locks import AT_ONCE, chunks, gate
from scionary.book.models import Event, Plant
from scionary.book.patience import patiently
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused

Progress = Callable[[float, str], bool | None]


class Mark(Enum):
    """What can be said of a whole set; the value is the kind of event."""

    QUARANTINE = "quarantined"
    RELEASE = "released"
    DOUBT = "name_doubted"
    END_DOUBT = "name_doubt_ended"


_HERE = Q(state__in=(Plant.State.WAITING, Plant.State.ALIVE, Plant.State.MISSING))
# Which plants a mark can still change: what left is not set apart any more, but a buyer wants to know of a name.
_OPEN: dict[Mark, Q] = {
    Mark.QUARANTINE: _HERE & Q(quarantined_at=None),
    Mark.RELEASE: Q(quarantined_at__isnull=False),
    Mark.DOUBT: ~Q(state=Plant.State.DEAD) & Q(name_doubted_at=None),
    Mark.END_DOUBT: Q(name_doubted_at__isnull=False),
}
MARK_WORDS = {
    Mark.QUARANTINE: "set in quarantine",
    Mark.RELEASE: "released from quarantine",
    Mark.DOUBT: "name in doubt",
    Mark.END_DOUBT: "doubt in the name ended",
}
_OF_QUARANTINE = (Mark.QUARANTINE, Mark.RELEASE)
_ENDING = (Mark.RELEASE, Mark.END_DOUBT)
_NEEDS_REASON = (Mark.QUARANTINE, Mark.DOUBT)
_ABOUT = {Mark.QUARANTINE: ("tree", "bag", "lot"), Mark.RELEASE: ("tree", "bag", "lot"), Mark.DOUBT: ("tree", "bag")}
_ABOUT[Mark.END_DOUBT] = _ABOUT[Mark.DOUBT]


@dataclass(frozen=True)
class Marked:
    """What was written: how many plants, the trees, bags or lots beside them, and the events."""

    plants: int
    others: tuple[str, ...]
    events: tuple[UUID, ...]

    @property
    def words(self) -> str:
        """3 plants, 1 mother tree and 1 stock lot."""
        counts = Counter(key.split(":")[0] for key in self.others)
        others = [plural(count, NOUN_WORDS[noun]) for noun, count in sorted(counts.items())]
        return listed([plural(self.plants, "plant"), *others] if self.plants or not others else others)


def open_to(answer: SpreadAnswer, mark: Mark) -> list[UUID]:
    """The plants of the set, where it began among them, that a mark would still change."""
    return sorted(UUID(plant) for plant in _open(answer, mark))


def _open(answer: SpreadAnswer, mark: Mark) -> set[str]:
    """These plants by the digits of their ids; of a large set all that a mark could change are read."""
    begin = {answer.begin.key[6:]} if answer.begin.key.startswith("plant:") else set()
    wanted = begin | set(answer.plants)
    rows = Plant.objects.filter(_OPEN[mark]).order_by().values_list(ident_text("pk"), flat=True)
    if len(wanted) > FEW:
        return wanted & set(rows)
    return {plant for chunk in chunks(map(UUID, wanted)) for plant in rows.filter(pk__in=chunk)}


def would_change(answer: SpreadAnswer, mark: Mark) -> Marked:
    """What a mark would be written about now."""
    return Marked(len(_open(answer, mark)), tuple(_others(answer, mark)), ())


@patiently
def mark_set(
    answer: SpreadAnswer,
    mark: Mark,
    reason: str,
    *,
    happened_at: datetime,
    now: datetime,
    who: str = "",
    event_id: UUID | None = None,
    most: int | None = None,
    progress: Progress | None = None,
) -> Marked:
    """Write a mark down for the whole set, all or none; plants that have it already are left as they are.

    With `event_id`, the same call again writes nothing. Raises `Refused` without a reason where one is needed, where nothing is left to
    mark, or where the set holds more plants than `most`.
    """
    reason = " ".join(reason.split())
    if mark in _NEEDS_REASON and not reason:
        raise Refused("no reason is given.", where="reason", remedy="Say in a few words why: it stands beside each plant.")
    with transaction.atomic():
        gate(alone=True)
        if event_id is not None and Event.objects.filter(pk=event_id).exists():
            return Marked(0, (), ())
        plants = open_to(answer, mark)
        if most is not None and len(plants) > most:
            told = "Choose fewer ways or a later day, or write it down with the command `scionary spread`."
            raise Refused(f"{len(plants):,} plants at once; the page takes {most:,}.", where="plants", remedy=told)
        others = _others(answer, mark)
        if not plants and not others:
            raise Refused("there is no plant left for which this would change anything.", where="plants", remedy="Look at the list again.")
        keys = [*others, *(f"plant:{plant}" for plant in plants)]
        events = _events(keys, mark, reason, happened_at=happened_at, who=who, first=event_id)
        _record(events, now, progress)
        return Marked(len(plants), tuple(others), tuple(event.id for event in events))


def _others(answer: SpreadAnswer, mark: Mark) -> list[str]:
    """The trees, bags and lots that the mark changes too: where it began, and, looking forwards, the trees and bags reached."""
    nouns = _ABOUT[mark]
    reached = [answer.map.keys[n] for n in answer.reached] if not answer.question.back else []
    found = {key for key in (answer.begin.key, *reached) if key.split(":")[0] in nouns}
    keys = sorted(f"{key.split(':')[0]}:{UUID(key.partition(':')[2])}" for key in found)
    apart = set_apart(keys)
    has = {key for key, open_now in apart.items() if (open_now.quarantine if mark in _OF_QUARANTINE else open_now.doubt)}
    return [key for key in keys if (key in has) == (mark in _ENDING)]


def _events(keys: Sequence[str], mark: Mark, reason: str, *, happened_at: datetime, who: str, first: UUID | None) -> list[NewEvent]:
    payload = {"reason": reason} if reason else {}
    parts = [keys[begin : begin + AT_ONCE] for begin in range(0, len(keys), AT_ONCE)]
    idents = [first if first is not None and number == 0 else uuid7() for number in range(len(parts))]
    return [
        NewEvent(mark.value, happened_at, tuple(part), dict(payload), id=ident, who=who) for ident, part in zip(idents, parts, strict=True)
    ]


def _record(events: Sequence[NewEvent], now: datetime, progress: Progress | None) -> None:
    for number, event in enumerate(events):
        record_events([event], now=now)
        if progress is not None and progress((number + 1) / len(events), f"{number + 1} of {len(events)}") is False:
            raise Refused("it was stopped.", where="spread", remedy="Nothing was written down.")
