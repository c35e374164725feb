"""Rows of pots: straight ones, and staggered ones stretched to fill the tray. Points in the rectangle of the pots' centres."""

from __future__ import annotations

import numpy as np

from scionary.units import Float

ROUNDING = 1e-9  # of a pot's width: sizes in millimetres that come from inches need not divide exactly


def straight_rows(room: Float, apart: float) -> Float:
    """Give centres in straight rows, as many as fit, from the corner.

    Parameters
    ----------
    room : ndarray of shape (2,)
        Sides of the rectangle in which centres may lie.
    apart : float
        Least distance between neighbours.

    Returns
    -------
    ndarray of shape (n, 2)
        The centres, row by row.
    """
    across, along = (np.arange(np.floor(side / apart + ROUNDING) + 1) * apart for side in room[::-1])
    return np.stack(np.meshgrid(along, across), axis=-1).reshape(-1, 2)


def staggered_rows(room: Float, apart: float) -> Float:
    """Give centres in rows along the first side, every second row shifted, for the number of rows that holds most.

    Parameters
    ----------
    room : ndarray of shape (2,)
        Sides of the rectangle in which centres may lie.
    apart : float
        Least distance between neighbours.

    Returns
    -------
    ndarray of shape (n, 2)
        The centres, row by row; none when there is no room for a second row.

    Notes
    -----
    Rows are spread over the whole width. With many they stand close, and pots along a row further apart than they need to be; with
    few it is the other way round. All numbers of rows are tried: a zigzag, a honeycomb and everything between are among them.
    """
    rows, shift, spacing, even, odd = _rows_that_fit(room, apart)
    if not len(rows):
        return np.empty((0, 2))
    best = int(np.argmax(_held(rows, even, odd)))
    count, step = int(rows[best]), room[1] / (rows[best] - 1)
    full = np.stack(np.meshgrid(np.arange(even[best]) * spacing[best], np.arange(0, count, 2) * step), axis=-1).reshape(-1, 2)
    between = np.stack(np.meshgrid(shift[best] + np.arange(odd[best]) * spacing[best], np.arange(1, count, 2) * step), axis=-1)
    points = np.concatenate([full, between.reshape(-1, 2)])
    ordered: Float = points[np.argsort(points[:, 1], kind="stable")]
    return ordered


def _rows_that_fit(room: Float, apart: float) -> tuple[Float, Float, Float, Float, Float]:
    """For each number of rows: the number, the shift of every second row, the spacing in a row, pots in each kind of row."""
    length, width = room
    rows = np.arange(2, int(2 * width / apart + ROUNDING) + 2)
    shift = np.sqrt(np.maximum(apart**2 - (width / (rows - 1)) ** 2, 0.0))
    spacing = np.maximum(apart, 2 * shift)
    even = np.floor(length / spacing + 1 + ROUNDING)
    odd = np.where(length - shift > -ROUNDING * apart, np.floor((length - shift) / spacing + 1 + ROUNDING), 0.0)
    return rows.astype(np.float64), shift, spacing, even, np.maximum(odd, 0.0)


def _held(rows: Float, even: Float, odd: Float) -> Float:
    return even * ((rows + 1) // 2) + odd * (rows // 2)


def best_rows(room: Float, apart: float) -> tuple[Float, bool]:
    """Give the fullest rows for round pots: straight, or staggered either way round.

    Parameters
    ----------
    room : ndarray of shape (2,)
        Sides of the rectangle in which centres may lie.
    apart : float
        Least distance between neighbours.

    Returns
    -------
    points : ndarray of shape (n, 2)
        The centres.
    staggered : bool
        Whether they stand in staggered rows.
    """
    best, staggered = straight_rows(room, apart), False
    for turned in (False, True):
        points = staggered_rows(room[::-1] if turned else room, apart)
        if len(points) > len(best):
            best, staggered = points[:, ::-1] if turned else points, True
    return best, staggered


def rows_hold(room: Float, apart: float) -> int:
    """Count what `best_rows` holds, without placing it.

    Parameters
    ----------
    room : ndarray of shape (2,)
        Sides of the rectangle in which centres may lie; below 0 where a pot is wider than the tray.
    apart : float
        Least distance between neighbours.

    Returns
    -------
    int
        Number of round pots.
    """
    if np.any(room < -ROUNDING * apart):
        return 0
    room = np.maximum(room, 0.0)
    most = int(np.prod(np.floor(room / apart + ROUNDING) + 1))
    for sides in (room, room[::-1]):
        rows, _, _, even, odd = _rows_that_fit(sides, apart)
        most = max(most, int(np.max(_held(rows, even, odd), initial=0)))
    return most
