"""Pots of several sizes on one tray: how many of each stand, and where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.plan.circles import Progress
from scionary.plan.mixed_search import Mix, find_places
from scionary.plan.mixed_squares import place_squares
from scionary.plan.pots import Pot, RoundPot, check_pot, check_room
from scionary.units import Float

_MOST_KINDS, _MOST_EACH, _SEARCHED = 4, 500, 40
_ROUNDING = 1e-9


@dataclass(frozen=True)
class SomePots:
    """So many pots of one kind; `count` is None for as many as there is room for.

    Attributes
    ----------
    pot : SquarePot or RoundPot
        The pot.
    count : int or None
        How many, 1 to 500.
    """

    pot: Pot
    count: int | None = None

    def __post_init__(self) -> None:
        """Refuse what is no pot, and no number of them."""
        check_pot("pot", self.pot)
        if self.count is not None and not (isinstance(self.count, int | np.integer) and 1 <= self.count <= _MOST_EACH):
            raise BadValue("count", self.count, f"1 to {_MOST_EACH}, or None for as many as there is room for")


@dataclass(frozen=True)
class MixedLayout:
    """Where pots of several kinds stand on a tray.

    Attributes
    ----------
    wanted : tuple of SomePots
        What was to stand there, those that matter most first.
    kinds : ndarray of int, shape (n,)
        Which of these stands at each place.
    positions : ndarray of shape (n, 2)
        Centres in mm, along and across the tray from one corner of its inside.
    length_mm, width_mm : float
        Inside size of the tray.
    clearance_mm, tolerance_mm : float
        Free room between neighbours, and by how much a pot may be squeezed across.
    proved : bool
        No other arrangement is better; for square pots: none with sides along the tray's. False says only that none was found.
    whole : bool
        False when the search was stopped before its end.
    """

    wanted: tuple[SomePots, ...]
    kinds: Any = field(repr=False)
    positions: Float = field(repr=False)
    length_mm: float
    width_mm: float
    clearance_mm: float
    tolerance_mm: float
    proved: bool
    whole: bool = True

    @property
    def counts(self) -> tuple[int, ...]:
        """How many of each kind stand."""
        return tuple(int(np.count_nonzero(self.kinds == kind)) for kind in range(len(self.wanted)))

    @property
    def left_over(self) -> tuple[int, ...]:
        """How many of each kind have no place; 0 where no number was given."""
        return tuple((some.count or stood) - stood for some, stood in zip(self.wanted, self.counts, strict=True))

    def to_dict(self) -> dict[str, Any]:
        """Give the layout as plain values."""
        pots = [
            {"pot_width_mm": some.pot.width_mm, "round": isinstance(some.pot, RoundPot), "count": stood, "left_over": left}
            for some, stood, left in zip(self.wanted, self.counts, self.left_over, strict=True)
        ]
        sizes = {name: getattr(self, name) for name in ("length_mm", "width_mm", "clearance_mm", "tolerance_mm", "proved", "whole")}
        return {"pots": pots, "kinds": self.kinds.tolist(), "positions": self.positions.tolist(), **sizes}


def mixed_on_tray(
    length_mm: float,
    width_mm: float,
    wanted: Sequence[SomePots],
    *,
    clearance_mm: float = 0.0,
    tolerance_mm: float = 0.0,
    rng: int | np.random.Generator = 0,
    progress: Progress | None = None,
) -> MixedLayout:
    """Find how many pots of several kinds stand on one tray: as many as possible of the first, then of the second, and so on.

    Parameters
    ----------
    length_mm, width_mm : float
        Inside size of the tray, more than 0.
    wanted : sequence of SomePots
        One to four kinds, those that matter most first.
    clearance_mm : float
        Free room wanted between neighbouring pots; none is kept to the tray's sides.
    tolerance_mm : float
        By how much a pot may be squeezed across; below 0 so much more is kept free.
    rng : int or Generator
        Seed of the search for round pots.
    progress : callable, optional
        Called with a share done and words; giving False stops the search, and what was found until then is the answer.

    Returns
    -------
    MixedLayout
        Square pots alone: the best there is, proved where `proved` says so. With round pots: each taken as a square first, then, up to
        40 pots, a search for one more and one more.

    Raises
    ------
    BadValue
        When a size is no number, a number of pots is out of range, or there are no kinds or more than four.
    """
    if not 1 <= len(wanted) <= _MOST_KINDS:
        raise BadValue("wanted", list(wanted), f"1 to {_MOST_KINDS} kinds of pots")
    check_room(length_mm, width_mm, clearance_mm, tolerance_mm, min(some.pot.width_mm for some in wanted))
    sides = np.array([length_mm, width_mm], dtype=float)
    widths = np.array([some.pot.width_mm - tolerance_mm for some in wanted])
    counts = _counts(sides, widths, clearance_mm, wanted)
    squares = place_squares(sides + clearance_mm, (widths + clearance_mm).tolist(), counts)
    positions = squares.corners + widths[squares.kinds][:, None] / 2.0
    rounds = np.array([isinstance(some.pot, RoundPot) for some in wanted])
    found = _Standing(squares.kinds, positions, squares.proved and (not rounds.any() or len(squares.kinds) == sum(counts)))
    if rounds.any() and len(squares.kinds) < sum(counts):
        mix = _Mixture(sides, widths, rounds, clearance_mm, counts)
        found = _one_more_and_one_more(found, mix, np.random.default_rng(rng), progress)
    order = np.lexsort((found.positions[:, 0], found.positions[:, 1], found.kinds))
    sizes = (float(length_mm), float(width_mm), float(clearance_mm), float(tolerance_mm))
    return MixedLayout(tuple(wanted), found.kinds[order], found.positions[order], *sizes, found.proved, found.whole)


def _counts(sides: Float, widths: Float, clearance: float, wanted: Sequence[SomePots]) -> list[int]:
    """How many of each kind are looked for: never more than the tray's area could hold."""
    counts = []
    for width, some in zip(widths, wanted, strict=True):
        if np.any(sides < width * (1.0 - _ROUNDING)):
            counts.append(0)
            continue
        share = 0.75 if isinstance(some.pot, RoundPot) else 1.0
        most = int(np.prod(sides + clearance) / (share * (width + clearance) ** 2) + 1)
        if some.count is None and most > _MOST_EACH:
            raise BadValue("wanted", some, f"a pot of which the tray holds at most {_MOST_EACH}, or a number of them")
        counts.append(min(some.count or most, most))
    return counts


