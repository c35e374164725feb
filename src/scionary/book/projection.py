"""Keeping the folded states in columns: plants, grafts and domes, written from events by the fold alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import asdict, fields
from typing import Any
from uuid import UUID

from django.db import models, transaction

from scionary.book.fold import DOME_KINDS, FOLD_VERSION, PLANT_KINDS, fold_dome, fold_plant
from scionary.book.kinds import BESIDE, checked_replacement
from scionary.book.locks import AT_ONCE, chunks, gate
from scionary.book.models import DomeState, Event, EventSubject, FoldRules, Graft, Plant
from scionary.book.one_page import once
from scionary.book.patience import patiently
from scionary.book.settle import Record
from scionary.book.states import DomeFold, GraftState, PlantState
from scionary.errors import Refused


def fold_again(keys: Iterable[str]) -> None:
    """Fold these subjects from all their events and write their columns."""
    wanted = sorted(key for key in keys if key.split(":")[0] in ("plant", "dome"))
    for chunk in chunks(wanted):
        records = records_of(chunk)
        _write_plants({UUID(key[6:]): records[key] for key in chunk if key.startswith("plant:")})
        _write_domes({UUID(key[5:]): records[key] for key in chunk if key.startswith("dome:")})


@patiently
def rebuild() -> dict[str, int]:
    """Throw the folded columns away and make them again from events alone."""
    with transaction.atomic():
        gate(alone=True)
        Graft.objects.all().delete()
        Plant.objects.all().delete()
        DomeState.objects.all().delete()
        keys = set(EventSubject.objects.filter(subject__key__startswith="plant:").values_list("subject_id", flat=True))
        keys |= set(
            EventSubject.objects.filter(subject__key__startswith="dome:", event__kind__in=DOME_KINDS).values_list("subject_id", flat=True)
        )
        fold_again(keys)
        return {"plants": Plant.objects.count(), "grafts": Graft.objects.count(), "domes": DomeState.objects.count()}


def follow_the_rules() -> bool:
    """Make the columns again when they were written by other rules than the program's; says whether it did."""
    if FoldRules.objects.filter(version=FOLD_VERSION).exists():
        return False
    with transaction.atomic():
        rebuild()
        FoldRules.objects.update_or_create(pk=1, defaults={"version": FOLD_VERSION})
    return True


def columns() -> dict[str, list[dict[str, Any]]]:
    """All folded columns, in a fixed order, to compare before and after a rebuild."""
    return {model.__name__: [dict(row) for row in model.objects.order_by("pk").values()] for model in (Plant, Graft, DomeState)}


def records_of(keys: Iterable[str], *, beside: bool = False) -> dict[str, list[Record]]:
    """Each subject's events, with the corrections that name them, directly or through another correction.

    Those that change no state, such as photos, are among them with `beside` alone.
    """
    asked = list(keys)
    known = _of_this_page(beside)
    missing = [key for key in asked if key not in known]
    known |= _records_of(missing, beside) if missing else {}
    return {key: list(known[key]) for key in asked}


def _of_this_page(beside: bool) -> dict[str, list[Record]]:
    """What was read of subjects for the page that is drawn; nothing while something may be written."""
    return once(f"records of subjects, beside {beside}", dict)


def _records_of(listed: list[str], beside: bool) -> dict[str, list[Record]]:
    owners: dict[UUID, set[str]] = defaultdict(set)
    for noun, kinds in (("plant", PLANT_KINDS), ("dome", DOME_KINDS)):
        about = [key for key in listed if key.startswith(f"{noun}:")]
        links = EventSubject.objects.filter(subject_id__in=about)  # by subject alone: asked for kinds too, SQLite walks the whole book
        for key, ident, kind in links.values_list("subject_id", "event_id", "event__kind"):
            if kind in kinds or kind == "corrected" or (beside and kind in BESIDE):
                owners[ident].add(key)
    newest = set(owners)
    while newest:
        found: set[UUID] = set()
        for chunk in chunks(newest):
            for ident, target in Event.objects.filter(target__in=chunk).values_list("id", "target"):
                if target and not owners[target] <= owners[ident]:
                    owners[ident] |= owners[target]
                    found.add(ident)
        newest = found
    events = {event.id: event for chunk in chunks(owners) for event in Event.objects.filter(id__in=chunk)}
    result: dict[str, list[Record]] = {key: [] for key in listed}
    for ident, event in events.items():
        for key in owners[ident]:
            result[key].append(record_of(event, events))
    return result


