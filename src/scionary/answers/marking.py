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
from scionary.answers.spread import FEW, Ask, SpreadAnswer, SpreadQuestion, spread
from scionary.answers.things import NOUN_FORMS
from scionary.answers.words import listed, plural
from scionary.book.ids import uuid7
from scionary.book.locks import chunks, gate
from scionary.book.models import Event, Nursery, Plant
from scionary.book.patience import patiently
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused
from scionary.language import Words, mark, say

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
MARK_WORDS = Words(
    {
        Mark.QUARANTINE: mark("set in quarantine"),
        Mark.RELEASE: mark("released from quarantine"),
        Mark.DOUBT: mark("name in doubt"),
        Mark.END_DOUBT: mark("doubt in the name ended"),
    }
)
_OF_QUARANTINE = (Mark.QUARANTINE, Mark.RELEASE)
_ENDING = (Mark.RELEASE, Mark.END_DOUBT)
_ASK = {Mark.QUARANTINE: Ask.SICKNESS, Mark.RELEASE: Ask.SICKNESS, Mark.DOUBT: Ask.NAME, Mark.END_DOUBT: Ask.NAME}
_ABOUT = {Mark.QUARANTINE: ("tree", "bag", "lot"), Mark.RELEASE: ("tree", "bag", "lot"), Mark.DOUBT: ("tree", "bag")}
_ABOUT[Mark.END_DOUBT] = _ABOUT[Mark.DOUBT]
_SUBJECTS = 5_000  # of one event; so many are undone in one step


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
        others = [plural(count, *NOUN_FORMS[noun]) for noun, count in sorted(counts.items())]
        return listed([plural(self.plants, "plant", "plants"), *others] if self.plants or not others else others)

    @property
    def count(self) -> int:
        return self.plants + len(self.others)


@dataclass(frozen=True)
class _Reach:
    """What a mark would change: plants, trees, bags and lots, each with the reason that stands beside it now (empty: none)."""

    plants: dict[UUID, str]
    others: dict[str, str]

    def of(self, reason: str) -> _Reach:
        """Those with this reason."""
        return _Reach(
            {plant: why for plant, why in self.plants.items() if why == reason},
            {key: why for key, why in self.others.items() if why == reason},
        )

    @property
    def told(self) -> Marked:
        return Marked(len(self.plants), tuple(self.others), ())


def would_change(answer: SpreadAnswer, mark: Mark) -> Marked:
    """What a mark that begins something would be written about now."""
    return _reach(answer, mark).told


def reasons(answer: SpreadAnswer, mark: Mark) -> dict[str, Marked]:
    """What a mark that ends something could end: each reason that stands in the set, with what it stands beside; the commonest first."""
    found = _reach(answer, mark)
    told = {why: found.of(why).told for why in {*found.plants.values(), *found.others.values()}}
    return dict(sorted(told.items(), key=lambda item: (-item[1].count, item[0])))


def _reach(answer: SpreadAnswer, mark: Mark) -> _Reach:
    return _Reach(_plants(answer, mark), _others(answer, mark))


def _plants(answer: SpreadAnswer, mark: Mark) -> dict[UUID, str]:
    """The plants of the set, where it began among them, that a mark would change; of a large set all that it could change are read."""
    begin = {answer.begin.key[6:]} if answer.begin.key.startswith("plant:") else set()
    wanted = begin | set(answer.plants)
    column = "quarantine_reason" if mark in _OF_QUARANTINE else "name_doubt"
    rows = Plant.objects.filter(_OPEN[mark]).order_by().values_list(ident_text("pk"), column)
    if len(wanted) > FEW:
        return {UUID(plant): why for plant, why in rows if plant in wanted}
    return {UUID(plant): why for chunk in chunks(map(UUID, wanted)) for plant, why in rows.filter(pk__in=chunk)}


def _others(answer: SpreadAnswer, mark: Mark) -> dict[str, str]:
    """The trees, bags and lots that the mark changes too: where it began, and those reached; forwards no lot is reached."""
    keys = {key for key in (answer.begin.key, *answer.sources) if key.split(":")[0] in _ABOUT[mark]}
    spelled = sorted(f"{key.split(':')[0]}:{UUID(key.partition(':')[2])}" for key in keys)
    apart = set_apart(spelled)
    found = {}
    for key in spelled:
        record = (apart[key].quarantine if mark in _OF_QUARANTINE else apart[key].doubt) if key in apart else None
        if (record is not None) == (mark in _ENDING):
            found[key] = str(record.payload.get("reason", "")) if record else ""
    return found


