"""A walk past plants: each has its row, each sign is one tap, each tap one form; what was tapped can be undone in place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import cached_property
from urllib.parse import quote
from uuid import UUID

from django.db import transaction
from django.utils.html import format_html
from django.utils.safestring import SafeString

from scionary.answers.chances import Ring, lost_words, rings, sign_words
from scionary.answers.rounds import CAUSES, KEYS, LOST_SIGNS, SEEN
from scionary.answers.undoing import undo_once, undone_of
from scionary.book.commands import correct, noon, write_many
from scionary.book.leafless import has_stalk
from scionary.book.models import Dome, Event, Nursery, Plant
from scionary.book.patience import patiently
from scionary.book.projection import records_of
from scionary.book.settle import Record, settle
from scionary.book.texts import later
from scionary.errors import Refused, UnknownSubject
from scionary.language import say

HEALING = (("firm", later("Firm")), ("unsure", later("Not sure")), ("lost", later("Lost")))
SPRING = (("in-leaf", later("In leaf")), ("not-in-leaf", later("Not in leaf")), ("lost", later("Lost")))
_ALL = (
    ("firm", later("Firm")),
    ("unsure", later("Not sure")),
    ("lost", later("Lost")),
    ("drops", later("Stalk drops")),
    ("stays", later("Stalk stays")),
    ("bud", later("Bud moving")),
    ("growing", later("Growing")),
    ("in-leaf", later("In leaf")),
    ("not-in-leaf", later("Not in leaf")),
    ("wilting", later("Wilting")),
    ("mould", later("Mould")),
    ("missing", later("Missing")),
    ("unchanged", later("Unchanged")),
)
_OF_STALKS = ("drops", "stays")
_KINDS = ("scored", "observed", "lost")

Buttons = tuple[tuple[str, str], ...]


OUTCOMES = {"firm", "not-firm", "unsure", "lost"}  # one of these replaces another


@dataclass(frozen=True)
class Seen:
    """What was written about a plant on the day of the walk; `said` is the button's word, when a button wrote it."""

    event: UUID
    said: str
    words: str
    at: datetime
    sign: str = ""  # of a loss
    cause: str = ""


@dataclass(frozen=True)
class Row:
    """One plant of a walk."""

    plant: Plant
    ring: Ring
    seen: list[Seen]
    more: Buttons = ()
    address: str = ""  # of its forms

    @property
    def place_words(self) -> str:
        return say("place {place}", place=self.plant.place) if self.plant.place else ""

    @property
    def chance_words(self) -> str:
        return say("chance {chance}", chance=self.ring.chance) if self.ring.chance else ""

    @property
    def last(self) -> Seen | None:
        return self.seen[-1] if self.seen else None

    @property
    def holding(self) -> list[Seen]:
        """What holds of it: of several outcomes tapped on one walk only the last does."""
        outcomes = [seen for seen in self.seen if seen.said in OUTCOMES]
        return [seen for seen in self.seen if seen.said not in OUTCOMES or seen is outcomes[-1]]

    @property
    def chosen(self) -> set[str]:
        return {seen.said for seen in self.holding}

    @property
    def loss(self) -> Seen | None:
        """Its loss, where that is what holds: what is seen and what is suspected may be said."""
        return next((seen for seen in self.holding if seen.said == "lost"), None)


@dataclass(frozen=True)
class Walk:
    """Whose plants are looked at, on which day, at which address; `on` is None for a walk that happens now.

    What was seen on that day and the rings may be known already; where they are None they are looked up.
    """

    heading: str
    address: str
    plants: Sequence[Plant]
    nursery: Nursery
    now: datetime
    on: date | None = None
    dome: Dome | None = None
    first: Buttons = HEALING
    rows: list[Row] = field(default_factory=list)
    seen: dict[UUID, list[Seen]] | None = None
    rings: dict[UUID, Ring] | None = None

    keys = KEYS
    lost_signs, causes = LOST_SIGNS, CAUSES

    @property
    def day(self) -> date:
        return self.on or self.now.astimezone(self.nursery.zone).date()

    @property
    def moment(self) -> datetime:
        """When what is tapped happened: now, or noon of the day that was set."""
        today = self.now.astimezone(self.nursery.zone).date()
        return self.now if self.on in (None, today) else noon(self.day, self.nursery)

    def more(self, plant: Plant) -> Buttons:
        """The further signs that this plant's last graft can show: one made without leaves has no leaf stalk."""
        graft = next(iter(reversed(list(plant.grafts.all()))), None)
        return self.further if has_stalk(graft) else tuple(button for button in self.further if button[0] not in _OF_STALKS)

    @cached_property
    def further(self) -> Buttons:
        """All signs but the first ones."""
        first = {said for said, _ in self.first}
        return tuple(button for button in _ALL if button[0] not in first)

    @property
    def query(self) -> str:
        return f"?on={self.on.isoformat()}" if self.on else ""

    @property
    def way_back(self) -> str:
        """Its address within another address."""
        return quote(f"{self.address}{self.query}")

    @property
    def day_set(self) -> SafeString:
        """The day that was set, as each form of the walk sends it along."""
        return format_html('<input type="hidden" name="on" value="{}">', self.on.isoformat() if self.on else "")

    @property
    def next(self) -> Row | None:
        """The first plant that was not looked at yet."""
        return next((row for row in self.rows if not row.seen), None)

    @property
    def seen_count(self) -> int:
        return sum(bool(row.seen) for row in self.rows)


