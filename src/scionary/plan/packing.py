"""How many pots stand on a tray, and where.

Pots stand upright, sides of square pots along the tray's sides. The tray's *inside* size decides; all sizes are the person's data.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.plan.circles import most_points, search_one_more
from scionary.units import Float

MOST_POTS = 100_000
_SEARCHED = 30
_ROUNDING = 1e-9  # sizes in millimetres that come from inches need not divide exactly


class LayoutKind(StrEnum):
    """How the pots of a layout stand."""

    NONE = "none fits"
    SQUARE_ROWS = "square rows"
    STAGGERED_ROWS = "staggered rows"
    SEARCHED = "searched"


@dataclass(frozen=True)
class SquarePot:
    """A pot whose widest cross-section is a square of `side_mm`."""

    side_mm: float

    def __post_init__(self) -> None:
        """Refuse a pot without size."""
        _positive("side_mm", self.side_mm)

    @property
    def width_mm(self) -> float:
        """Width across, in mm."""
        return self.side_mm


@dataclass(frozen=True)
class RoundPot:
    """A pot whose widest cross-section is a circle of `diameter_mm`."""

    diameter_mm: float

    def __post_init__(self) -> None:
        """Refuse a pot without size."""
        _positive("diameter_mm", self.diameter_mm)

    @property
    def width_mm(self) -> float:
        """Width across, in mm."""
        return self.diameter_mm


Pot = SquarePot | RoundPot


@dataclass(frozen=True)
class Layout:
    """Where pots stand on a tray.

    Attributes
    ----------
    kind : LayoutKind
        How they stand.
    positions : ndarray of shape (pots, 2)
        Centres in mm, along and across the tray from one corner of its inside; row by row, each row from the left.
    length_mm, width_mm : float
        Inside size of the tray.
    pot : SquarePot or RoundPot
        The pot.
    clearance_mm : float
        Free room between neighbouring pots.
    at_most : int
        No arrangement whatever holds more than this (for square pots: none with sides along the tray's).
    """

    kind: LayoutKind
    positions: Float = field(repr=False)
    length_mm: float
    width_mm: float
    pot: Pot
    clearance_mm: float
    at_most: int

    @property
    def count(self) -> int:
        """Number of pots."""
        return len(self.positions)

    def to_dict(self) -> dict[str, Any]:
        """Give the layout as plain values."""
        return {
            "kind": self.kind.value,
            "count": self.count,
            "at_most": self.at_most,
            "positions": self.positions.tolist(),
            "length_mm": self.length_mm,
            "width_mm": self.width_mm,
            "pot_width_mm": self.pot.width_mm,
            "round": isinstance(self.pot, RoundPot),
            "clearance_mm": self.clearance_mm,
        }


def pots_on_tray(length_mm: float, width_mm: float, pot: Pot, *, clearance_mm: float = 0.0, rng: int | np.random.Generator = 0) -> Layout:
    """Find how many pots stand on a tray.

    Parameters
    ----------
    length_mm, width_mm : float
        Inside size of the tray, more than 0.
    pot : SquarePot or RoundPot
        The pot.
    clearance_mm : float
        Free room wanted between neighbouring pots, for leaves; none is kept to the tray's sides.
    rng : int or Generator
        Seed of the search for one more round pot.

    Returns
    -------
    Layout
        Square pots: the largest number with sides along the tray's. Round pots: the best of square and staggered rows both ways
        round, and up to 30 pots a search for one more; `at_most` says how many could be possible at best.

    Raises
    ------
    BadValue
        When a size is no number, too small, or the tray would hold more than 100,000 pots.
    """
    _positive("length_mm", length_mm)
    _positive("width_mm", width_mm)
    if not (np.isfinite(clearance_mm) and clearance_mm >= 0):
        raise BadValue("clearance_mm", clearance_mm, "0 mm or more")
    if not isinstance(pot, SquarePot | RoundPot):
        raise BadValue("pot", pot, "a SquarePot or a RoundPot")
    apart = pot.width_mm + clearance_mm
    room = np.array([length_mm, width_mm]) - pot.width_mm
    if np.prod(np.maximum(room, 0) / apart + 1) > MOST_POTS:
        raise BadValue("pot", pot, f"a pot of which the tray holds at most {MOST_POTS:,}")
    if np.any(room < -_ROUNDING * apart):
        kind, points, at_most = LayoutKind.NONE, np.empty((0, 2)), 0
    else:
        place = _squares if isinstance(pot, SquarePot) else _circles
        kind, points, at_most = place(np.maximum(room, 0.0), apart, np.random.default_rng(rng))
    positions = _row_by_row(points + pot.width_mm / 2.0, apart)
    positions.setflags(write=False)
    return Layout(kind, positions, float(length_mm), float(width_mm), pot, float(clearance_mm), at_most)


Placed = tuple[LayoutKind, Float, int]


def _squares(room: Float, apart: float, rng: np.random.Generator) -> Placed:
    points = _grid(room, apart)
    return LayoutKind.SQUARE_ROWS, points, len(points)


def _circles(room: Float, apart: float, rng: np.random.Generator) -> Placed:
    best, kind = _grid(room, apart), LayoutKind.SQUARE_ROWS
    for turned in (False, True):
        points = _staggered(room[::-1] if turned else room, apart)
        if len(points) > len(best):
            best, kind = points[:, ::-1] if turned else points, LayoutKind.STAGGERED_ROWS
    at_most = most_points(room, apart)
    while len(best) < min(at_most, _SEARCHED):
        more = search_one_more(best, room, apart, rng)
        if more is None:
            break
        best, kind = more, LayoutKind.SEARCHED
    return kind, best, at_most


def _grid(room: Float, apart: float) -> Float:
    """Centres in straight rows, as many as fit, evenly from the corner."""
    across, along = (np.arange(np.floor(side / apart + _ROUNDING) + 1) * apart for side in room[::-1])
    return np.stack(np.meshgrid(along, across), axis=-1).reshape(-1, 2)


def _staggered(room: Float, apart: float) -> Float:
    """Centres in rows along the first side, every second row shifted, for the number of rows that holds most."""
    length, width = room
    best = np.empty((0, 2))
    for rows in range(2, int(2 * width / apart + _ROUNDING) + 2):
        step = width / (rows - 1)
        shift = float(np.sqrt(max(apart**2 - step**2, 0.0)))
        spacing = max(apart, 2 * shift)
        counts = [int((length - first) / spacing + 1 + _ROUNDING) if length - first > -_ROUNDING * apart else 0 for first in (0.0, shift)]
        if counts[0] * ((rows + 1) // 2) + counts[1] * (rows // 2) > len(best):
            lines = [_line(row * step, shift * (row % 2), spacing, counts[row % 2]) for row in range(rows)]
            best = np.concatenate(lines)
    return best


def _line(across: float, first: float, spacing: float, count: int) -> Float:
    return np.column_stack([first + spacing * np.arange(count), np.full(count, across)])


def _row_by_row(points: Float, apart: float) -> Float:
    """Order points by row (a row spans less than half a pot across), then along it."""
    rest = points[np.argsort(points[:, 1], kind="stable")]
    ordered: list[Float] = []
    while len(rest):
        row = rest[:, 1] < rest[0, 1] + apart / 2.0
        line = rest[row]
        ordered.append(line[np.argsort(line[:, 0], kind="stable")])
        rest = rest[~row]
    return np.concatenate(ordered) if ordered else points


def _positive(name: str, value: float) -> None:
    check: Callable[[float], Any] = np.isfinite
    if not (isinstance(value, int | float | np.number) and check(value) and value > 0):
        raise BadValue(name, value, "more than 0 mm")
