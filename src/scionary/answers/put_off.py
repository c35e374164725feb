"""Lines of Due that a person put off or does not need: about what, since when, and until when."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from scionary.answers.events_in_bulk import Happened, standing_events
from scionary.answers.held import held
from scionary.book import queries
from scionary.book.ids import uuid7
from scionary.book.locks import AT_ONCE
from scionary.book.models import Event, Nursery
from scionary.book.one_page import once
from scionary.book.patience import patiently
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused
from scionary.language import say

PUT_OFF, NOT_NEEDED = "put_off", "not_needed"
WEEK = timedelta(days=7)
_TOLD_FOR = timedelta(days=90)  # so long a line that was not needed can be asked for again on the page
_FARTHEST = timedelta(days=366)
_NOUNS = ("plant", "dome", "tree", "lot", "nursery")


@dataclass(frozen=True)
class SetAside:
    """One answer to a line: `until` is the day on which it is asked again, None where it was not needed."""

    events: tuple[UUID, ...]
    line: str
    keys: frozenset[str]
    at: datetime
    until: date | None
    note: str


@dataclass(frozen=True)
class SetAsides:
    """All answers that stand, by line and subject, the last one of each."""

    zone: ZoneInfo
    last: dict[tuple[str, str], tuple[float, date | None]] = field(default_factory=dict)

    def hides(self, key: str, line: str, since: datetime | date | None, today: date) -> bool:
        """Whether a line about this subject is answered, whose need began at `since`.

        An answer holds for what was due when it was given: a need that begins later asks again; None where nobody knows when it began.
        """
        found = self.last.get((line, key.replace("-", "")))
        if found is None:
            return False
        at, until = found
        if until is not None and today >= until:
            return False
        if since is None:
            return True
        if not isinstance(since, datetime):
            since = datetime.combine(since, time(0), self.zone)
        return at >= since.timestamp()


def set_asides() -> SetAsides:
    """What was answered to lines of Due, as it stands."""
    found: dict[tuple[str, str], tuple[float, date | None]] = {}
    for event in sorted(_answers(), key=lambda event: (event.at, event.event)):
        for key in event.subjects:
            found[str(event.payload["line"]), key] = (event.at, _until(event))
    return SetAsides(queries.nursery().zone, found)


def standing_asides(nursery: Nursery, today: date, *, most: int = 30) -> list[SetAside]:
    """The answers that still hide something: put off until a day to come, or not needed since a season ago; those given last first."""
    groups: dict[tuple[str, float, date | None], list[Happened]] = {}
    for event in _answers():
        until = _until(event)
        lately = event.at >= _since(today)
        if (until is None and lately) or (until is not None and until > today):
            groups.setdefault((str(event.payload["line"]), event.at, until), []).append(event)
    recent = sorted(groups.items(), key=lambda item: -item[0][1])[:most]
    return [
        SetAside(
            tuple(UUID(event.event) for event in events),
            line,
            frozenset(key for event in events for key in event.subjects),
            datetime.fromtimestamp(at, nursery.zone),
            until,
            str(events[0].payload.get("note", "")),
        )
        for (line, at, until), events in recent
    ]


def _since(today: date) -> float:
    return (datetime(today.year, today.month, today.day, tzinfo=UTC) - _TOLD_FOR).timestamp()


def _answers() -> list[Happened]:
    """All standing answers, each with all its subjects."""
    return once("answers to lines of Due", lambda: held("answered", queries.stamp(), _read_answers))


def _read_answers() -> list[Happened]:
    found: dict[str, Happened] = {}
    for noun in _NOUNS:
        for event in standing_events(("answered",), noun):
            known = found.get(event.event)
            subjects = (*known.subjects, *event.subjects) if known else event.subjects
            found[event.event] = Happened(event.event, event.kind, event.at, event.payload, subjects)
    return list(found.values())


def _until(event: Happened) -> date | None:
    if event.payload["answer"] == NOT_NEEDED:
        return None
    try:
        return date.fromisoformat(str(event.payload.get("until", "")))
    except ValueError:
        return date.fromtimestamp(event.at) + WEEK


@patiently
def answer_line(
    line: str,
    keys: Sequence[str],
    answer: str,
    *,
    today: date,
    now: datetime,
    until: date | None = None,
    note: str = "",
    who: str = "",
    event_id: UUID | None = None,
) -> list[UUID]:
    """Write down that a line is put off until a day, or not needed; gives the events. Sent twice, it is written once.

    Raises `Refused` where the day is not one of the coming year.
    """
    if answer == PUT_OFF and (until is None or not today < until <= today + _FARTHEST):
        told = say("none") if until is None else until.isoformat()
        raise Refused(say("the day is {told}.", told=told), where="until", remedy=say("Give a day after today, a year from now at most."))
    with transaction.atomic():
        if event_id is not None and Event.objects.filter(pk=event_id).exists():
            return []
        payload = {"line": line, "answer": answer, "note": note}
        if answer == PUT_OFF and until is not None:
            payload["until"] = until.isoformat()
        events = _events(payload, _about(keys), now, who, event_id)
        record_events(events, now=now)
        return [event.id for event in events]


def _events(payload: dict[str, str], keys: Sequence[str], now: datetime, who: str, first: UUID | None) -> list[NewEvent]:
    parts = [keys[begin : begin + AT_ONCE] for begin in range(0, len(keys), AT_ONCE)]
    return [
        NewEvent("answered", now, tuple(part), dict(payload), id=first if first and not at else uuid7(), who=who)
        for at, part in enumerate(parts)
    ]


def _about(keys: Iterable[str]) -> list[str]:
    """The subjects of an answer; a line about nothing of its own is one about the nursery."""
    return sorted(set(keys)) or [queries.nursery().key]
