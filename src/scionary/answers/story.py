"""A plant's story: each event in words, with what was undone or corrected of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from scionary.answers.chances import lost_words, sign_words
from scionary.answers.leaving import kind_words
from scionary.answers.record_fields import Names, field_name, field_words, value_words
from scionary.answers.undoing import undone_among
from scionary.book import queries
from scionary.book.kinds import KINDS, Reference
from scionary.book.models import NOUNS, Event, Nursery, Plant
from scionary.book.projection import records_of
from scionary.book.settle import Record, settle
from scionary.errors import UnknownSubject
from scionary.language import mark, say

_NAMES_SAY_IT = ("cultivar", "dome", "method", "lot", "tree", "pot")
_TOLD_FIRST = ("cultivar", "running_number", "dome", "place", "happened_at")
_SAID_WHOLE = frozenset({"sign", "answer", "seen", "cause", "how", "reason", "open_pct", "photo"})
_NOT_SAID = ("code_number", "bench", "precision")  # shown elsewhere on the page


@dataclass(frozen=True)
class StoryLine:
    """One event in words. `was` tells what a correction changed; `undone_by` are the corrections to undo to bring it back."""

    event: UUID
    kind: str
    at: datetime
    precision: str
    words: str
    details: list[str]
    note: str
    who: str
    undone: bool = False
    undone_by: list[UUID] = field(default_factory=list)
    was: str = ""
    corrected_at: datetime | None = None
    corrected_by: str = ""
    of_dome: bool = False
    with_others: int = 0  # other plants that the same record is about: undoing it undoes it for them too
    photo: str = ""  # the id of the photo that was taken

    @property
    def changed(self) -> bool:
        return bool(self.was)

    @property
    def correctable(self) -> bool:
        return not self.undone and not self.of_dome and self.kind != "corrected"


def story_lines(plant: Plant, nursery: Nursery) -> list[StoryLine]:
    """All that is recorded about a plant, latest first."""
    events = queries.story(plant)
    gone = undone_among(event.id for event in events)
    standing = standing_records(plant)
    names = _names([*(event.payload for event in events), *(record.payload for record in standing.values())])
    by_id = {event.id: event for event in events}
    undoing: dict[UUID, list[UUID]] = defaultdict(list)
    for event in events:
        if event.kind == "corrected" and event.target and not event.payload.get("replace") and event.id not in gone:
            undoing[event.target].append(event.id)
    return [_line(event, standing.get(event.id), by_id, gone, undoing[event.id], names, nursery) for event in events]


def standing_records(plant: Plant) -> dict[UUID, Record]:
    """A plant's events as they stand after all corrections, by id."""
    return {record.id: record for record in settle(records_of([plant.key], beside=True)[plant.key])}


def event_of(plant: Plant, ident: UUID) -> tuple[str, datetime, dict[str, Any]]:
    """(kind, when, payload) of one of a plant's events as it stands now."""
    record = standing_records(plant).get(ident)
    if record is not None:
        return record.kind, record.happened_at, dict(record.payload)
    event = Event.objects.filter(pk=ident, subjects__key=plant.key).exclude(kind__in=("edited", "corrected")).first()
    if event is None:
        raise UnknownSubject(
            say("this plant's story holds no such record."), where="event", remedy=say("Choose one that is listed in its story.")
        )
    return event.kind, event.happened_at, dict(event.payload)


def _line(
    event: Event,
    standing: Record | None,
    by_id: Mapping[UUID, Event],
    gone: set[UUID],
    undone_by: list[UUID],
    names: Names,
    nursery: Nursery,
) -> StoryLine:
    payload = dict(standing.payload) if standing else event.payload
    at = standing.happened_at if standing else event.happened_at
    words, details = _told(event, payload, by_id, gone, names, nursery)
    was = _changes(_values(event.payload, event.happened_at), _values(payload, at), names, nursery) if standing else []
    corrections = _standing_corrections(event, by_id, gone)
    last = corrections[-1] if was and corrections else None
    plants = sum(subject.key.startswith("plant:") for subject in event.subjects.all())
    return StoryLine(
        event.id,
        event.kind,
        at,
        payload.get("precision", "day"),
        words,
        details,
        payload.get("note", ""),
        event.who,
        undone=event.id in gone,
        undone_by=undone_by,
        was=", ".join(was),
        corrected_at=last.happened_at if last else None,
        corrected_by=last.who if last else "",
        of_dome=not plants,
        with_others=max(plants - 1, 0),
        photo=str(payload.get("photo", "")) if event.kind == "photographed" else "",
    )


