"""Trays, or domes, on a bench: how many stand there, lengthwise and crosswise mixed."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.plan.pots import check_positive
from scionary.units import Float

_MOST_TRAYS, _MOST_CUTS = 400, 1_000_000
_ROUNDING = 1e-9  # of the bench
Cut = tuple[float, float, float, float]  # x1, x2, y1, y2 of five blocks round a middle one
_SIZES = ("length_mm", "width_mm", "tray_length_mm", "tray_width_mm")
Spot = tuple[float, float, bool]


@dataclass(frozen=True)
class BenchLayout:
    """Where trays stand on a bench.

    Attributes
    ----------
    corners : ndarray of shape (n, 2)
        The corner of each tray nearest to the bench's, in mm along and across.
    turned : ndarray of bool, shape (n,)
        Whether its length lies across the bench.
    length_mm, width_mm : float
        Size of the bench.
    tray_length_mm, tray_width_mm : float
        Outside size of a tray.
    gap_mm : float
        Free room between trays.
    at_most : int
        No arrangement whatever with sides along the bench's holds more than this.
    """

    corners: Float = field(repr=False)
    turned: Any = field(repr=False)
    length_mm: float
    width_mm: float
    tray_length_mm: float
    tray_width_mm: float
    gap_mm: float
    at_most: int

    @property
    def count(self) -> int:
        """Number of trays."""
        return len(self.corners)

    @property
    def sizes(self) -> Float:
        """Length along and width across of each tray as it lies."""
        straight, crosswise = [self.tray_length_mm, self.tray_width_mm], [self.tray_width_mm, self.tray_length_mm]
        return np.where(self.turned[:, None], crosswise, straight)


def trays_on_bench(length_mm: float, width_mm: float, tray_length_mm: float, tray_width_mm: float, *, gap_mm: float = 0.0) -> BenchLayout:
    """Find how many trays stand on a bench.

    Parameters
    ----------
    length_mm, width_mm : float
        Size of the bench, more than 0.
    tray_length_mm, tray_width_mm : float
        Outside size of a tray or dome, more than 0.
    gap_mm : float
        Free room between trays, 0 or more; none is kept to the bench's edge.

    Returns
    -------
    BenchLayout
        The best of all ways to part the bench once into five round a middle one, and each part into two, again and again.

    Raises
    ------
    BadValue
        When a size is no number, or the bench would hold more than 400 trays.

    Notes
    -----
    The five parts are those of Bischoff & Dowsland (1982), Journal of the Operational Research Society 33:271-280. On a grower's bench
    it is nearly always the best there is; where `at_most` is more, that is not proved.
    """
    for name, value in zip(_SIZES, (length_mm, width_mm, tray_length_mm, tray_width_mm), strict=True):
        check_positive(name, value)
    if not (np.isfinite(gap_mm) and gap_mm >= 0):
        raise BadValue("gap_mm", gap_mm, "0 mm or more")
    bench, tray = (length_mm + gap_mm, width_mm + gap_mm), (tray_length_mm + gap_mm, tray_width_mm + gap_mm)
    if bench[0] * bench[1] > _MOST_TRAYS * tray[0] * tray[1]:
        raise BadValue("tray_length_mm", tray_length_mm, f"a tray of which the bench holds at most {_MOST_TRAYS}")
    spots = _Parting(bench, tray).spots(*bench, 0.0, 0.0)
    spots.sort(key=lambda spot: (spot[1], spot[0]))
    corners = np.array([spot[:2] for spot in spots]).reshape(-1, 2)
    turned = np.array([spot[2] for spot in spots], dtype=bool)
    sizes = (float(length_mm), float(width_mm), float(tray_length_mm), float(tray_width_mm), float(gap_mm))
    return BenchLayout(corners, turned, *sizes, at_most=_at_most(bench, tray))


class _Parting:
    """The best way to part a rectangle of each size; sizes are cut down to sums of the tray's sides."""

    def __init__(self, bench: tuple[float, float], tray: tuple[float, float]) -> None:
        self._tray, self._slack = tray, _ROUNDING * max(bench)
        self._lengths = _sums(max(bench), tray, self._slack)
        self.best = lru_cache(maxsize=None)(self._best)

    def _down(self, size: float) -> float:
        """The largest sum of sides that is no longer."""
        place = int(np.searchsorted(self._lengths, size + self._slack, side="right")) - 1
        return float(self._lengths[place])

    def count(self, length: float, width: float) -> int:
        return self.best(self._down(length), self._down(width), False)[0] if min(length, width) > 0 else 0

    def _best(self, length: float, width: float, fives: bool) -> tuple[int, Cut | None, bool]:
        """The number, the parting that gives it (None: rows of one way round), and whether those rows are turned."""
        along, turned = (self._rows(length, width, *tray) for tray in (self._tray, self._tray[::-1]))
        best: tuple[int, Cut | None, bool] = (max(along, turned), None, turned > along)
        at_most = _at_most((length, width), self._tray)
        if best[0] == at_most:
            return best
        for cut in [*self._halves(length, width), *(self._fives(length, width, best[0]) if fives else ())]:
            total = sum(self.count(x2 - x1, y2 - y1) for x1, y1, x2, y2 in _parts(length, width, cut))
            if total > best[0]:
                best = (total, cut, False)
                if total == at_most:
                    break
        return best

    def _rows(self, length: float, width: float, along: float, across: float) -> int:
        return int((length + self._slack) / along) * int((width + self._slack) / across)

    def _within(self, side: float) -> Float:
        return self._lengths[(self._lengths > 0) & (self._lengths < side - self._slack)]

    def _halves(self, length: float, width: float) -> list[Cut]:
        """Two parts, one way or the other."""
        along = [(float(x), float(x), 0.0, 0.0) for x in self._within(length) if x <= length / 2 + self._slack]
        return along + [(0.0, 0.0, float(y), float(y)) for y in self._within(width) if y <= width / 2 + self._slack]

    def _fives(self, length: float, width: float, beaten: int) -> list[Cut]:
        """Five parts, where by their areas they could hold more than is there; the other way round is their mirror image."""
        xs, ys = self._within(length), self._within(width)
        if len(xs) ** 2 * len(ys) ** 2 > _MOST_CUTS:
            return []
        x1, x2, y1, y2 = (np.ravel(each) for each in np.meshgrid(xs, xs, ys, ys))
        areas = [x2 * y1, (length - x2) * y2, (length - x1) * (width - y2), x1 * (width - y1), (x2 - x1) * (y2 - y1)]
        each = self._tray[0] * self._tray[1]
        hopeful = (x1 < x2) & (y1 < y2) & (sum(np.floor(area / each + _ROUNDING) for area in areas) > beaten)
        return [(a, b, c, d) for a, b, c, d in np.column_stack([x1, x2, y1, y2])[hopeful].tolist()]

    def spots(self, length: float, width: float, x: float, y: float, fives: bool = True) -> list[Spot]:
        """Where the trays of the best parting lie, from one corner."""
        if min(length, width) <= 0:
            return []
        count, cut, turned = self.best(self._down(length), self._down(width), fives)
        if not count:
            return []
        if cut is None:
            along, across = self._tray[::-1] if turned else self._tray
            columns, rows = int((length + self._slack) / along), int((width + self._slack) / across)
            return [(x + i * along, y + j * across, turned) for j in range(rows) for i in range(columns)]
        parts = _parts(self._down(length), self._down(width), cut)
        return [spot for x1, y1, x2, y2 in parts for spot in self.spots(x2 - x1, y2 - y1, x + x1, y + y1, fives=False)]


