"""March one dome or many side by side: compiled where that pays, in numpy rows otherwise, with the same numbers."""

from __future__ import annotations

from enum import StrEnum
from functools import cache
from types import ModuleType

import numpy as np

from scionary.dome import kernel
from scionary.dome.kernel import Sizes
from scionary.dome.outside import Grid
from scionary.units import Float

PAYS_FROM_STEPS = 20_000  # below, numpy is done before numba is loaded
FORGOTTEN = 30.0  # time constants after which a dome no longer knows how it began: e^-30 of a start is left


class Path(StrEnum):
    """How a march was computed."""

    COMPILED = "compiled"
    NUMPY = "numpy"


@cache
def compiled_kernel() -> ModuleType | None:
    """Load the compiled kernel, or nothing where the extra `compiled` is not installed or cannot be loaded.

    Returns
    -------
    module or None
        Its `march` is the kernel's, compiled.
    """
    try:
        from scionary.dome import compiled
    except (ImportError, OSError):
        return None
    return compiled


def march(grid: Grid, opening: Float, sizes: Sizes, film: Float, path: Path | None = None) -> tuple[Float, Path]:
    """March domes through the weather.

    Parameters
    ----------
    grid : Grid
        Weather on even steps.
    opening : ndarray, shape (steps,) or (steps, domes)
        Open area of each step [m²].
    sizes : Sizes
        Arrays of shape (domes,).
    film : ndarray, shape (domes,)
        Water standing at the start [mm]; infinity for a tray kept topped up.
    path : Path or None
        None: compiled where numba is there and the march is long.

    Returns
    -------
    made : ndarray, shape (6, moments, domes)
        Air and cover [°C], vapour [kg/m³], water film [mm], mat's mean over the step that follows [W], residual.
    path : Path
        What was done.
    """
    domes, steps = sizes.inner.size, grid.time_s.size - 1
    wanted = path is Path.COMPILED or (path is None and domes * steps >= PAYS_FROM_STEPS)
    module = compiled_kernel() if wanted else None
    opening = np.broadcast_to(opening if opening.ndim == 2 else opening[:, None], (steps, domes))
    start = np.full(domes, grid.temperature[0])
    if module is not None:
        return _compiled(module, grid, opening, sizes, start, film), Path.COMPILED
    if np.isinf(film).all():
        return _in_pieces(grid, opening, sizes, film), Path.NUMPY
    return _in_rows(grid, opening, sizes, start, film), Path.NUMPY


def _compiled(module: ModuleType, grid: Grid, opening: Float, sizes: Sizes, start: Float, film: Float) -> Float:
    made = np.empty((opening.shape[1], 6, grid.time_s.size))
    for i in range(opening.shape[1]):
        one = Sizes(*(float(column[i]) for column in sizes))
        weather = (grid.temperature, grid.vapour, grid.wind, grid.sun, np.ascontiguousarray(opening[:, i]))
        module.march(np.diff(grid.time_s), *weather, one, float(start[i]), float(film[i]), made[i])
    return np.moveaxis(made, 0, 2)


def _in_rows(grid: Grid, opening: Float, sizes: Sizes, start: Float, film: Float) -> Float:
    made = np.empty((6, grid.time_s.size, opening.shape[1]))
    kernel.march(np.diff(grid.time_s), grid.temperature, grid.vapour, grid.wind, grid.sun, opening, sizes, start, film, made)
    return made


def _in_pieces(grid: Grid, opening: Float, sizes: Sizes, film: Float) -> Float:
    """Cut a long march into pieces side by side; each begins early enough to have forgotten its start."""
    steps, domes = opening.shape
    constant = float(np.max(sizes.heat_capacity / (sizes.inner * sizes.outer / (sizes.inner + sizes.outer))))
    lead = int(np.max(np.arange(steps + 1) - np.searchsorted(grid.time_s, grid.time_s - FORGOTTEN * constant)))
    pieces = int(np.sqrt(steps / lead))
    if pieces < 3 or pieces * domes > 4096:
        return _in_rows(grid, opening, sizes, np.full(domes, grid.temperature[0]), film)
    length = -(-steps // pieces)
    at = np.clip(np.arange(pieces) * length - lead, 0, None)[None, :] + np.arange(length + lead + 1)[:, None]
    at = np.minimum(at, steps)
    t, v, wind, sun = (np.repeat(row[at], domes, axis=1) for row in (grid.temperature, grid.vapour, grid.wind, grid.sun))
    lengths = np.maximum(np.diff(grid.time_s[at], axis=0), 1.0).repeat(domes, axis=1)  # past the end nothing is read
    open_wide = opening[np.minimum(at[:-1], steps - 1)].reshape(length + lead, pieces * domes)
    many = Sizes(*(np.tile(column, pieces) for column in sizes))
    made = np.empty((6, length + lead + 1, pieces * domes))
    kernel.march(lengths, t, v, wind, sun, open_wide, many, t[0], np.tile(film, pieces), made)
    made = made.reshape(6, length + lead + 1, pieces, domes)
    return _joined(made, steps, length, lead)


def _joined(made: Float, steps: int, length: int, lead: int) -> Float:
    out = np.empty((6, steps + 1, made.shape[3]))
    for i in range(made.shape[2]):
        begin = i * length
        if begin > steps:
            break
        skip = min(begin, lead)
        end = min(begin + length, steps) + 1
        out[:, begin:end] = made[:, skip : skip + end - begin, i]
    out[4, steps] = out[4, steps - 1]
    return out
