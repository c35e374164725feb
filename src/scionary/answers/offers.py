"""Files that a person has given but not yet accepted: kept by their hash for a day, so that a page or a job can come back to them."""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta

from django.db import transaction

from scionary.book import queries
from scionary.book.models import RawFile
from scionary.book.patience import patiently
from scionary.book.readings import keep_file
from scionary.errors import BadFile, Refused
from scionary.language import say
from scionary.limits import LIMITS

OFFERED = "offered"
_KEPT_FOR = timedelta(days=1)


def check_size(data: bytes, name: str) -> None:
    """Refuse an empty file, or one larger than the limit, before anything is read of it."""
    if not data:
        raise BadFile(say("the file is empty."), where=name, remedy=say("Choose the file again."))
    if len(data) > LIMITS["file_bytes"]:
        size = say(
            "the file has {size:.0f} MB; at most {most:.0f} MB are read.",
            size=len(data) / 1000000.0,
            most=LIMITS["file_bytes"] / 1000000.0,
        )
        raise BadFile(size, where=name, remedy=say("Split it, or export less of it."))


@patiently
def offer(data: bytes, name: str, *, now: datetime) -> str:
    """Keep a file until it is accepted and give its hash; offers older than a day are thrown away."""
    check_size(data, name)
    with transaction.atomic():
        RawFile.objects.filter(kind=OFFERED, received_at__lt=now - _KEPT_FOR).delete()
        kept, _ = keep_file(data, name, OFFERED, now=now)
        RawFile.objects.filter(pk=kept.pk, kind=OFFERED).update(received_at=now, name=name[:200])
    return kept.sha256


def offered(sha256: str) -> tuple[bytes, str]:
    """The bytes and the name of a file that was given before."""
    kept = RawFile.objects.filter(pk=sha256).first()
    if kept is None:
        raise Refused(say("the file is no longer kept here."), where="file", remedy=say("Choose it again."))
    return bytes(kept.data), kept.name


def keep_accepted(data: bytes, name: str, kind: str, *, now: datetime) -> None:
    """Keep a file for good, as what it was accepted for."""
    kept, new = keep_file(data, name, kind, now=now)
    if not new and kept.kind != kind:
        RawFile.objects.filter(pk=kept.pk).update(kind=kind, name=name[:200], received_at=now)


def accepted_before(data: bytes, kind: str) -> RawFile | None:
    """The same bytes, accepted for the same use before."""
    return RawFile.objects.filter(pk=hashlib.sha256(data).hexdigest(), kind=kind).defer("data").first()


def accepted_on(before: RawFile) -> str:
    """The day at the nursery on which a file was taken in."""
    return before.received_at.astimezone(queries.nursery().zone).date().isoformat()