def with_rows(walk: Walk, only: UUID | None = None) -> Walk:
    """The walk with its rows; `only` leaves the rings of all others out."""
    listed = [plant for plant in walk.plants if only in (None, plant.pk)]
    seen = seen_on(walk.plants, walk.day, walk.nursery) if walk.seen is None else walk.seen
    shown = rings(listed) if walk.rings is None else walk.rings
    bare = Ring(0, 0, 0, "", "")
    rows = [
        Row(plant, shown.get(plant.pk, bare), seen.get(plant.pk, []), walk.more(plant), f"{walk.address}{plant.pk}/")
        for plant in walk.plants
    ]
    return replace(walk, rows=rows)


def seen_on(plants: Sequence[Plant], day: date, nursery: Nursery) -> dict[UUID, list[Seen]]:
    """What was written about each plant on a day and still stands, in order."""
    begin = datetime.combine(day, time(), nursery.zone)
    end = begin + timedelta(days=1)
    seen: dict[UUID, list[Seen]] = {}
    for key, records in records_of(plant.key for plant in plants).items():
        of_day = [record for record in settle(records) if record.kind in _KINDS and begin <= record.happened_at < end]
        if of_day:
            seen[UUID(key[6:])] = [_seen(record) for record in of_day]
    return seen


def _seen(record: Record) -> Seen:
    payload = record.payload
    said = next((word for word, (kind, held) in SEEN.items() if kind == record.kind and held.items() <= payload.items()), "")
    if record.kind == "lost":
        sign, cause = str(payload.get("sign", "")), str(payload.get("cause", ""))
        words = lost_words(sign, cause)
        return Seen(record.id, "lost", words, record.happened_at, sign, cause)
    sign = f"{payload['sign']}_{payload['answer']}" if record.kind == "scored" else payload.get("seen", say("looked at"))
    return Seen(record.id, said, sign_words(sign), record.happened_at)


@patiently
def tap(walk: Walk, ident: UUID, said: str, *, event_id: UUID, who: str) -> list[str]:
    """Write one sign of one plant; with the last plant of a dome the dome counts as looked at. Gives what was flagged."""
    plant = plant_of(walk, ident)
    if said not in SEEN:
        raise Refused(
            say("{said!r} is nothing that can be seen.", said=said[:30]),
            where=plant.spoken,
            remedy=say("One of: {seen}.", seen=", ".join(SEEN)),
        )
    with transaction.atomic():
        if Event.objects.filter(pk=event_id).exists():
            return []
        kind, payload = SEEN[said]
        events = [(kind, plant.key, dict(payload))]
        others = [other for other in walk.plants if other.pk != plant.pk]
        if walk.dome and len(seen_on(others, walk.day, walk.nursery)) == len(others) and not _dome_seen(walk):
            events.append(("observed", walk.dome.key, {}))
        answers = write_many(events, happened_at=walk.moment, now=walk.now, who=who, event_id=event_id)
        return sorted({flag for answer in answers for flag in answer.flags})


@patiently
def why_lost(walk: Walk, ident: UUID, *, sign: str, cause: str, who: str) -> None:
    """Say what is seen on a plant that was found lost on this walk, or what is suspected: a correction of that record."""
    plant = plant_of(walk, ident)
    with transaction.atomic():
        loss = next((seen for seen in reversed(seen_on([plant], walk.day, walk.nursery).get(ident, [])) if seen.said == "lost"), None)
        if loss is None:
            raise Refused(say("it was not found lost on this walk."), where=plant.spoken, remedy=say("Tap Lost first, then what is seen."))
        said = {name: value for name, value, was in (("sign", sign, loss.sign), ("cause", cause, loss.cause)) if value and value != was}
        if said:
            correct(loss.event, said, now=walk.now, who=who)


@patiently
def rest_unchanged(walk: Walk, *, event_id: UUID, who: str) -> list[UUID]:
    """Write down that all plants not yet seen on this walk are unchanged, and that the dome was looked at."""
    with transaction.atomic():
        if Event.objects.filter(pk=event_id).exists():
            return []
        seen = seen_on(walk.plants, walk.day, walk.nursery)
        events = [("observed", plant.key, {"seen": "unchanged"}) for plant in walk.plants if plant.pk not in seen]
        if walk.dome:
            events.append(("observed", walk.dome.key, {}))
        return [answer.id for answer in write_many(events, happened_at=walk.moment, now=walk.now, who=who, event_id=event_id)]


@patiently
def untap(walk: Walk, event_id: UUID, *, who: str) -> None:
    """Undo what a tap wrote; the look at the dome that came with it is undone too."""
    event = Event.objects.filter(pk=event_id).first()
    with transaction.atomic():
        undo_once(event_id, now=walk.now, who=who)
        if event and walk.dome:
            twins = Event.objects.filter(
                subjects__key=walk.dome.key, kind="observed", happened_at=event.happened_at, recorded_at=event.recorded_at
            )
            for twin in twins:
                undo_once(twin.pk, now=walk.now, who=who)


def plant_of(walk: Walk, ident: UUID) -> Plant:
    """A plant of this walk."""
    found = next((plant for plant in walk.plants if plant.pk == ident), None)
    if found is None:
        raise UnknownSubject(
            say("no such plant stands here."), where=walk.heading, remedy=say("Load the page again; it may have been moved.")
        )
    return found


def _dome_seen(walk: Walk) -> bool:
    """Whether the dome itself was looked at on the day."""
    assert walk.dome is not None
    begin = datetime.combine(walk.day, time(), walk.nursery.zone)
    about = Event.objects.filter(
        subjects__key=walk.dome.key, kind="observed", happened_at__gte=begin, happened_at__lt=begin + timedelta(days=1)
    )
    gone = undone_of([walk.dome.key])
    return any(ident not in gone for ident in about.values_list("id", flat=True))
