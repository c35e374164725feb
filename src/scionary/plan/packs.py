"""The cheapest set of packs that covers a number: a small exact search."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue

MOST_NEEDED = 100_000
_MOST_PACKS = 12
_PARTS = 10_000  # prices count to a ten-thousandth
_NEVER = np.iinfo(np.int64).max // 4


@dataclass(frozen=True)
class Pack:
    """A pack as it is sold.

    Attributes
    ----------
    size : int
        Pieces in it, 1 or more.
    price : float
        Money for it, 0 or more.
    at_most : int or None
        How many of it can be had; None where that is not limited.
    """

    size: int
    price: float = 0.0
    at_most: int | None = None

    def __post_init__(self) -> None:
        """Refuse a pack of nothing, and a price below 0."""
        if not (isinstance(self.size, int | np.integer) and 1 <= self.size <= MOST_NEEDED):
            raise BadValue("size", self.size, f"1 to {MOST_NEEDED:,} pieces")
        if not (np.isfinite(self.price) and 0 <= self.price <= 1e9):
            raise BadValue("price", self.price, "0 or more")
        if self.at_most is not None and self.at_most < 0:
            raise BadValue("at_most", self.at_most, "0 or more, or None where it is not limited")


@dataclass(frozen=True)
class PackChoice:
    """The packs to take.

    Attributes
    ----------
    counts : tuple of int
        How many of each pack, in the order given.
    pieces : int
        Pieces in all.
    cost : float
        Money in all.
    """

    counts: tuple[int, ...]
    pieces: int
    cost: float


def cheapest_packs(needed: int, packs: Sequence[Pack]) -> PackChoice | None:
    """Find the packs that cover a number for the least money; of equal ones those with the fewest pieces, then the fewest packs.

    Parameters
    ----------
    needed : int
        Pieces needed, 0 to 100,000.
    packs : sequence of Pack
        What is sold, at most 12 packs.

    Returns
    -------
    PackChoice or None
        The best there is; None when all packs together do not cover it.

    Raises
    ------
    BadValue
        When the number or the packs are out of range.

    Notes
    -----
    Dynamic programming over the number covered; a pack that may be taken often is split into 1, 2, 4 ... of it.
    """
    if not (isinstance(needed, int | np.integer) and 0 <= needed <= MOST_NEEDED):
        raise BadValue("needed", needed, f"0 to {MOST_NEEDED:,} pieces")
    if not 1 <= len(packs) <= _MOST_PACKS:
        raise BadValue("packs", len(packs), f"1 to {_MOST_PACKS} packs")
    best = np.full((3, needed + 1), _NEVER, dtype=np.int64)  # money, pieces, packs
    best[:, 0] = 0
    bundles = [(number, times) for number, pack in enumerate(packs) for times in _bundles(pack, needed)]
    taken = np.zeros((len(bundles), needed + 1), dtype=bool)
    for at, (number, times) in enumerate(bundles):
        taken[at] = _take(best, packs[number], times)
    if best[0, needed] >= _NEVER:
        return None
    counts = _counts(needed, packs, bundles, taken)
    pieces = sum(count * pack.size for count, pack in zip(counts, packs, strict=True))
    return PackChoice(counts, pieces, float(best[0, needed]) / _PARTS)


def _bundles(pack: Pack, needed: int) -> list[int]:
    """So many packs at once that all numbers up to the most that can be of use are sums of them."""
    left = -(-needed // pack.size)
    if pack.at_most is not None:
        left = min(left, pack.at_most)
    found, times = [], 1
    while left > 0:
        found.append(min(times, left))
        left -= found[-1]
        times *= 2
    return found


def _take(best: Any, pack: Pack, times: int) -> Any:
    """Improve each number by one bundle, where that is better, and say where."""
    needed = best.shape[1] - 1
    before = np.maximum(np.arange(needed + 1) - pack.size * times, 0)
    with_it = best[:, before] + np.array([round(pack.price * _PARTS) * times, pack.size * times, times])[:, None]
    equal = np.ones(needed + 1, dtype=bool)
    better = np.zeros(needed + 1, dtype=bool)
    for new, old in zip(with_it, best, strict=True):
        better |= equal & (new < old)
        equal &= new == old
    better[0] = False
    best[:, better] = with_it[:, better]
    return better


def _counts(needed: int, packs: Sequence[Pack], bundles: list[tuple[int, int]], taken: Any) -> tuple[int, ...]:
    counts = [0] * len(packs)
    left = needed
    for at in reversed(range(len(bundles))):
        if taken[at, left]:
            number, times = bundles[at]
            counts[number] += times
            left = max(left - packs[number].size * times, 0)
    return tuple(counts)
