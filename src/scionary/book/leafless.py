"""Stalk signs written down of a graft that was made without leaves: kept as a record, but nothing can be told by them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from scionary.book.locks import chunks
from scionary.book.models import Graft, Plant
from scionary.language import mark

FLAG = mark("a stalk sign was scored on a graft made without leaves: it is kept and moves no chance")


def has_stalk(graft: Graft | None) -> bool:
    """Whether a scion can have a leaf stalk to touch; where the method is not known it may."""
    return graft is None or graft.method is None or graft.method.leafy


def told_by_stalk(kind: str, payload: Mapping[str, Any]) -> bool:
    """Whether an event scores a leaf stalk."""
    return kind == "scored" and payload.get("sign") == "stalk_drops"


def leafless(plants: Sequence[UUID]) -> set[UUID]:
    """Which of these plants bear a graft, their last one, by a method whose scions have no leaves."""
    found: dict[UUID, Graft] = {}
    for chunk in chunks(plants):
        for graft in Graft.objects.filter(plant__in=chunk).select_related("method").order_by("grafted_at", "id"):
            found[graft.plant_id] = graft
    return {plant for plant, graft in found.items() if not has_stalk(graft)}


def stalk_flags(plant: Plant) -> list[str]:
    """What to say of a plant on which such a sign was scored; its grafts are at hand."""
    return [FLAG] if any(graft.stalk_drops and not has_stalk(graft) for graft in plant.grafts.all()) else []