def _told(
    event: Event, payload: Mapping[str, Any], by_id: Mapping[UUID, Event], gone: set[UUID], names: Names, nursery: Nursery
) -> tuple[str, list[str]]:
    if event.kind == "corrected":
        return _correction_words(event, by_id, gone, names, nursery)
    kind = event.kind
    special = _WORDS.get(kind)
    words, used = special(payload, names) if special else (_capital(KINDS[kind].words), ())
    rest = [name for name in payload if name not in (*used, *_NOT_SAID, "note")]
    return words, [field_words(name, payload[name], names, nursery) for name in rest]


def record_words(kind: str, payload: Mapping[str, Any], nursery: Nursery) -> tuple[str, list[str]]:
    """A record by itself: in words, and all that it holds beside them."""
    names = _names([payload])
    if kind == "corrected":
        return _correction_by_itself(payload, names, nursery)
    words, used = _WORDS[kind](payload, names) if kind in _WORDS else (_capital(KINDS[kind].words), ())
    said = {name for name in used if name in _SAID_WHOLE or names.get(str(payload.get(name)))}
    return words, [field_words(name, value, names, nursery) for name, value in payload.items() if name not in said]


def _correction_by_itself(payload: Mapping[str, Any], names: Names, nursery: Nursery) -> tuple[str, list[str]]:
    target = Event.objects.filter(pk=payload["target"]).first()
    what = KINDS[target.kind].words if target else say("a record that has not arrived")
    replaced = payload.get("replace") or {}
    words = say("Corrected: {what}", what=what) if replaced else say("Undone: {what}", what=what)
    held = {**replaced, **({"note": payload["note"]} if payload.get("note") else {})}
    return words, [field_words(name, value, names, nursery) for name, value in held.items()]


def _correction_words(event: Event, by_id: Mapping[UUID, Event], gone: set[UUID], names: Names, nursery: Nursery) -> tuple[str, list[str]]:
    target = by_id.get(event.target) if event.target else None
    what = KINDS[target.kind].words if target else say("a record that has not arrived")
    replace = event.payload.get("replace")
    if not replace:
        return (say("Brought back: {what}", what=what) if target and target.kind == "corrected" else say("Undone: {what}", what=what)), []
    if target is None or target.kind == "corrected":
        return say("Corrected: {what}", what=what), [field_words(name, value, names, nursery) for name, value in replace.items()]
    before = _values(target.payload, target.happened_at)
    for earlier in _standing_corrections(target, by_id, gone):
        if (earlier.happened_at, earlier.id) < (event.happened_at, event.id):
            before |= earlier.payload["replace"]
    return say("Corrected: {what}", what=what), _changes(before, {**before, **replace}, names, nursery)


def _standing_corrections(event: Event, by_id: Mapping[UUID, Event], gone: set[UUID]) -> list[Event]:
    """The corrections that change this event, in order."""
    found = [other for other in by_id.values() if other.target == event.id and other.id not in gone and other.payload.get("replace")]
    return sorted(found, key=lambda each: (each.happened_at, each.id))


def _values(payload: Mapping[str, Any], at: datetime) -> dict[str, Any]:
    return {**payload, "happened_at": at.isoformat()}


def _changes(before: Mapping[str, Any], after: Mapping[str, Any], names: Names, nursery: Nursery) -> list[str]:
    """Red Tarn → Lanthorn, for each field that differs; fields that are no name say what they are."""
    found = []
    for name in dict.fromkeys([*(name for name in _TOLD_FIRST if name in {*before, *after}), *before, *after]):
        old, new = (
            value_words(name, values[name], names, nursery) if values.get(name) is not None else say("nothing")
            for values in (before, after)
        )
        if old != new:
            label = "" if name in _NAMES_SAY_IT else f"{field_name(name)} "
            found.append(f"{label}{old} → {new}")
    return found


def _where(payload: Mapping[str, Any], names: Names) -> str:
    dome = names.get(str(payload.get("dome")), "") if payload.get("dome") else ""
    place = say(", place {place}", place=payload["place"]) if dome and payload.get("place") else ""
    return f"{dome}{place}" or str(payload.get("stands", ""))


