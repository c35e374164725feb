"""A person takes a plant without its label for one of the book's: written down with its chance, until the name is confirmed in leaf."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from scionary.answers.nameless import Remembered, nameless
from scionary.answers.putting_right import PutRight, write_right
from scionary.errors import Refused
from scionary.names import traits_words
from scionary.units import length_words

_SUREST = 0.9999  # an inferred name is never certain


def infer_name(known: Remembered, plant: UUID, *, now: datetime, event_id: UUID, who: str = "", unit: str = "mm") -> PutRight:
    """Write that the plant described is this one, with the chance that the list gives it now and what was known."""
    line = next((line for line in nameless(known).lines if line.plant is not None and line.plant.id == plant), None)
    if line is None:
        raise Refused("this plant is no longer among the likely ones.", where="plant", remedy="Look at the list again.")
    payload = {"chance": min(round(line.chance, 4), _SUREST), "note": known_words(known, unit)}
    return write_right("name_inferred", [plant], payload, happened_at=now, now=now, event_id=event_id, who=who)


def known_words(known: Remembered, unit: str = "mm") -> str:
    """What was known of the plant, in a line for its story."""
    parts = {
        "code": known.code,
        "name": known.name,
        "stands": known.where,
        "pot": known.pot,
        "grafted by": known.grafter,
        "grafted about": known.grafted.isoformat() if known.grafted else "",
        "height": length_words(known.height_mm, unit) if known.height_mm else "",
        "looks": traits_words(known.looks).replace("; ", ", "),
    }
    return "Known of it: " + "; ".join(f"{what} {value.strip()}" for what, value in parts.items() if value.strip()) + "."
