"""What is flagged on a plant that leaves: its name was not confirmed in leaf, or it stood in quarantine."""

from __future__ import annotations

from scionary.book.states import PlantState
from scionary.language import mark

IN_QUARANTINE = mark("it left while it stood in quarantine")
IN_DOUBT = mark("it left with its name in doubt")
INFERRED = mark("it left with an inferred name that was not confirmed in leaf")
UNCONFIRMED = mark("it left with a name not confirmed in leaf")
NAME_FLAGS = frozenset({IN_DOUBT, INFERRED, UNCONFIRMED})
_TO_SOMEBODY = ("sale", "gift")  # a plant that is thrown away misleads nobody


def left_flags(plant: PlantState, how: str) -> list[str]:
    """The flags of a plant that leaves in this state."""
    apart = [IN_QUARANTINE] if plant.quarantined_at is not None else []
    return apart + (_name_flags(plant) if how in _TO_SOMEBODY else [])


def _name_flags(plant: PlantState) -> list[str]:
    if plant.name_doubted_at is not None:
        return [IN_DOUBT]
    return {"given": [UNCONFIRMED], "inferred": [INFERRED]}.get(plant.name_status, [])
