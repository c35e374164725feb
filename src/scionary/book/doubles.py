"""Plants that share a code or a spoken name: it happened, so it is never refused, only flagged to the person who wrote it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import Any
from uuid import UUID

from scionary.book.locks import chunks
from scionary.book.models import Plant
from scionary.language import say
from scionary.names import code_of

_NAMING = frozenset({"code_number", "running_number", "cultivar"})


def may_double(kind: str, payload: Mapping[str, Any]) -> bool:
    """Whether an event of this kind and content can give a plant a code or name that another has."""
    if kind != "corrected":
        return kind != "edited" and not _NAMING.isdisjoint(payload)
    return not payload.get("replace") or not _NAMING.isdisjoint(payload["replace"])


def doubles(plants: Collection[UUID]) -> dict[UUID, list[str]]:
    """What to say of each of these plants whose code or spoken name another plant has too."""
    found: dict[UUID, list[str]] = defaultdict(list)
    for chunk in chunks(plants):
        these = list(Plant.objects.filter(pk__in=chunk).select_related("cultivar"))
        codes, names = _by_code(these), _by_name(these)
        for plant in these:
            for other in codes.get(plant.code_number, []):
                if other.pk != plant.pk and plant.code_number is not None:
                    found[plant.pk].append(
                        say(
                            "{plant} has the code {code_of}, which {told} has too",
                            plant=plant.spoken,
                            code_of=code_of(plant.code_number),
                            told=_told(other, plant),
                        )
                    )
            if any(other != plant.pk for other in names.get((plant.cultivar_id, plant.running_number), [])):
                found[plant.pk].append(say("another plant is called {plant} too", plant=plant.spoken))
    return found


def _told(other: Plant, plant: Plant) -> str:
    return other.spoken if other.spoken != plant.spoken else say("another plant of that name")


def _by_code(plants: Collection[Plant]) -> dict[int | None, list[Plant]]:
    """All plants that have one of their codes."""
    found: dict[int | None, list[Plant]] = defaultdict(list)
    numbers = {plant.code_number for plant in plants if plant.code_number is not None}
    for plant in Plant.objects.filter(code_number__in=numbers).select_related("cultivar").order_by("pk"):
        found[plant.code_number].append(plant)
    return found


def _by_name(plants: Collection[Plant]) -> dict[tuple[UUID | None, int | None], list[UUID]]:
    """All plants that have one of their cultivars and one of their numbers."""
    found: dict[tuple[UUID | None, int | None], list[UUID]] = defaultdict(list)
    numbered = [plant for plant in plants if plant.cultivar_id and plant.running_number]
    rows = Plant.objects.filter(
        cultivar__in={plant.cultivar_id for plant in numbered}, running_number__in={plant.running_number for plant in numbered}
    )
    for ident, cultivar, number in rows.values_list("pk", "cultivar_id", "running_number"):
        found[cultivar, number].append(ident)
    return found
