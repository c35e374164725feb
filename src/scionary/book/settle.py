"""Corrections: which events stand, and with what values.

An event is void if a correction that is not itself void names it. A correction with new values puts a changed
event in its place; one without undoes it. Corrections that disagree make the field disputed. The result is a
function of the set of events, so the order of arrival does not matter.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any
from uuid import UUID

EVERYTHING = "*"  # disputed when one correction undoes an event that another changes


@dataclass(frozen=True)
class Record:
    """One event as the fold sees it; `disputed` names payload fields on which corrections disagree."""

    id: UUID
    kind: str
    happened_at: datetime
    payload: Mapping[str, Any]
    target: UUID | None = None
    who: str = ""
    disputed: frozenset[str] = field(default_factory=frozenset)

    @property
    def order(self) -> tuple[datetime, UUID]:
        return (self.happened_at, self.id)


def settle(records: Iterable[Record]) -> list[Record]:
    """The events that stand after all corrections, in fold order."""
    by_id = {record.id: record for record in records}
    circular = _in_circles(by_id)
    namers: dict[UUID, list[Record]] = defaultdict(list)
    for record in sorted(by_id.values(), key=lambda r: r.order):
        if record.kind == "corrected" and record.target and record.id not in circular:
            namers[record.target].append(record)
    standing = (_standing(record, namers) for record in by_id.values() if record.kind != "corrected")
    return sorted((record for record in standing if record is not None), key=lambda r: r.order)


def _in_circles(by_id: Mapping[UUID, Record]) -> set[UUID]:
    """Corrections that, directly or not, name themselves; they correct nothing."""
    found: set[UUID] = set()
    for start in by_id.values():
        seen: set[UUID] = set()
        here: Record | None = start
        while here is not None and here.kind == "corrected" and here.id not in seen:
            seen.add(here.id)
            here = by_id.get(here.target) if here.target else None
            if here is not None and here.id == start.id:
                found.add(start.id)
    return found


def _standing(record: Record, namers: Mapping[UUID, list[Record]]) -> Record | None:
    """The record with its standing corrections applied; None when they undo it."""
    standing = [after for after in (_standing(c, namers) for c in namers.get(record.id, [])) if after is not None]
    if not standing:
        return record
    changes = [c.payload.get("replace") for c in standing]
    if not any(changes):
        return None
    values: dict[str, Any] = {}
    disputed = set().union(*(c.disputed for c in standing))
    for change in changes:
        for name, value in (change or {}).items():
            if name in values and values[name] != value:
                disputed.add(name)
            values[name] = value
    if not all(changes):
        disputed.add(EVERYTHING)
    return _changed(record, values, frozenset(disputed))


def _changed(record: Record, values: dict[str, Any], disputed: frozenset[str]) -> Record:
    if record.kind == "corrected":
        merged = {**(record.payload.get("replace") or {}), **values}
        return replace(record, payload={**record.payload, "replace": merged}, disputed=disputed)
    moment = values.pop("happened_at", None)
    happened_at = datetime.fromisoformat(moment) if moment else record.happened_at
    payload = {name: value for name, value in {**record.payload, **values}.items() if value is not None}
    return replace(record, payload=payload, happened_at=happened_at, disputed=disputed)
