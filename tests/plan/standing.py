"""An independent slow check: pot against pot and pot against side, one pair at a time, by the pots' own outlines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import hypot

from scionary.plan import RoundPot, SquarePot

Standing = tuple[float, float, RoundPot | SquarePot]  # centre along, centre across, pot


def gap_between(one: Standing, other: Standing) -> float:
    """Free room between two outlines; for two square pots along the side where there is more of it."""
    (x, y, pot), (u, v, second) = one, other
    along, across, half, reach = abs(x - u), abs(y - v), pot.width_mm / 2, second.width_mm / 2
    rounds = isinstance(pot, RoundPot) + isinstance(second, RoundPot)
    if rounds == 2:
        return hypot(along, across) - half - reach
    if rounds == 0:
        return max(along, across) - half - reach
    side, radius = (reach, half) if isinstance(pot, RoundPot) else (half, reach)
    if max(along, across) <= side:
        return max(along, across) - side - radius
    return hypot(max(along - side, 0.0), max(across - side, 0.0)) - radius


def assert_stands(pots: Sequence[Standing], length_mm: float, width_mm: float, *, clearance_mm: float = 0.0, off_mm: float = 1e-6) -> None:
    """No pot leaves the tray, no two are nearer than the clearance; `off_mm` is what rounding may take."""
    for along, across, pot in pots:
        half = pot.width_mm / 2
        assert half - off_mm <= along <= length_mm - half + off_mm
        assert half - off_mm <= across <= width_mm - half + off_mm
    for one, other in combinations(pots, 2):
        assert gap_between(one, other) >= clearance_mm - off_mm
