"""A person takes a plant without its label for one of the book's: written down with its chance, until the name is confirmed in leaf.

One that was sold, given away or lost is not taken for it: its own story comes first. What is more likely wrong, or would take a
confirmation back, is asked about once.
"""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any
from uuid import UUID

from scionary.answers.nameless import LIKELY, NamelessLine, Remembered, nameless
from scionary.answers.putting_right import PutRight, write_right
from scionary.book.models import Event, Plant
from scionary.errors import Refused
from scionary.language import in_english, say
from scionary.names import traits_words
from scionary.units import length_words

_SUREST, _LEAST = 0.9999, 0.0001  # an inferred name is never certain


def line_of(known: Remembered, plant: UUID) -> NamelessLine:
    """The line of the list, as it is now, that is about this plant."""
    line = next((line for line in nameless(known).lines if line.plant is not None and line.plant.id == plant), None)
    if line is None:
        raise Refused(say("this plant is no longer among the likely ones."), where="plant", remedy=say("Look at the list again."))
    return line


def asked_before(line: NamelessLine) -> list[str]:
    """What a person must know before the plant is taken for this one; nothing where it stands out and takes nothing back."""
    told = []
    assert line.plant is not None
    if line.chance < LIKELY:
        told.append(
            say(
                "{odds} {spoken}: its chance is {number}, and that it is another one is likelier.",
                odds=line.odds.capitalize(),
                spoken=line.plant.spoken,
                number=line.number,
            )
        )
    if line.plant.name_status == Plant.NameStatus.CONFIRMED.label:
        told.append(
            say(
                "The name of {spoken} was confirmed in leaf: this takes that back, and the name is inferred, {number}.",
                spoken=line.plant.spoken,
                number=line.number,
            )
        )
    return told


def infer_name(
    known: Remembered, plant: UUID, *, now: datetime, event_id: UUID, who: str = "", unit: str = "mm", sure: bool = False
) -> PutRight:
    """Write that the plant described is this one, with the chance that the list gives it now and what was known.

    `sure` says that a person was told what `asked_before` says, and takes it for this one all the same.
    """
    given: dict[str, Any] = {"happened_at": now, "now": now, "event_id": event_id, "who": who}
    if Event.objects.filter(pk=event_id).exists():
        return write_right("name_inferred", [plant], {}, **given)
    line = line_of(known, plant)
    _check_here(line)
    if (told := asked_before(line)) and not sure:
        raise Refused(f"{' '.join(told)}", where="plant", remedy=say("Hold both beside each other, and say it again."))
    with in_english():
        payload = {"chance": told_chance(line.chance), "note": known_words(known, unit)}
    return write_right("name_inferred", [plant], payload, **given)


def told_chance(chance: float) -> float:
    """The chance as it is kept: cut off after four digits and never 1."""
    return min(max(math.floor(chance * 10_000) / 10_000, _LEAST), _SUREST)


def _check_here(line: NamelessLine) -> None:
    """Refuse a plant that is gone by the book, with the steps to be gone first."""
    found = line.plant
    if found is not None and found.steps:
        other = say(
            "If it is another plant, it is not {found}: look further down the list, or write it down as a plant of its own.",
            found=found.spoken,
        )
        raise Refused(found.warning, where="plant", remedy=say("{steps} Then look here again. {other}", steps=found.steps[0], other=other))


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
    known_of_it = "; ".join(f"{what} {value.strip()}" for what, value in parts.items() if value.strip())
    return say("Known of it: {parts}.", parts=known_of_it)
