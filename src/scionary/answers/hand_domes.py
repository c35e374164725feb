"""The trays that a phone takes along: each dome from above, every pot with its plant's ring and what was seen on it last."""

from __future__ import annotations

from datetime import date
from typing import Any

from scionary.answers.chances import sign_words
from scionary.answers.domes import DomeAnswer, Pot, dome_answers
from scionary.answers.words import date_soon
from scionary.book.models import Nursery, Plant
from scionary.names import code_of


def domes(nursery: Nursery, *, today: date) -> list[dict[str, Any]]:
    """All domes that are not put away, also the empty ones: grafts may go into them."""
    return [_dome(answer, nursery) for answer in dome_answers(today=today, all_domes=True)]


def _dome(answer: DomeAnswer, nursery: Nursery) -> dict[str, Any]:
    dome = answer.dome
    size = {"size_mm": answer.pot_size_mm, "round": answer.round_pots}
    return {
        "id": str(dome.pk),
        "name": dome.name,
        "stands": dome.stands,
        "length_mm": dome.length_mm,
        "width_mm": dome.width_mm,
        "leafy": answer.method.leafy if answer.method else None,
        "pots": [_pot(pot, nursery) | size for pot in answer.pots if not _lost_beyond(pot)],
    }


def _lost_beyond(pot: Pot) -> bool:
    """Whether it is a lost plant for which the tray has no place: nobody looks for it on a round."""
    return pot.plant is not None and pot.x_mm < 0 and pot.plant.state == Plant.State.DEAD


def _pot(pot: Pot, nursery: Nursery) -> dict[str, Any]:
    here = {"place": pot.place, "x_mm": round(pot.x_mm, 1), "y_mm": round(pot.y_mm, 1), "plant": None}
    return here if pot.plant is None else here | _plant(pot.plant, nursery) | _chance(pot)


def _plant(plant: Plant, nursery: Nursery) -> dict[str, Any]:
    code = None if plant.code_number is None else code_of(plant.code_number)
    seen_on = plant.seen_at.astimezone(nursery.zone).date().isoformat() if plant.seen_at else ""
    return {
        "plant": str(plant.pk),
        "said": plant.spoken,
        "code": code,
        "state": plant.state,
        "last": _last(plant, nursery),
        "seen_on": seen_on,
    }


def _last(plant: Plant, nursery: Nursery) -> str:
    """stalk drops: alive, not yet united, 12 Feb; empty where nothing was seen."""
    if not plant.last_sign:
        return ""
    day = plant.seen_at.astimezone(nursery.zone) if plant.seen_at else None
    return f"{sign_words(plant.last_sign)}, {date_soon(day)}" if day else sign_words(plant.last_sign)


def _chance(pot: Pot) -> dict[str, Any]:
    """The ring's three ends; none where it is crossed out or a question stands in it."""
    ring = pot.ring
    if ring is None or ring.mark:
        return {"chance": None, "mark": ring.mark if ring else ""}
    return {"chance": [round(share, 3) for share in (ring.low, ring.mid, ring.high)], "mark": ""}
