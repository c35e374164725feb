"""Phones that write without a signal: each has a name, a token that only it knows, and numbers for labels leased to it."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.db.models import F, QuerySet
from django.db.models.functions import Greatest

from scionary.book.kinds import plain
from scionary.book.leases import AHEAD, BLOCK, THIS_MACHINE, new_lease
from scionary.book.locks import lock_numbers
from scionary.book.models import CodeLease, Device
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import say

NAME_LONGEST = 60
_NOT_PHONES = (AHEAD, THIS_MACHINE)


@dataclass(frozen=True)
class Named:
    """A phone and its token, which is told this once: the book keeps only a digest of it."""

    device: Device
    token: str


@patiently
def name_phone(name: str, *, now: datetime, user: Any = None, token: str = "") -> Named:
    """Let a phone into the book under a name; one that was ended, or shows the token it has, gets a new token under its old name."""
    called = _checked_name(name)
    fresh = secrets.token_urlsafe(32)
    with transaction.atomic():
        lock_numbers()
        found = Device.objects.filter(name__iexact=called).first()
        if found is not None and found.ended_at is None and not (token and found.token_sha256 == digest(token)):
            remedy = say("Give another name. If that phone is gone, or forgot its name, end it in the book under Book, Phones.")
            raise Refused(say("a phone called {found} is in use.", found=found.name), where="name", remedy=remedy)
        device = found or Device(name=called, added_at=now)
        device.user, device.token_sha256, device.seen_at, device.ended_at = user, digest(fresh), now, None
        device.save()
    return Named(device, fresh)


def _checked_name(name: str) -> str:
    called = " ".join(plain(name).split())
    if not called or len(called) > NAME_LONGEST:
        said = say("that name has {called} characters", called=len(called)) if called else say("the phone has no name")
        raise Refused(
            f"{said}.",
            where="name",
            remedy=say("Give one of 1 to {name_longest} characters, such as Mara's phone.", name_longest=NAME_LONGEST),
        )
    if called.casefold() in _NOT_PHONES:
        raise Refused(
            say("the book itself is called {called!r} where it gives codes.", called=called), where="name", remedy=say("Give another name.")
        )
    return called


def digest(token: str) -> str:
    """What the book keeps of a token."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def phone_of(token: str) -> Device | None:
    """The phone that this token was given to; None when the book knows none, when it was ended, or when its account is closed."""
    if not token:
        return None
    found = Device.objects.select_related("user").filter(token_sha256=digest(token), ended_at=None).first()
    if found is None or (found.user is not None and not found.user.is_active):
        return None
    return None if settings.LOGIN_REQUIRED and found.user is None else found


def phones() -> QuerySet[Device]:
    """All phones that ever had a token; those in use first, then by name."""
    return Device.objects.exclude(token_sha256="").select_related("user").order_by(F("ended_at").desc(nulls_first=True), "name")


@patiently
def end_phone(ident: UUID, *, now: datetime) -> Device:
    """From now on nothing is taken from this phone, and the numbers that it held are given to nobody. Ended twice is ended once."""
    with transaction.atomic():
        lock_numbers()
        found = phones().filter(pk=ident).first()
        if found is None:
            raise UnknownSubject(
                say("the book knows no such phone."), where="phone", remedy=say("Choose one that is listed under Book, Phones.")
            )
        if found.ended_at is None:
            found.ended_at = now
            found.save(update_fields=["ended_at"])
            found.leases.update(used=F("count"))
        return found


@patiently
def lease_codes(device: Device, *, now: datetime) -> list[int]:
    """All numbers that a phone has at hand; another block is leased when fewer than a block are left."""
    with transaction.atomic():
        lock_numbers()
        if len(codes_at_hand(device)) < BLOCK:
            new_lease(device, now=now)
        heard(device, now=now)
        return codes_at_hand(device)


def codes_at_hand(device: Device) -> list[int]:
    """Leased numbers beyond the last one that came back on a record; a phone takes them in order, so the ones before are spent."""
    return [number for lease in device.leases.all() for number in range(lease.first + lease.used, lease.first + lease.count)]


def leased_to_a_phone(number: int) -> bool:
    """Whether a code number can stand on a label of this book that was written or printed away from it."""
    holding = CodeLease.objects.filter(first__lte=number, first__gt=number - F("count")).select_related("device").first()
    if holding is None or holding.device.name == THIS_MACHINE:
        return False
    return holding.device.name != AHEAD or number < holding.first + holding.used


def spend(number: int) -> None:
    """Remember that a number leased to a phone came back on a record: neither it nor those before it are at hand any more."""
    holding = CodeLease.objects.filter(first__lte=number, first__gt=number - F("count")).exclude(device__name__in=_NOT_PHONES)
    holding.update(used=Greatest(F("used"), number + 1 - F("first")))


def heard(device: Device, *, now: datetime) -> None:
    """Keep when a phone was heard of last."""
    Device.objects.filter(pk=device.pk).update(seen_at=now)
