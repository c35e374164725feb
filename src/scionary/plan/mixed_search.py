"""Room for pots of several sizes, round and square together: many starts whose overlaps are squeezed out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.plan.squeezing import least_damping, squeeze_step
from scionary.units import Float

_STARTS, _MOST_STARTS, _ROUNDS = 16_000, 120, 120
_SLACK = 1e-9  # of the widest pot: aimed at, so that rounding never leaves an overlap


@dataclass(frozen=True)
class Mix:
    """Pots on a tray, each with its half width.

    Attributes
    ----------
    sides : ndarray of shape (2,)
        Inside length and width of the tray.
    half : ndarray of shape (n,)
        Half of each pot's width.
    round : ndarray of bool, shape (n,)
        Whether it is round.
    clearance : float
        Free room between neighbours.
    """

    sides: Float
    half: Float
    round: Any
    clearance: float


def find_places(mix: Mix, start: Float | None, rng: np.random.Generator) -> Float | None:
    """Look for places for all pots.

    Parameters
    ----------
    mix : Mix
        The tray and the pots.
    start : ndarray of shape (m, 2) or None
        Places of the first m pots that stand already; half of the starts are made from them.
    rng : Generator
        Where the starts come from.

    Returns
    -------
    ndarray of shape (n, 2) or None
        Centres; None when nothing was found, which proves nothing.
    """
    slack = _SLACK * 2.0 * float(mix.half.max())
    spots = _starts(mix, start, rng)
    for round_ in range(_ROUNDS):
        short, unit = _shortage(spots, mix, mix.clearance + slack)
        outside = np.maximum(mix.half[:, None] - spots, 0.0) - np.maximum(spots - mix.sides + mix.half[:, None], 0.0)
        overlap = np.maximum(short.max(axis=(1, 2)), np.abs(outside).max(axis=(1, 2)))
        best = int(np.argmin(overlap))
        if overlap[best] < 0.5 * slack:
            found: Float = np.clip(spots[best], mix.half[:, None], mix.sides - mix.half[:, None])
            return found
        spots = spots + squeeze_step(short, unit, outside, least_damping(round_, 1e-6))
    return None


def _starts(mix: Mix, start: Float | None, rng: np.random.Generator) -> Float:
    count = len(mix.half)
    starts = int(np.clip(_STARTS // count**2, 16, _MOST_STARTS))
    low, high = mix.half[:, None], np.maximum(mix.sides - mix.half[:, None], mix.half[:, None])
    spots = low + rng.uniform(size=(starts, count, 2)) * (high - low)
    if start is not None and len(start):
        blur = rng.uniform(0.02, 0.4, size=(starts // 2, 1, 1)) * 2 * mix.half[: len(start), None]
        spots[: starts // 2, : len(start)] = start + blur * rng.normal(size=(starts // 2, len(start), 2))
    return np.clip(spots, low, high)


def _shortage(spots: Float, mix: Mix, wanted: float) -> tuple[Float, Float]:
    """How much each pair lacks of its free room, and the direction in which the first moves to gain it."""
    between = np.moveaxis(spots, 2, 0)[:, :, :, None] - np.moveaxis(spots, 2, 0)[:, :, None, :]
    reach = mix.half[:, None] + mix.half[None, :]
    rounds = mix.round[:, None].astype(int) + mix.round[None, :].astype(int)
    flat = np.where(rounds == 2, 0.0, np.where(rounds == 0, reach, np.where(mix.round[:, None], mix.half[None, :], mix.half[:, None])))
    radius = reach - flat
    beyond = np.abs(between) - flat
    corner = np.hypot(np.maximum(beyond[0], 0.0), np.maximum(beyond[1], 0.0))
    by_side = (rounds == 0) | (beyond.max(axis=0) <= 0.0)
    gap = np.where(by_side, beyond.max(axis=0), corner) - radius
    along = beyond[0] >= beyond[1]
    flat_unit = np.stack([along, ~along]).astype(float)
    round_unit = np.maximum(beyond, 0.0) / np.maximum(corner, 1e-12)
    unit = np.where(by_side, flat_unit, round_unit) * np.where(between < 0, -1.0, 1.0)
    short = np.maximum(wanted - gap, 0.0)
    every = np.arange(len(mix.half))
    short[:, every, every] = 0.0
    return short, unit
