"""What is written about a plant for a day on which its graft still stood closed: flagged, since a date is easily mistyped."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from scionary.answers.words import listed
from scionary.book.models import Graft, Nursery, Plant
from scionary.language import say

AFTER_HEALING = frozenset({"headed_back", "untied", "potted_on", "wintered_in", "wintered_out", "left"})
_CLOSED_DAYS = 31  # where no method is set; common practice, no source


def still_closed(kind: str, plants: Iterable[Plant], moment: datetime, nursery: Nursery) -> list[str]:
    """A flag naming the plants that stood under the cover on that day by their method; none for what may be done there."""
    if kind not in AFTER_HEALING:
        return []
    early = [plant.spoken for plant in plants if _under_cover(plant, moment, nursery)]
    return [say("{early}: still under the cover by the method on that day; is the date right?", early=listed(early))] if early else []


def _under_cover(plant: Plant, moment: datetime, nursery: Nursery) -> bool:
    grafts = [graft for graft in plant.grafts.all() if graft.precision == "day" and graft.grafted_at <= moment]
    return bool(grafts) and moment.astimezone(nursery.zone).date() < _opens(grafts[-1], nursery)


def _opens(graft: Graft, nursery: Nursery) -> date:
    closed = graft.method.closed_days if graft.method else _CLOSED_DAYS
    return graft.grafted_at.astimezone(nursery.zone).date() + timedelta(days=closed)
