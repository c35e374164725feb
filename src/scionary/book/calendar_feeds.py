"""Secret addresses at which a calendar program reads what is due: made, looked up, ended."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from scionary.book.kinds import plain
from scionary.book.models import CalendarFeed
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import say

_MOST = 20
_NAME_LONGEST = 60


@dataclass(frozen=True)
class Opened:
    """A feed and its secret, which is told this once: the book keeps only a digest of it."""

    feed: CalendarFeed
    secret: str


@patiently
def open_feed(name: str, *, now: datetime) -> Opened:
    """Make a secret address, under a name by which a person knows it again."""
    called = " ".join(plain(name).split())
    if not called or len(called) > _NAME_LONGEST:
        raise Refused(
            say("the calendar has no name of its own."),
            where="name",
            remedy=say("Give one of 1 to {name_longest} characters: my phone.", name_longest=_NAME_LONGEST),
        )
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        if CalendarFeed.objects.filter(ended_at=None).count() >= _MOST:
            raise Refused(
                say("{most} addresses are in use.", most=_MOST), where="calendar", remedy=say("End one that nobody reads any more.")
            )
        feed = CalendarFeed.objects.create(name=called, secret_sha256=_digest(secret), made_at=now)
    return Opened(feed, secret)


def feed_of(secret: str) -> CalendarFeed | None:
    """The feed with this secret, while it is not ended."""
    return CalendarFeed.objects.filter(secret_sha256=_digest(secret), ended_at=None).first()


@patiently
def end_feed(ident: UUID, *, now: datetime) -> CalendarFeed:
    """From now on the address answers nothing; ended before, it stays so."""
    with transaction.atomic():
        feed = CalendarFeed.objects.select_for_update().filter(pk=ident).first()
        if feed is None:
            raise UnknownSubject(say("the book knows no such calendar."), where="calendar", remedy=say("Choose one that is listed."))
        if feed.ended_at is None:
            feed.ended_at = now
            feed.save(update_fields=["ended_at"])
    return feed


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
