"""Where living lines that are not straight begin and end, and the heights at which they are looked at."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from scionary.union.stems import CutStem, line_half_width
from scionary.units import Float


def line_ends_mm(cut: CutStem, length_mm: Float) -> Float:
    """Heights at which a cut's lines end: where it leaves the wood towards the knife, or on the far side.

    Parameters
    ----------
    cut : CutStem
        One cut on one stem; its fields broadcast with the length.
    length_mm : ndarray
        Length of the cut [mm].

    Returns
    -------
    ndarray
        Four heights above the cut's middle, along a new first axis [mm]; one that the cut does not reach is put to its end.

    Notes
    -----
    With X the distance of the face's middle from the centre of a bend of radius ρ, and k what the slope adds to it for each millimetre
    upwards: (X + k z)² + z² = (ρ ± (R − limit))², the limit being the depth b or 2R − b. Without a bend the depth is a straight line.
    """
    radius, bend = np.asarray(cut.radius_mm, dtype=np.float64), np.asarray(cut.bend_radius_mm, dtype=np.float64)
    slope, depth = np.asarray(cut.deeper_mm) / length_mm, np.asarray(cut.depth_mm)
    bent, outward = np.isfinite(bend), np.sign(bend)
    ring = np.where(bent, np.abs(bend), 0.0)
    off, steep = ring + outward * (radius - depth), outward * slope
    found = []
    for limit in (cut.bark_mm, 2.0 * radius - cut.bark_mm):
        beyond = outward * (limit - depth) * (off + ring + outward * (radius - limit))  # X² less the square that is looked for
        inside = (off * steep) ** 2 - (1.0 + steep**2) * beyond
        root = np.sqrt(np.maximum(inside, 0.0))
        for way in (-1.0, 1.0):
            curved = np.where(inside >= 0.0, (way * root - off * steep) / (1.0 + steep**2), length_mm)
            sloped = np.where(slope == 0.0, length_mm, (depth - limit) / np.where(slope == 0.0, 1.0, slope))
            found.append(np.where(bent, curved, sloped))
    return np.asarray(np.clip(np.stack(np.broadcast_arrays(*found)), -length_mm / 2.0, length_mm / 2.0))


def stretches(stock: CutStem, scion: CutStem, length_mm: Float, count: int) -> Iterator[Float]:
    """Give the stretches of a cut on which stock and scion have living lines all along.

    Parameters
    ----------
    stock, scion : CutStem
        The two cuts; the last axis of their fields is one long, for heights.
    length_mm : ndarray
        Length of the cut [mm], likewise.
    count : int
        Pieces of a stretch.

    Yields
    ------
    ndarray
        Heights [mm] from one end of a stretch to the other, close together near both, where lines turn. A case that lacks the
        stretch has it with no length, or with lines that are NaN.
    """
    whole = np.stack(np.broadcast_arrays(-length_mm / 2.0, length_mm / 2.0))
    ends = (*line_ends_mm(stock, length_mm), *line_ends_mm(scion, length_mm), *whole)
    edges = np.sort(np.stack(np.broadcast_arrays(*ends)), axis=0)
    share = (1.0 - np.cos(np.linspace(0.0, np.pi, count + 1))) / 2.0
    for low, high in pairwise(edges):
        middle = (low + high) / 2.0
        lives = ~np.isnan(line_half_width(stock, middle, length_mm) + line_half_width(scion, middle, length_mm))
        if np.any(lives & (high > low)):
            yield low + share * (high - low)
