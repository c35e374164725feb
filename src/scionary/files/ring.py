"""The ring: a stem cut across, drawn as far round as a plant's chance of life reaches. Geometry only."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scionary.errors import BadValue
from scionary.language import say

WIDTH_PER_RADIUS = 0.3  # stroke of the ring
WOOD_PER_RADIUS = 0.7  # the wood inside it
TICK_PER_RADIUS = (0.775, 1.225)  # where the tick begins and ends
_FULL = 1.0 - 1e-9


@dataclass(frozen=True)
class RingArcs:
    """SVG paths, clockwise from the top: what is sure, what is possible beyond it, and the tick at the best guess; '' draws nothing."""

    sure: str
    possible: str
    best: str


def ring_arcs(low: float, mid: float, high: float, *, radius: float = 16.0, centre: tuple[float, float] = (0.0, 0.0)) -> RingArcs:
    """Paths for a chance between `low` and `high` with best guess `mid`, all from 0 to 1."""
    check_chance(low, mid, high)
    if not (math.isfinite(radius) and radius > 0):
        raise BadValue("radius", radius, say("more than 0"))
    inner, outer = (on_ring(mid, radius * part, centre) for part in TICK_PER_RADIUS)
    return RingArcs(
        sure=_arc(0.0, low, radius, centre),
        possible=_arc(low, high, radius, centre),
        best=f"M{_pair(inner)}L{_pair(outer)}",
    )


def check_chance(low: float, mid: float, high: float) -> None:
    """Refuse what is no chance with a range round it."""
    if not 0.0 <= low <= mid <= high <= 1.0:
        raise BadValue(say("low, mid, high"), (low, mid, high), "0 ≤ low ≤ mid ≤ high ≤ 1")


def on_ring(share: float, radius: float, centre: tuple[float, float] = (0.0, 0.0)) -> tuple[float, float]:
    """The point that lies `share` of the way round, clockwise from the top, y downwards."""
    angle = 2.0 * math.pi * share
    return centre[0] + radius * math.sin(angle), centre[1] - radius * math.cos(angle)


def _arc(start: float, end: float, radius: float, centre: tuple[float, float]) -> str:
    """An SVG arc; a full circle is two halves, because one arc from a point to itself draws nothing."""
    if end - start <= 1e-9:
        return ""
    stops = [end] if end - start < _FULL else [start + (end - start) / 2.0, end]
    size = _number(radius)
    path = f"M{_pair(on_ring(start, radius, centre))}"
    for stop in stops:
        large = int(stop - start > 0.5 and len(stops) == 1)
        path += f"A{size} {size} 0 {large} 1 {_pair(on_ring(stop, radius, centre))}"
    return path


def _pair(point: tuple[float, float]) -> str:
    return f"{_number(point[0])} {_number(point[1])}"


def _number(value: float) -> str:
    return f"{round(value, 2) + 0.0:.2f}"
