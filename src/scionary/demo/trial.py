"""A small trial of last summer: two ways to tie, drawn by lot over the domes, that in truth make no difference."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from scionary.demo.ground import Ground
from scionary.demo.seasons import Filling, past_seasons
from scionary.take import trial_layout

NAME, ARMS = "Film or rubber", ("stretch film", "rubber strip")
_DOMES = ("Dome 1", "Dome 2", "Bench case", "Long case")
_MADE_DAYS_BEFORE = 12


def last_summers_trial(fillings: Sequence[Filling], ground: Ground, today: date, seed: int, zone: Any) -> dict[str, Any]:
    """The trial as the book keeps it; the fates of the grafts were drawn without looking at it."""
    season = past_seasons(today)[1]
    tried = [filling for filling in fillings if filling.season == season and filling.leafy and filling.dome in _DOMES]
    layout = trial_layout(ARMS, [(filling.dome, filling.grafts) for filling in tried], rng=seed)
    begins = min(filling.day for filling in tried)
    made = begins - timedelta(days=_MADE_DAYS_BEFORE)
    return {
        "name": NAME,
        "question": "Does a scion tied with stretch film take better than one tied with a rubber strip?",
        "arms": list(ARMS),
        "stage": "firm",
        "difference": 0.15,
        "begins_on": begins,
        "made_at": datetime(made.year, made.month, made.day, 20, tzinfo=zone),
        "seed": seed,
        "layout": [
            {
                "dome": str(ground.dome[filling.dome]),
                "name": filling.dome,
                "filling": 1,
                "places": layout.place[layout.tray == at].tolist(),
                "arms": layout.arm[layout.tray == at].tolist(),
            }
            for at, filling in enumerate(tried)
        ],
        "remarks": list(layout.warnings),
        "note": "Only in this demo is the truth known: the tie makes no difference; every graft's fate was drawn without looking at it.",
    }