@patiently
def mark_set(
    question: SpreadQuestion,
    mark: Mark,
    reason: str,
    *,
    nursery: Nursery,
    happened_at: datetime,
    now: datetime,
    who: str = "",
    of: str | None = None,
    shown: int | None = None,
    event_id: UUID | None = None,
    most: int | None = None,
    progress: Progress | None = None,
) -> Marked:
    """Write a mark down for the whole set that a question gives now, all or none; what has it already is left as it is.

    A mark that ends something ends what stands for the reason `of`; it may be left out where only one reason stands in the set. With
    `shown`, nothing is written when the set is no longer as large as it was when it was shown. With `event_id`, the same call again writes
    nothing. Raises `Refused` where the mark does not fit the question, a reason is missing or not told apart, nothing is left to mark, or
    the set holds more plants than `most`.
    """
    reason = " ".join(reason.split())
    _check(question, mark, reason)
    with transaction.atomic():
        gate(alone=True)
        if event_id is not None and Event.objects.filter(pk=event_id).exists():
            return Marked(0, (), ())
        found = _reach(spread(question, nursery), mark)
        if mark in _ENDING:
            found = found.of(_reason_meant(found, of))
        _check_size(found, shown, most)
        keys = [*found.others, *(f"plant:{plant}" for plant in sorted(found.plants))]
        events = _events(keys, mark, reason, happened_at=happened_at, who=who, first=event_id)
        _record(events, now, progress)
        return Marked(len(found.plants), tuple(found.others), tuple(event.id for event in events))


def _check(question: SpreadQuestion, mark: Mark, reason: str) -> None:
    if question.ask is not _ASK[mark]:
        fits = say("a wrong name") if _ASK[mark] is Ask.NAME else say("a sickness")
        raise Refused(
            say("“{mark}” is about {fits}.", mark=MARK_WORDS[mark], fits=fits),
            where="spread",
            remedy=say("Ask for {fits}: it passes by other ways.", fits=fits),
        )
    if not reason:
        raise Refused(say("no reason is given."), where="reason", remedy=say("Say in a few words why: it stands beside each plant."))


def _reason_meant(found: _Reach, of: str | None) -> str:
    """The one reason in the set, or the one that is named."""
    known = sorted({*found.plants.values(), *found.others.values()})
    if of is None and len(known) > 1:
        told = listed([f"“{why}”" for why in known], most=8)
        raise Refused(
            say("several reasons stand in this set: {told}.", told=told), where="spread", remedy=say("Say which of them is over.")
        )
    return known[0] if of is None and known else of or ""


def _check_size(found: _Reach, shown: int | None, most: int | None) -> None:
    if not found.told.count:
        raise Refused(say("there is nothing left that this would change."), where="plants", remedy=say("Look at the list again."))
    if shown is not None and shown != found.told.count:
        told = say("the book has changed since you looked: it is {words} now.", words=found.told.words)
        raise Refused(told, where="plants", remedy=say("Nothing was written. Look at the list again, then press once more."))
    if most is not None and len(found.plants) > most:
        told = say("Choose fewer ways or a later day, or write it down with the command `scionary spread`.")
        raise Refused(
            say("{plants:,} plants at once; the page takes {most:,}.", plants=len(found.plants), most=most), where="plants", remedy=told
        )


def _events(keys: Sequence[str], mark: Mark, reason: str, *, happened_at: datetime, who: str, first: UUID | None) -> list[NewEvent]:
    parts = [keys[begin : begin + _SUBJECTS] for begin in range(0, len(keys), _SUBJECTS)]
    idents = [first if first is not None and number == 0 else uuid7() for number in range(len(parts))]
    return [
        NewEvent(mark.value, happened_at, tuple(part), {"reason": reason}, id=ident, who=who)
        for ident, part in zip(idents, parts, strict=True)
    ]


def _record(events: Sequence[NewEvent], now: datetime, progress: Progress | None) -> None:
    for number, event in enumerate(events):
        record_events([event], now=now)
        if (
            progress is not None
            and progress((number + 1) / len(events), say("{done} of {events}", done=number + 1, events=len(events))) is False
        ):
            raise Refused(say("it was stopped."), where="spread", remedy=say("Nothing was written down."))
