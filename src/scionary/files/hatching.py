"""Hatching that tells things apart without colour: bare, slanting, level, crossed lines, clipped to a square or a circle."""

from __future__ import annotations

import math

Line = tuple[float, float, float, float]

# Directions of the lines of each kind, in degrees; the first kind is bare.
KINDS: tuple[tuple[float, ...], ...] = ((), (45.0,), (0.0,), (45.0, 135.0))


def hatch_lines(kind: int, half: float, gap: float, *, is_round: bool = False) -> list[Line]:
    """Lines (x1, y1, x2, y2) about the middle of a square of so much half a side, or of a circle of that radius, `gap` apart."""
    reach = half if is_round else half * math.sqrt(2.0)
    lines = []
    for degrees in KINDS[kind % len(KINDS)]:
        along = (math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
        count = int(reach / gap)
        for step in range(-count, count + 1):
            ends = _clipped(step * gap, along, half, is_round=is_round)
            if ends is not None:
                lines.append(ends)
    return lines


def _clipped(away: float, along: tuple[float, float], half: float, *, is_round: bool) -> Line | None:
    """The part of a line, `away` from the middle, that lies inside."""
    x, y = -along[1] * away, along[0] * away
    if is_round:
        room = half * half - away * away
        low, high = (-math.sqrt(room), math.sqrt(room)) if room > 0 else (0.0, 0.0)
    else:
        low, high = -math.inf, math.inf
        for place, step in ((x, along[0]), (y, along[1])):
            if abs(step) < 1e-9:
                if abs(place) > half:
                    return None
                continue
            first, last = sorted(((-half - place) / step, (half - place) / step))
            low, high = max(low, first), min(high, last)
    if high - low < 1e-6:
        return None
    return (x + along[0] * low, y + along[1] * low, x + along[0] * high, y + along[1] * high)
