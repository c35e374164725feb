"""The trays of a trial from above: every place of the dome, and the arm of those that take part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from scionary.answers.domes import centred, pot_size, tray_layout
from scionary.answers.trial_planning import block_name
from scionary.book import queries
from scionary.book.models import Dome, PotKind, Trial


@dataclass(frozen=True)
class DrawnPlace:
    """A place with its centre from the tray's near left corner; `arm` is None where it takes no part."""

    place: int
    x_mm: float
    y_mm: float
    arm: int | None


@dataclass(frozen=True)
class DrawnTray:
    """A filling of a dome as it is drawn; `beyond` are places of the trial for which the tray has no room as it is now."""

    name: str
    stands: str
    length_mm: float
    width_mm: float
    pot_mm: float
    round_pots: bool
    pots: list[DrawnPlace]
    beyond: list[tuple[int, int]]


def trial_trays(trial: Trial) -> list[DrawnTray]:
    """Each filling of a dome, in the order of the layout; a dome that is gone from the book is drawn at the usual size."""
    domes = {str(dome.pk): dome for dome in Dome.objects.select_related("pot_kind").filter(pk__in={b["dome"] for b in trial.layout})}
    return [_tray(block, domes.get(block["dome"]) or Dome(name=block["name"])) for block in trial.layout]


def _tray(block: Mapping[str, Any], dome: Dome) -> DrawnTray:
    across, shape = pot_size(dome, [] if dome._state.adding else list(queries.plants_in(dome)))
    layout = tray_layout(dome.length_mm, dome.width_mm, shape, across)
    arms = dict(zip(block["places"], block["arms"], strict=True))
    pots = [DrawnPlace(place, float(x), float(y), arms.get(place)) for place, (x, y) in enumerate(centred(layout), start=1)]
    return DrawnTray(
        name=block_name(block["name"], block["filling"]),
        stands=dome.stands,
        length_mm=dome.length_mm,
        width_mm=dome.width_mm,
        pot_mm=across,
        round_pots=shape == PotKind.Shape.ROUND,
        pots=pots,
        beyond=[(place, arm) for place, arm in arms.items() if place > len(pots)],
    )
