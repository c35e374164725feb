"""A plant that was sold or given away, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

from scionary.answers.words import short_day
from scionary.book.kinds import KINDS
from scionary.book.models import Plant
from scionary.language import Words, mark, say

HOW = Words({"sale": mark("sold"), "gift": mark("given away")})


def left_words(plant: Plant, zone: ZoneInfo) -> str:
    """Sold, 25 Nov 2026, 45.00. Empty for a plant that has not left."""
    if plant.state != Plant.State.LEFT:
        return ""
    how = HOW.get(plant.left_how) or say("left")
    day = short_day(plant.state_since.astimezone(zone)) if plant.state_since else ""
    price = f"{plant.price_got:.2f}" if plant.price_got else ""
    return ", ".join(part for part in (how.capitalize(), day, price) if part)


def kind_words(kind: str, payload: Mapping[str, Any]) -> str:
    """What happened, in words: a plant that left was sold or given away."""
    return HOW.get(str(payload.get("how")), KINDS[kind].words) if kind == "left" else KINDS[kind].words
