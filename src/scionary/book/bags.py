"""Bags of scions: each is made in one transaction with the record that tells of its cutting, from a page, the terminal or a phone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.kinds import checked_payload
from scionary.book.leases import take_numbers
from scionary.book.locks import lock_numbers
from scionary.book.models import Event, EventSubject, MotherTree, Nursery, ScionBag
from scionary.book.patience import patiently
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused, UnknownSubject
from scionary.language import say


@dataclass(frozen=True)
class Cut:
    """What was cut from a tree; `exact` says that the moment is known to the minute and not to the day alone."""

    tree: MotherTree
    sticks: int
    happened_at: datetime
    exact: bool = True
    care: str = ""
    stands: str = ""
    name: str = ""
    note: str = ""

    def payload(self, number: int) -> dict[str, object]:
        given = {"care": self.care, "stands": self.stands, "note": self.note}
        return {"sticks": self.sticks, **{name: value for name, value in given.items() if value}, "code_number": number}


@dataclass(frozen=True)
class CutWritten:
    """The bag, the record that tells of it, and what was flagged."""

    bag: ScionBag
    event: UUID
    flags: tuple[str, ...] = ()


@patiently
def cut_scions(cut: Cut, nursery: Nursery, *, now: datetime, who: str = "", device: str = "", event_id: UUID | None = None) -> CutWritten:
    """Write down sticks that were cut: a bag with a code of its own, and its cutting, all or nothing; sent twice, it is written once."""
    with transaction.atomic():
        lock_numbers()  # one person at a time numbers bags
        if event_id is not None and Event.objects.filter(pk=event_id).exists():
            return CutWritten(_bag_of(event_id), event_id)
        number, bag = take_numbers(device, 1, now=now)[0], uuid7()
        subjects = (cut.tree.key, f"bag:{bag}")
        payload = cut.payload(number)
        event = NewEvent("scions_cut", cut.happened_at, subjects, payload, id=event_id or uuid7(), who=who, device=device)
        made = make_bag(bag, cut.tree, event, nursery, now=now, name=cut.name, exact=cut.exact)
        return CutWritten(made, event.id, record_events([event], now=now)[0].flags)


def _bag_of(event: UUID) -> ScionBag:
    keys = EventSubject.objects.filter(event_id=event, subject__key__startswith="bag:").values_list("subject_id", flat=True)
    found = ScionBag.objects.filter(pk__in=[key[4:] for key in keys]).first()
    if found is None:
        raise UnknownSubject(say("this record tells of no bag."), where="bag", remedy=say("Load the page again."))
    return found


def make_bag(
    bag: UUID, tree: MotherTree, event: NewEvent, nursery: Nursery, *, now: datetime, name: str = "", exact: bool = True
) -> ScionBag:
    """The row of a bag, with what its cutting says; within the transaction that writes the cutting.

    Raises `Refused` where the cutting cannot be as it says; nothing is written then.
    """
    cut_at = event.happened_at.astimezone(nursery.zone)
    payload = checked_payload(event.kind, event.payload)
    values = {"id": bag, "tree": tree, "cultivar": tree.cultivar, "cut_on": cut_at.date(), "cut_at": event.happened_at if exact else None}
    values |= {field: payload[field] for field in ("sticks", "care", "stands", "code_number", "note") if field in payload}
    values["name"] = _given(name) if name else usual_name(tree, cut_at, exact=exact)
    return save_noun(ScionBag, values, now=now, who=event.who)


def usual_name(tree: MotherTree, cut_at: datetime, *, exact: bool = True) -> str:
    """Red Tarn, 31 Jul 10:30, as a phone says it too; with a number behind it when another bag has it."""
    name = f"{tree.cultivar.spoken[:50]}, {cut_at.day} {cut_at:{'%b %H:%M' if exact else '%b %Y'}}"
    taken = set(ScionBag.objects.filter(name__startswith=name).values_list("name", flat=True))
    return next(called for called in (name, *(f"{name} ({again})" for again in range(2, len(taken) + 3))) if called not in taken)


def _given(name: str) -> str:
    called = " ".join(name.split())
    if ScionBag.objects.filter(name__iexact=called).exists():
        raise Refused(
            say("a bag is called {called!r} already.", called=called[:80]), where="name", remedy=say("Give this one another name, or none.")
        )
    return called