# With neither cultivar nor place, with the cultivar, with the place, with both.
_GRAFTED = (mark("Grafted"), mark("Grafted: {cultivar}"), mark("Grafted, into {where}"), mark("Grafted: {cultivar}, into {where}"))
_AGAIN = (
    mark("Grafted again"),
    mark("Grafted again: {cultivar}"),
    mark("Grafted again, into {where}"),
    mark("Grafted again: {cultivar}, into {where}"),
)


def _grafted(payload: Mapping[str, Any], names: Names, texts: Sequence[str] = _GRAFTED) -> tuple[str, tuple[str, ...]]:
    where = _where(payload, names)
    cultivar = names.get(str(payload.get("cultivar")), "")
    text = texts[bool(cultivar) + 2 * bool(where)]
    return say(text, cultivar=cultivar, where=where), ("cultivar", "dome", "place", "stands", "running_number")


def _moved(payload: Mapping[str, Any], names: Names) -> tuple[str, tuple[str, ...]]:
    where = _where(payload, names)
    return (say("Moved to {where}", where=where) if where else say("Moved out")), ("dome", "place", "stands")


def _scored(payload: Mapping[str, Any], names: Names) -> tuple[str, tuple[str, ...]]:
    return _capital(sign_words(f"{payload.get('sign')}_{payload.get('answer')}")), ("sign", "answer")


def _observed(payload: Mapping[str, Any], names: Names) -> tuple[str, tuple[str, ...]]:
    return _capital(sign_words(payload["seen"]) if payload.get("seen") else say("looked at")), ("seen",)


def _vented(payload: Mapping[str, Any], names: Names) -> tuple[str, tuple[str, ...]]:
    share = payload.get("open_pct", 0)
    return say("Vents opened to {share:.0f} %", share=share) if share else say("Vents closed"), ("open_pct",)


def _lost(payload: Mapping[str, Any], names: Names) -> tuple[str, tuple[str, ...]]:
    sign, cause = payload.get("sign", ""), payload.get("cause", "")
    return _capital(lost_words(sign, cause)), ("sign", "cause")


def _left(payload: Mapping[str, Any], names: Names) -> tuple[str, tuple[str, ...]]:
    price = say(" for {price:.2f}", price=payload["price"]) if payload.get("price") else ""
    return f"{_capital(kind_words('left', payload))}{price}", ("how", "price")


def _for_a_reason(words: str) -> Callable[[Mapping[str, Any], Names], tuple[str, tuple[str, ...]]]:
    def told(payload: Mapping[str, Any], names: Names) -> tuple[str, tuple[str, ...]]:
        reason = payload.get("reason", "")
        return f"{say(words)}{f': {say(reason)}' if reason else ''}", ("reason",)

    return told


_WORDS: dict[str, Callable[[Mapping[str, Any], Names], tuple[str, tuple[str, ...]]]] = {
    "grafted": _grafted,
    "regrafted": lambda payload, names: _grafted(payload, names, _AGAIN),
    "moved": _moved,
    "scored": _scored,
    "observed": _observed,
    "vented": _vented,
    "photographed": lambda payload, names: (say("Photographed"), ("photo",)),
    "lost": _lost,
    "left": _left,
    "name_doubted": _for_a_reason(mark("Name in doubt")),
    "name_doubt_ended": _for_a_reason(mark("Name no longer in doubt")),
    "quarantined": _for_a_reason(mark("Set apart in quarantine")),
    "released": _for_a_reason(mark("Released from quarantine")),
}


def _names(payloads: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """The name of every noun that these payloads mention, by its id."""
    wanted: dict[str, set[str]] = defaultdict(set)
    nouns = {name: check.noun for spec in KINDS.values() for name, check in spec.fields.items() if isinstance(check, Reference)}
    for payload in payloads:
        for name, value in {**payload, **(payload.get("replace") or {})}.items():
            if name in nouns and value:
                wanted[nouns[name]].add(str(value))
    return {str(row.pk): str(row) for noun, idents in wanted.items() for row in NOUNS[noun]._default_manager.filter(pk__in=idents)}


def _domes(event: Event) -> list[str]:
    """Keys of the domes that an event is about as its own subject, not as a place that it names."""
    named = f"dome:{event.payload.get('dome')}"
    return [subject.key for subject in event.subjects.all() if subject.key.startswith("dome:") and subject.key != named]


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
