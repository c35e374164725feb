"""Draws of take probabilities brought together with what was seen of many plants at once."""

from __future__ import annotations

import numpy as np

from scionary.take.seen_plants import SeenPlants
from scionary.take.shock_sampler import sample_shocks
from scionary.take.signs import Index
from scionary.take.weights import effective_draws, evenly, normalised
from scionary.units import Float

_DRAWS = 2000  # handed back
_ENOUGH = 1000.0  # effective draws with which weighing is left at that
_FIRST, _HOPE = 500, 0.25  # draws weighed to see whether weighing all may do, and the share of what is needed that they must promise
_CHUNK = 1_000_000  # numbers worked on at once


def weigh_or_sample(seen: SeenPlants, generator: np.random.Generator) -> tuple[Float, float, bool]:
    """Bring draws and signs together.

    Parameters
    ----------
    seen : SeenPlants
        Plants in groups.
    generator : Generator
        Source of chance.

    Returns
    -------
    rates : ndarray, shape (draws, groups)
        Equally likely sets of chances, all signs heard.
    effective : float
        Effective number of draws.
    sampled : bool
        Whether weighing left too few draws in force, so that log odds were taken as normal and sampled.
    """
    import scipy.linalg  # noqa: F401  its BLAS must be there before the threads are limited
    from threadpoolctl import threadpool_limits

    size = len(seen.log_odds)
    rows = np.column_stack([_spread_rows(len(item.if_taken), size, generator) for item in seen.evidence] or [np.zeros((size, 0), np.int64)])
    if not seen.anything:
        return seen.rates(seen.log_odds[:, seen.cell], *seen.said(rows)), float(size), False
    with threadpool_limits(limits=1, user_api="blas"):
        weight = _weighed(seen, rows)
        if weight is None:
            return *sample_shocks(seen, _DRAWS, generator), True
    spot = evenly(weight, _DRAWS, generator)
    return seen.rates(seen.log_odds[spot][:, seen.cell], *seen.said(rows[spot])), effective_draws(weight), False


def _weighed(seen: SeenPlants, rows: Index) -> Float | None:
    """Weights of the draws; None where too few stay in force."""
    size = len(rows)
    enough = min(_ENOUGH, 0.5 * size)
    first = _heights(seen, rows, slice(0, _FIRST))
    if effective_draws(normalised(first)) * size / len(first) < _HOPE * enough:
        return None
    step = max(1, _CHUNK // max(1, seen.cell.size))
    rest = [_heights(seen, rows, slice(start, start + step)) for start in range(_FIRST, size, step)]
    weight = normalised(np.concatenate([first, *rest]))
    return weight if effective_draws(weight) >= enough else None


def _heights(seen: SeenPlants, rows: Index, part: slice) -> Float:
    return seen.look(seen.log_odds[part][:, seen.cell], seen.heard(*seen.said(rows[part]))).height


def _spread_rows(rows: int, size: int, generator: np.random.Generator) -> Index:
    """As many row numbers as there are draws, each row about as often, in any order."""
    return generator.permutation(np.resize(generator.permutation(rows), size)).astype(np.int64)
