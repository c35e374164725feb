"""Reading the book: what a page or an answer needs, in few queries. Nothing here writes."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from datetime import datetime
from uuid import UUID

from django.db.models import Count, F, Max, Prefetch, Q, QuerySet, Sum

from scionary.book.fold import DOME_KINDS
from scionary.book.models import (
    Dome,
    DomeState,
    Event,
    EventSubject,
    Graft,
    KeptAside,
    KeptSchedule,
    Nursery,
    Plant,
    RawFile,
    SensorDay,
    WeatherMonth,
)
from scionary.book.one_page import once
from scionary.book.projection import record_of, records_of
from scionary.book.settle import Record, settle, void
from scionary.errors import UnknownSubject
from scionary.language import say

_OF_LATE = 1_000
STANDING = (Plant.State.WAITING, Plant.State.ALIVE)


def nursery() -> Nursery:
    """The book's settings."""
    return once("nursery", lambda: Nursery.objects.order_by("id")[0])


def reaches() -> datetime | None:
    """The moment up to which the book is kept: its latest event that does not lie in the future of its own recording."""
    found: datetime | None = Event.objects.filter(happened_at__lte=F("recorded_at")).aggregate(last=Max("happened_at"))["last"]
    return found


def stamp() -> tuple[int, str]:
    """What changes with every write, and only then: the newest link of an event with a subject, and how many there are of late.

    Links are numbered as they are written and never again; of two that are written at once on a server, the lower number may be there
    later than the higher, so those of late are counted too. What is asked of it is quick, however large the book.
    """
    return once("stamp", _read_stamp)


def whole_stamp() -> tuple[Hashable, ...]:
    """What changes with every write, also of what comes in without an event: readings, weather, plans, records kept aside."""
    return (stamp(), *once("beside events", _beside_events))


def _beside_events() -> tuple[Hashable, ...]:
    readings = SensorDay.objects.aggregate(days=Count("pk"), newest=Max("pk"), readings=Sum("count"))
    files = RawFile.objects.aggregate(newest=Max("received_at"), files=Count("pk"))
    weather = WeatherMonth.objects.aggregate(newest=Max("pk"), readings=Sum("count"))
    aside = KeptAside.objects.aggregate(newest=Max("received_at"), records=Count("pk"))
    plans = KeptSchedule.objects.aggregate(newest=Max("made_at"), plans=Count("pk"))
    return tuple(tuple(found.values()) for found in (readings, files, weather, aside, plans))


def _read_stamp() -> tuple[int, str]:
    newest, event = EventSubject.objects.order_by("-id").values_list("id", "event_id").first() or (0, None)
    return (newest, f"{EventSubject.objects.filter(id__gt=newest - _OF_LATE).count()} {event}")


def plants() -> QuerySet[Plant]:
    """All plants with their cultivar, dome and grafts at hand."""
    related = Graft.objects.select_related("cultivar", "method", "lot", "tree", "dome")
    grafts = related.defer("method__after_care", "method__practices").order_by("grafted_at", "id")
    return Plant.objects.select_related("cultivar", "dome", "pot_kind").prefetch_related(Prefetch("grafts", queryset=grafts))


def plant(ident: UUID) -> Plant:
    found = plants().filter(pk=ident).first()
    if found is None:
        raise UnknownSubject(say("the book holds no such plant."), where="plant", remedy=say("Look it up under Plants."))
    return found


def plants_in(dome: Dome | UUID) -> QuerySet[Plant]:
    """Plants that stand in a dome, by their place, then those without one; lost ones too, until they are moved out."""
    return plants().filter(dome=dome).order_by(F("place").asc(nulls_last=True), "id")


def domes_in_use() -> QuerySet[Dome]:
    """Domes in which something stands that is not known to be lost."""
    return Dome.objects.filter(plants__state__in=STANDING).distinct().order_by("name")


def dome_states(idents: Iterable[UUID]) -> dict[UUID, DomeState]:
    return DomeState.objects.in_bulk(list(idents))


def story(plant: Plant) -> list[Event]:
    """All events about a plant, undone ones too, and what happened to its dome while it stood there, latest first."""
    own = Event.objects.filter(subjects__key=plant.key).exclude(kind="edited")
    events = {event.id: event for event in own.prefetch_related("subjects")}
    for dome, begin, end in stays(settle(records_of([plant.key])[plant.key])):
        shared = Event.objects.filter(subjects__key=f"dome:{dome}", kind__in=DOME_KINDS, happened_at__gte=begin)
        if end:
            shared = shared.filter(happened_at__lt=end)
        events |= {event.id: event for event in shared}
    newest = set(events)
    while newest:
        corrections = {event.id: event for event in Event.objects.filter(target__in=newest, kind="corrected")}
        newest = set(corrections) - set(events)
        events |= corrections
    return sorted(events.values(), key=lambda e: (e.happened_at, e.id), reverse=True)


def stays(settled: Iterable[Record]) -> list[tuple[str, datetime, datetime | None]]:
    """(dome id, from, to) of each stay in a dome, from a plant's settled events."""
    found: list[tuple[str, datetime, datetime | None]] = []
    here: tuple[str, datetime] | None = None
    for event in settled:
        if event.kind not in ("grafted", "regrafted", "moved", "left", "wintered_in", "wintered_out"):
            continue
        dome = event.payload.get("dome")
        if event.kind in ("regrafted", "wintered_in", "wintered_out") and not (dome or event.payload.get("stands")):
            continue
        if here:
            found.append((*here, event.happened_at))
        here = (dome, event.happened_at) if dome else None
    if here:
        found.append((*here, None))
    return found


def undone(events: Iterable[Event]) -> set[UUID]:
    """Ids of those events that do not stand, given the corrections among them."""
    listed = {event.id: event for event in events}
    return void(record_of(event, listed) for event in listed.values())


def find_spoken(text: str) -> QuerySet[Plant]:
    """Plants whose spoken name or place matches what was typed: "Red Tarn 12", "red tarn", "north window"."""
    words = text.split()
    query = plants()
    if words and words[-1].isascii() and words[-1].isdigit():
        query = query.filter(running_number=int(words[-1]))
        words = words[:-1]
    name = " ".join(words)
    if not name:
        return query
    return query.filter(Q(cultivar__spoken__icontains=name) | Q(cultivar__botanical__icontains=name) | Q(stands__icontains=name))
