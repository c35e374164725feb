"""All standing events of some kinds at once, and columns as plain text: for questions that go through a whole large book."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import numpy as np
import numpy.typing as npt
from django.db.models import CharField, Value
from django.db.models.functions import Cast, Replace, Substr

from scionary.book.models import Event
from scionary.book.projection import with_corrections
from scionary.book.settle import settle


@dataclass(frozen=True)
class Happened:
    """An event as it stands after corrections; `at` in seconds since 1970."""

    event: str
    kind: str
    at: float
    payload: dict[str, Any]
    subjects: tuple[str, ...]


def ident_text(column: str) -> Replace:
    """An id as 32 hexadecimal digits, made by the database: a hundred thousand need no objects."""
    return Replace(Cast(column, CharField()), Value("-"), Value(""))


def moment_text(column: str) -> Substr:
    """A moment in UTC as text, to the second."""
    return Substr(Cast(column, CharField()), 1, 19)


def seconds(moments: Iterable[str]) -> npt.NDArray[np.float64]:
    """Moments written by `moment_text`, in seconds since 1970."""
    return np.array(list(moments), dtype="datetime64[s]").astype(np.int64).astype(np.float64)


def standing_events(kinds: Collection[str], noun: str) -> list[Happened]:
    """The events of these kinds that stand, with their subjects of one noun as ``noun:<32 digits>``, in no fixed order."""
    rows = Event.objects.filter(kind__in=kinds).values_list(
        ident_text("id"), "kind", moment_text("happened_at"), "payload", "eventsubject__subject_id"
    )
    subjects: dict[str, list[str]] = {}
    found: dict[str, tuple[str, str, dict[str, Any]]] = {}
    for ident, kind, moment, payload, key in rows.order_by():
        if not key.startswith(f"{noun}:"):
            continue
        subjects.setdefault(ident, []).append(key.replace("-", ""))
        found[ident] = (kind, moment, payload)
    corrected = _corrected() & set(found)
    at = seconds(moment for _, moment, _ in found.values())
    plain = [
        Happened(ident, kind, float(when), payload, tuple(subjects[ident]))
        for (ident, (kind, _, payload)), when in zip(found.items(), at, strict=True)
        if ident not in corrected
    ]
    return plain + [event for ident in sorted(corrected) for event in _settled(ident, tuple(subjects[ident]))]


def _corrected() -> set[str]:
    return set(Event.objects.filter(kind="corrected").values_list(ident_text("target"), flat=True))


def _settled(ident: str, subjects: tuple[str, ...]) -> list[Happened]:
    """An event with its corrections applied; none where it is undone."""
    standing = [record for record in settle(with_corrections(UUID(ident))) if record.id == UUID(ident)]
    return [Happened(ident, r.kind, r.happened_at.timestamp(), dict(r.payload), subjects) for r in standing]
