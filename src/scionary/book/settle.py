"""Corrections: which events stand, and with what values.

An event is void if a correction that is not itself void names it. A correction with new values puts a changed
event in its place; one without undoes it. A correction says which earlier corrections of the same event its writer
knew: it overrules these. Corrections that did not know of each other and disagree make the field disputed. The
result is a function of the set of events, so the order of arrival does not matter.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
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
    outcome = _outcomes(records)
    standing = [record for record in outcome.values() if record is not None and record.kind != "corrected"]
    return sorted(standing, key=lambda r: r.order)


def void(records: Iterable[Record]) -> set[UUID]:
    """Ids of the events, corrections among them, that a standing correction undoes."""
    return {ident for ident, record in _outcomes(records).items() if record is None}


def _outcomes(records: Iterable[Record]) -> dict[UUID, Record | None]:
    """Each record with its standing corrections applied, None when they undo it; the last correction of a chain first."""
    by_id = {record.id: record for record in sorted(records, key=lambda r: r.order)}
    circular = _in_circles(by_id)
    namers: dict[UUID, list[UUID]] = defaultdict(list)
    for record in by_id.values():
        if record.kind == "corrected" and record.target in by_id and record.id not in circular:
            namers[record.target].append(record.id)
    waiting_for = {ident: len(namers[ident]) for ident in by_id}
    ready = [ident for ident, count in waiting_for.items() if not count]
    outcome: dict[UUID, Record | None] = {}
    while ready:
        record = by_id[ready.pop()]
        outcome[record.id] = _corrected(record, [after for c in namers[record.id] if (after := outcome[c]) is not None])
        if record.kind == "corrected" and record.target in by_id and record.id not in circular:
            waiting_for[record.target] -= 1
            if not waiting_for[record.target]:
                ready.append(record.target)
    return outcome


def _in_circles(by_id: Mapping[UUID, Record]) -> set[UUID]:
    """Corrections that, directly or not, name themselves; they correct nothing."""
    found: set[UUID] = set()
    done: set[UUID] = set()
    for start in by_id:
        path: dict[UUID, None] = {}
        here: UUID | None = start
        while here is not None and here in by_id and by_id[here].kind == "corrected" and here not in done and here not in path:
            path[here] = None
            here = by_id[here].target
        if here in path:
            steps = list(path)
            found.update(steps[steps.index(here) :])
        done.update(path)
    return found


def _corrected(record: Record, standing: Sequence[Record]) -> Record | None:
    """The record with its standing corrections applied; None when they undo it."""
    undoing = [c for c in standing if not c.payload.get("replace")]
    changing = [c for c in standing if c.payload.get("replace")]
    undoes = [c for c in undoing if not _overruled(c, changing)]
    changes = [c for c in changing if not _overruled(c, undoing)]
    if not changes:
        return None if undoes else record
    values: dict[str, Any] = {}
    disputed = set().union(*(c.disputed for c in (*undoes, *changes)), {EVERYTHING} if undoes else set())
    for name in sorted({name for c in changes for name in c.payload["replace"]}):
        speaking = [c for c in changes if name in c.payload["replace"]]
        last = [c for c in speaking if not _overruled(c, speaking)] or speaking
        values[name] = last[-1].payload["replace"][name]
        if any(c.payload["replace"][name] != values[name] for c in last):
            disputed.add(name)
    return _changed(record, values, frozenset(disputed))


def _overruled(correction: Record, others: Iterable[Record]) -> bool:
    """Whether another of them was written in knowledge of this one, and not the other way round."""
    return any(_knew(other, correction) and not _knew(correction, other) for other in others)


def _knew(later: Record, earlier: Record) -> bool:
    return str(earlier.id) in later.payload.get("knew", ())


def _changed(record: Record, values: dict[str, Any], disputed: frozenset[str]) -> Record:
    if record.kind == "corrected":
        merged = {**(record.payload.get("replace") or {}), **values}
        return replace(record, payload={**record.payload, "replace": merged}, disputed=disputed)
    moment = values.pop("happened_at", None)
    happened_at = datetime.fromisoformat(moment) if moment else record.happened_at
    payload = {name: value for name, value in {**record.payload, **values}.items() if value is not None}
    return replace(record, payload=payload, happened_at=happened_at, disputed=disputed)
