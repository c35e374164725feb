"""How many pots stand on a tray, and where.

Pots stand upright, sides of square pots along the tray's sides. The tray's *inside* size decides; all sizes are the person's data.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.plan.circles import Progress, Task, most_points, search_one_more
from scionary.plan.lattices import ROUNDING, best_rows, rows_hold, straight_rows
from scionary.plan.pots import Pot, RoundPot, SquarePot, check_pot, check_room
from scionary.units import Float

__all__ = ["Layout", "LayoutKind", "RoundPot", "SquarePot", "pots_on_tray"]

MOST_POTS = 100_000
_SEARCHED, _MOST_TRIES, _HALVINGS = 30, 1000, 40


class LayoutKind(StrEnum):
    """How the pots of a layout stand."""

    NONE = "none fits"
    SQUARE_ROWS = "square rows"
    STAGGERED_ROWS = "staggered rows"
    SEARCHED = "searched"


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
    tolerance_mm : float
        By how much a pot may be squeezed across.
    at_most : int
        No arrangement whatever holds more than this (for square pots: none with sides along the tray's).
    next_width_mm : float
        Width of the widest pots of which one more was found a place; for square pots the widest there are.
    whole : bool
        False when the search was stopped before its end.
    """

    kind: LayoutKind
    positions: Float = field(repr=False)
    length_mm: float
    width_mm: float
    pot: Pot
    clearance_mm: float
    tolerance_mm: float
    at_most: int
    next_width_mm: float
    whole: bool = True

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
            "tolerance_mm": self.tolerance_mm,
            "next_width_mm": self.next_width_mm,
            "whole": self.whole,
        }


def pots_on_tray(
    length_mm: float,
    width_mm: float,
    pot: Pot,
    *,
    clearance_mm: float = 0.0,
    tolerance_mm: float = 0.0,
    tries: int = 3,
    rng: int | np.random.Generator = 0,
    progress: Progress | None = None,
) -> Layout:
    """Find how many pots stand on a tray.

    Parameters
    ----------
    length_mm, width_mm : float
        Inside size of the tray, more than 0.
    pot : SquarePot or RoundPot
        The pot.
    clearance_mm : float
        Free room wanted between neighbouring pots, for leaves; none is kept to the tray's sides.
    tolerance_mm : float
        By how much a pot may be squeezed across, between neighbours and sides alike, since rims give. Below 0 it is kept free: sizes
        that are not sure.
    tries : int
        How often the search for one more round pot begins anew, 0 to 1,000; 0 gives rows alone.
    rng : int or Generator
        Seed of that search.
    progress : callable, optional
        Called with a share done and words; giving False stops the search, and what was found until then is the answer.

    Returns
    -------
    Layout
        Square pots: the largest number with sides along the tray's. Round pots: the best of square and staggered rows both ways
        round, and up to 30 pots a search for one more; `at_most` says how many could be possible at best, `next_width_mm` how
        narrow the pots would have to be.

    Raises
    ------
    BadValue
        When a size is no number, too small, or the tray would hold more than 100,000 pots.
    """
    check_pot("pot", pot)
    check_room(length_mm, width_mm, clearance_mm, tolerance_mm, pot.width_mm)
    if not (isinstance(tries, int) and 0 <= tries <= _MOST_TRIES):
        raise BadValue("tries", tries, f"0 to {_MOST_TRIES:,}")
    task = Task(np.array([length_mm, width_mm], dtype=float), pot.width_mm - tolerance_mm, float(clearance_mm))
    if np.prod(task.room / task.apart + 1) > MOST_POTS:
        raise BadValue("pot", pot, f"a pot of which the tray holds at most {MOST_POTS:,}")
    if np.any(task.sides - task.width < -ROUNDING * task.apart):
        found = Placed(LayoutKind.NONE, np.empty((0, 2)), 0, float(task.sides.min()))
    elif isinstance(pot, SquarePot):
        found = _squares(task)
    else:
        found = _circles(task, np.random.default_rng(rng), tries, progress)
    positions = _row_by_row(found.points + task.width / 2.0, task.apart)
    positions.setflags(write=False)
    sizes = (float(length_mm), float(width_mm), pot, float(clearance_mm), float(tolerance_mm))
    return Layout(found.kind, positions, *sizes, found.at_most, found.next_width + tolerance_mm, found.whole)


@dataclass(frozen=True)
class Placed:
    """What was found: centres in the room of the task, and what could be at best."""

    kind: LayoutKind
    points: Float
    at_most: int
    next_width: float
    whole: bool = True


def _squares(task: Task) -> Placed:
    points = straight_rows(task.room, task.apart)
    return Placed(LayoutKind.SQUARE_ROWS, points, len(points), _next_square(task, len(points)))


def _next_square(task: Task, count: int) -> float:
    """Width of the widest square pots of which more than `count` stand: so many along, and as many across as that takes."""
    along = np.arange(1, count + 2)
    across = -(-(count + 1) // along)
    width = np.minimum((task.sides[0] + task.clearance) / along, (task.sides[1] + task.clearance) / across) - task.clearance
    return float(width.max())


def _circles(task: Task, rng: np.random.Generator, tries: int, progress: Progress | None) -> Placed:
    best, staggered = best_rows(task.room, task.apart)
    kind = LayoutKind.STAGGERED_ROWS if staggered else LayoutKind.SQUARE_ROWS
    at_most, whole, widest = most_points(task.room, task.apart), True, 0.0
    while tries and len(best) < min(at_most, _SEARCHED):
        more = search_one_more(best, task, rng, tries=tries, progress=progress)
        widest, whole = more.widest, more.whole
        if more.points is None:
            break
        best, kind, widest = more.points, LayoutKind.SEARCHED, 0.0
    return Placed(kind, best, at_most, max(widest, _next_round(task, len(best))), whole)


def _next_round(task: Task, count: int) -> float:
    """Width of the widest round pots of which more than `count` stand in rows, by halving."""
    low, high = 0.0, task.width
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if middle > 0.0 and rows_hold(task.sides - middle, middle + task.clearance) > count:
            low = middle
        else:
            high = middle
    return low


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