@dataclass(frozen=True)
class _Standing:
    """What stands by now."""

    kinds: Any
    positions: Float
    proved: bool
    whole: bool = True


@dataclass(frozen=True)
class _Mixture:
    """What is looked for: the tray, each kind's width and shape, and how many."""

    sides: Float
    widths: Float
    rounds: Any
    clearance: float
    counts: list[int]

    def of(self, kinds: Any) -> Mix:
        """The pots of these kinds on the tray."""
        return Mix(self.sides, self.widths[kinds] / 2.0, self.rounds[kinds], self.clearance)


def _one_more_and_one_more(found: _Standing, mixture: _Mixture, rng: np.random.Generator, progress: Progress | None) -> _Standing:
    """For each kind in turn: one more of it beside all of it and of the kinds before it; the later ones fill what is left."""
    kinds, positions = found.kinds, found.positions
    for kind, wanted in enumerate(mixture.counts):
        kept, places = kinds[kinds <= kind], positions[kinds <= kind]
        grown = False
        while np.count_nonzero(kept == kind) < wanted and len(kept) < _SEARCHED:
            if progress is not None and progress(kind / len(mixture.counts), f"looking for a place for pot {len(kept) + 1}") is False:
                return _Standing(kinds, positions, proved=False, whole=False)
            more = np.append(kept, kind)
            spots = find_places(mixture.of(more), places, rng)
            if spots is None:
                break
            kept, places, grown = more, spots, True
        if grown:
            kinds, positions = kept, places
    return _Standing(kinds, positions, proved=len(kinds) == sum(mixture.counts) and _all_wanted(mixture, kinds))


def _all_wanted(mixture: _Mixture, kinds: Any) -> bool:
    return all(np.count_nonzero(kinds == kind) == wanted for kind, wanted in enumerate(mixture.counts))