def _parts(length: float, width: float, cut: Cut) -> list[tuple[float, float, float, float]]:
    """The parts as low and high corners: two where the cut is straight, else five round a middle one."""
    x1, x2, y1, y2 = cut
    if not x1 and not x2:
        return [(0.0, 0.0, length, y1), (0.0, y1, length, width)]
    if not y1 and not y2:
        return [(0.0, 0.0, x1, width), (x1, 0.0, length, width)]
    return [(0.0, 0.0, x2, y1), (x2, 0.0, length, y2), (x1, y2, length, width), (0.0, y1, x1, width), (x1, y1, x2, y2)]


def _sums(most: float, tray: tuple[float, float], slack: float) -> Float:
    """Sums of the tray's two sides, from 0."""
    first, second = (np.arange(int((most + slack) / side) + 1) * side for side in tray)
    sums = np.sort((first[:, None] + second).ravel())
    sums = sums[sums <= most + slack]
    return sums[np.diff(sums, prepend=-np.inf) > slack]


def _at_most(bench: tuple[float, float], tray: tuple[float, float]) -> int:
    """By area, after each side of the bench is cut down to a sum of the tray's sides."""
    slack = _ROUNDING * max(bench)
    used = [float(_sums(side, tray, slack)[-1]) for side in bench]
    return int(used[0] * used[1] / (tray[0] * tray[1]) + 1e-9)
