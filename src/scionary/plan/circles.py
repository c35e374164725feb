"""Room for one more round pot: points in a rectangle that keep a least distance."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from scionary.plan.squeezing import least_damping, squeeze_step
from scionary.plan.widening import widen
from scionary.units import Float

Progress = Callable[[float, str], bool | None]

_FEWEST_STARTS, _MOST_STARTS, _ROUNDS = 24, 160, 45
_LEAST_DAMPING = 1e-3
_SLACK = 1e-9  # of the distance: aimed at, so that rounding never leaves an overlap
_WIDENED = 5  # starts of each try that are widened
_ALIKE = 1e-3  # of the overlap: starts nearer than this are taken to have ended at the same arrangement
_HOPELESS = 0.97  # of the width: the first try finds no narrower pots than this where there is a place; project default, unsourced


def most_points(room: Float, apart: float) -> int:
    """Give a number of points that no arrangement in a rectangle exceeds.

    Parameters
    ----------
    room : ndarray of shape (2,)
        Sides of the rectangle.
    apart : float
        Least distance between any two points.

    Returns
    -------
    int
        The bound, 1 or more.

    Notes
    -----
    Oler, N. (1961), Acta Mathematica 105, 19-48: 2 A / (sqrt(3) d^2) + P / (2 d) + 1, with area A and perimeter P.
    """
    length, width = room / apart
    return int(2.0 / np.sqrt(3.0) * length * width + length + width + 1.0 + 1e-9)


@dataclass(frozen=True)
class Task:
    """Round pots of one width on a tray: what a search looks for.

    Attributes
    ----------
    sides : ndarray of shape (2,)
        Inside length and width of the tray.
    width : float
        Width of a pot, in the same unit.
    clearance : float
        Free room between neighbours.
    """

    sides: Float
    width: float
    clearance: float = 0.0

    @property
    def room(self) -> Float:
        """Sides of the rectangle in which centres may lie, half a pot from every side."""
        return np.maximum(self.sides - self.width, 0.0)

    @property
    def apart(self) -> float:
        """Least distance between two centres."""
        return self.width + self.clearance


@dataclass(frozen=True)
class Search:
    """What a search for one more pot found.

    Attributes
    ----------
    points : ndarray of shape (n + 1, 2) or None
        Centres in the room of the task, None when so many were not found a place: that proves nothing.
    widest : float
        Width of the widest pots of which so many were found a place.
    whole : bool
        False when it was stopped before its end.
    """

    points: Float | None
    widest: float
    whole: bool = True


def search_one_more(points: Float, task: Task, rng: np.random.Generator, *, tries: int = 3, progress: Progress | None = None) -> Search:
    """Look for one point more than are there, moving all of them.

    Parameters
    ----------
    points : ndarray of shape (n, 2)
        An arrangement in the room of the task that keeps the distance.
    task : Task
        The tray and the pot.
    rng : Generator
        Where the starts come from.
    tries : int
        Times that a set of starts is tried, 1 or more; fewer are when the first is far from finding a place.
    progress : callable, optional
        Called with a share done and words; giving False stops.

    Returns
    -------
    Search
        What was found.

    Notes
    -----
    Overlaps are squeezed out by damped Gauss-Newton steps (Levenberg-Marquardt), all starts at once: half of them random, half from
    the given arrangement, disturbed, with a random point added. The best few are then moved so that wider and wider pots stand
    (`widen`), until the width asked for stands or nothing moves.
    """
    widest = 0.0
    for number in range(tries):
        if progress is not None and progress(number / tries, f"looking for a place for pot {len(points) + 1}") is False:
            return Search(None, widest, whole=False)
        spots, overlap = _squeezed(_starts(points, task, rng), task)
        for start in _best_few(overlap):
            placed, width = widen(spots[start] + task.width / 2.0, task.sides, task.clearance, enough=task.width * (1.0 + _SLACK))
            widest = max(widest, width)
            if width >= task.width * (1.0 - _SLACK):
                return Search(np.clip(placed - task.width / 2.0, 0.0, task.room), widest)
        if widest < _HOPELESS * task.width:
            break
    return Search(None, widest)


def _starts(points: Float, task: Task, rng: np.random.Generator) -> Float:
    count, room, apart = len(points) + 1, task.room, task.apart
    starts = int(np.clip(16_000 // count**2, _FEWEST_STARTS, _MOST_STARTS))
    spots = rng.uniform(size=(starts, count, 2)) * room
    blur = rng.uniform(0.05, 0.4, size=(starts // 2, 1, 1)) * apart
    spots[: starts // 2, :-1] = np.clip(points + blur * rng.normal(size=(starts // 2, count - 1, 2)), 0.0, room)
    return spots


def _squeezed(spots: Float, task: Task) -> tuple[Float, Float]:
    """The starts after their steps, and how much the worst pair or side of each is violated."""
    room, wanted = task.room, task.apart * (1.0 + _SLACK)
    for round_ in range(_ROUNDS):
        short, unit, outside, overlap = _overlaps(spots, room, wanted)
        if overlap.min() < 0.5 * _SLACK * task.apart:
            break
        spots = spots + squeeze_step(short, unit, outside, least_damping(round_, _LEAST_DAMPING))
    return np.clip(spots, 0.0, room), overlap


def _best_few(overlap: Float) -> list[int]:
    """The starts with the least overlap, those that ended alike counted once."""
    few: list[int] = []
    for start in np.argsort(overlap, kind="stable"):
        if len(few) == _WIDENED:
            break
        if not few or overlap[start] > overlap[few[-1]] * (1.0 + _ALIKE):
            few.append(int(start))
    return few


def _overlaps(spots: Float, room: Float, wanted: float) -> tuple[Float, Float, Float, Float]:
    """What each pair lacks, its direction, how far each pot is outside, and the worst of all for each arrangement."""
    between = np.moveaxis(spots, 2, 0)[:, :, :, None] - np.moveaxis(spots, 2, 0)[:, :, None, :]
    distance = np.hypot(between[0], between[1])
    every = np.arange(spots.shape[1])
    distance[:, every, every] = 2.0 * wanted
    short = np.maximum(wanted - distance, 0.0)
    unit = between / np.maximum(distance, 1e-12 * wanted)
    outside = np.maximum(-spots, 0.0) - np.maximum(spots - room, 0.0)
    return short, unit, outside, np.maximum(short.max(axis=(1, 2)), np.abs(outside).max(axis=(1, 2)))