def with_corrections(*idents: UUID) -> list[Record]:
    """Events, with the corrections that name them, directly or through another correction; those that are not there are left out."""
    events = {event.id: event for chunk in chunks(idents) for event in Event.objects.filter(id__in=chunk)}
    chain = dict(events)
    for each in list(events.values()):
        here: Event | None = each
        while here is not None and here.target and here.target not in chain:
            here = Event.objects.filter(id=here.target).first()
            chain |= {here.id: here} if here else {}
    newest = set(events)
    while newest:
        found = {event.id: event for chunk in chunks(newest) for event in Event.objects.filter(target__in=chunk)}
        newest = set(found) - set(events)
        events |= found
    return [record_of(event, chain | events) for event in events.values()]


def record_of(event: Event, events: dict[UUID, Event]) -> Record:
    payload = event.payload
    kind = _corrected_kind(event, events)
    if payload.get("replace") and kind:
        payload = {**payload, "replace": _usable(kind, payload["replace"])}
    return Record(event.id, event.kind, event.happened_at, payload, event.target, event.who)


def _corrected_kind(event: Event, events: dict[UUID, Event]) -> str | None:
    """The kind of the event at the end of a chain of corrections; None when it has not arrived."""
    seen: set[UUID] = set()
    here: Event | None = event
    while here is not None and here.kind == "corrected" and here.id not in seen:
        seen.add(here.id)
        here = events.get(here.target) if here.target else None
    return here.kind if here is not None and here.kind != "corrected" else None


def _usable(kind: str, replace: dict[str, Any]) -> dict[str, Any]:
    """A correction that arrived before its target could not be checked: keep only the fields that the kind knows."""
    usable: dict[str, Any] = {}
    for name, value in replace.items():
        try:
            usable |= checked_replacement(kind, {name: value})
        except Refused:
            continue
    return usable or {"note": None}


def _write_plants(records: dict[UUID, list[Record]]) -> None:
    folded = [fold_plant(ident, about) for ident, about in records.items()]
    plants = [plant for plant, _ in folded if plant is not None]
    grafts = [graft for _, about in folded for graft in about]
    kept = {graft.id for graft in grafts}
    gone = set(Graft.objects.filter(plant_id__in=records).values_list("id", flat=True)) - kept
    Graft.objects.filter(id__in=gone).delete()
    Plant.objects.filter(id__in=set(records) - {plant.id for plant in plants}).delete()
    _upsert(Plant, PlantState, plants)
    _upsert(Graft, GraftState, grafts)


def _write_domes(records: dict[UUID, list[Record]]) -> None:
    _upsert(DomeState, DomeFold, [fold_dome(ident, about) for ident, about in records.items() if any(r.kind in DOME_KINDS for r in about)])
    quiet = [ident for ident, about in records.items() if not any(r.kind in DOME_KINDS for r in about)]
    DomeState.objects.filter(dome_id__in=quiet).delete()


def _upsert(model: type[models.Model], state: type[Any], rows: list[Any]) -> None:
    key = model._meta.pk.attname if model._meta.pk else "id"
    names = [f.name for f in fields(state) if f.name != key]
    update = [model._meta.get_field(name.removesuffix("_id") if name not in _names_of(model) else name).name for name in names]
    model._default_manager.bulk_create(
        [model(**asdict(row)) for row in rows], update_conflicts=True, unique_fields=[key], update_fields=update, batch_size=AT_ONCE
    )


def _names_of(model: type[models.Model]) -> set[str]:
    return {f.name for f in model._meta.get_fields()}
