"""Whole grafts from parts of grafts: round down, then add the graft that is worth most while something fits."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scionary.plan.limits import LimitKind, LimitRows
from scionary.plan.seasons import Seasons
from scionary.plan.wanted import Bool, Int
from scionary.units import Float

if TYPE_CHECKING:
    from scipy.sparse import csc_array

_SLACK = 1e-7
_MUST = 1e9  # worth of a graft that a "must at least" still wants: more than any money


def rounded(rows: LimitRows, seasons: Seasons, columns: Float) -> Float | None:
    """Round a plan whose trays are whole to whole grafts.

    Parameters
    ----------
    rows : LimitRows
        The limits.
    seasons : Seasons
        What grafts are worth.
    columns : ndarray of shape (columns,)
        Grafts in parts, whole trays.

    Returns
    -------
    ndarray or None
        Whole grafts and trays, pots as needed; None where rounding broke a limit that adding could not mend.
    """
    options = seasons.problem.options
    count = len(options)
    plan = columns.copy()
    plan[: len(rows.whole)][rows.whole] = np.floor(columns[rows.whole] + 1e-6)
    plan[:count] = np.maximum(plan[:count], np.ceil(rows.least[:count] - _SLACK))
    _buy_pots(rows, seasons, plan)
    _give_way(rows, plan, count)
    _fill(rows, seasons, plan)
    inside = rows.matrix @ plan
    kept = np.all(inside <= rows.upper + _SLACK * (1.0 + np.abs(rows.upper))) and np.all(inside >= rows.lower - 1e-6)
    return plan if kept and np.all(plan[:count] <= rows.most[:count] + _SLACK) else None


def _buy_pots(rows: LimitRows, seasons: Seasons, plan: Float) -> None:
    problem = seasons.problem
    used = np.bincount(problem.options.pot, weights=plan[: len(problem.options)], minlength=len(problem.pots.names))
    bought = np.where(problem.pots.price > 0.0, np.maximum(used - problem.pots.owned, 0.0), 0.0)
    start = len(problem.options) + len(rows.fillings)
    plan[start : start + len(bought)] = bought


def _give_way(rows: LimitRows, plan: Float, count: int) -> None:
    """Take grafts away, one at a time, where rounding broke a limit: a share of a total that became smaller."""
    for _ in range(int(plan[:count].sum())):
        over = rows.matrix @ plan - rows.upper - _SLACK * (1.0 + np.abs(rows.upper))
        row = int(np.argmax(over))
        if over[row] <= 0.0:
            return
        start, end = rows.matrix.indptr[row], rows.matrix.indptr[row + 1]
        at, by = rows.matrix.indices[start:end], rows.matrix.data[start:end]
        fewer = at[(at < count) & (by > 0.0)]
        fewer = fewer[plan[fewer] - 1.0 >= rows.least[fewer] - _SLACK]
        if not len(fewer):
            return
        plan[fewer[np.argmax(plan[fewer])]] -= 1.0


def _fill(rows: LimitRows, seasons: Seasons, plan: Float) -> None:
    """Add grafts one at a time, dearest first, while one fits and is worth more than it costs."""
    from scipy.sparse import csc_array

    problem = seasons.problem
    target, count = problem.options.target, len(problem.options)
    uses = csc_array(rows.matrix[:, :count])
    pots = np.array([limit.kind is LimitKind.POTS for limit in rows.limits], dtype=bool)
    left = np.where(pots, np.inf, rows.upper - rows.matrix @ plan)
    wanting = rows.lower - rows.matrix @ plan
    missing = seasons.missing(plan[:count])
    cost = problem.options.cost + problem.pots.price[problem.options.pot]
    usable = plan[:count] + 1.0 <= rows.most[:count] + _SLACK
    by_target = np.split(np.argsort(target, kind="stable"), np.searchsorted(np.sort(target), np.arange(1, len(problem.targets.names))))
    worth = np.full(count, -np.inf)
    for each, members in enumerate(by_target):
        worth[members] = _worth(seasons, missing, each, members) - cost[members]
    _prefer_musts(rows, uses, wanting, worth)
    full = _Full(uses, usable)
    full.look(left, np.arange(len(left)))
    while True:
        best = int(np.argmax(np.where(usable, worth, -np.inf)))
        if not usable[best] or worth[best] <= 0.0:
            return
        at, by = uses.indices[uses.indptr[best] : uses.indptr[best + 1]], uses.data[uses.indptr[best] : uses.indptr[best + 1]]
        if np.any(by > left[at] + _SLACK):
            usable[best] = False
            continue
        plan[best] += 1.0
        left[at] -= by
        full.look(left, at.astype(np.int64))
        wanting[at] -= by
        mine = int(target[best])
        missing[:, mine] -= seasons.finished[:, best]
        worth[by_target[mine]] = _worth(seasons, missing, mine, by_target[mine]) - cost[by_target[mine]]
        _prefer_musts(rows, uses, wanting, worth)
        usable[best] = plan[best] + 1.0 <= rows.most[best] + _SLACK
        _buy_pots(rows, seasons, plan)


class _Full:
    """Marks grafts of which no more fit, all at once rather than one by one when their turn comes; not those to which others give room."""

    def __init__(self, uses: csc_array, usable: Bool) -> None:
        self.by_row, self.usable = uses.tocsr(), usable
        gives = np.zeros(self.by_row.shape[0], dtype=bool)
        gives[uses.indices[uses.data < 0.0]] = True
        self.gives = gives

    def look(self, left: Float, limits: Int) -> None:
        """Look at some limits, of which so much is left."""
        starts, at, by = self.by_row.indptr, self.by_row.indices, self.by_row.data
        for limit in limits[~self.gives[limits]].tolist():
            inside = slice(starts[limit], starts[limit + 1])
            self.usable[at[inside][by[inside] > left[limit] + _SLACK]] = False


def _prefer_musts(rows: LimitRows, uses: csc_array, wanting: Float, worth: Float) -> None:
    """Give the options of a "must at least" that is not yet met a worth above all others."""
    for row in np.flatnonzero(wanting > 1e-6):
        start, end = rows.matrix.indptr[row], rows.matrix.indptr[row + 1]
        at, by = rows.matrix.indices[start:end], rows.matrix.data[start:end]
        inside = at < len(worth)
        worth[at[inside]] = _MUST * by[inside]


def _worth(seasons: Seasons, missing: Float, target: int, members: Int) -> Float:
    """Money that one more graft of each option of a wish brings, before its cost."""
    targets = seasons.problem.targets
    before, after = missing[:, target], missing[:, target, None] - seasons.finished[:, members]
    short = np.maximum(before, 0.0).mean() - np.maximum(after, 0.0).mean(axis=0)
    worth = targets.shortfall_cost[target] * short + seasons.gain[members]
    price = seasons.assurance_price[target]
    if price > 0.0:
        worth = worth + price * (
            mean_of_worst(before[:, None], seasons.assurance[target]) - mean_of_worst(after, seasons.assurance[target])
        )
    found: Float = worth
    return found


def mean_of_worst(missing: Float, assurance: float) -> Float:
    """Give the mean over the worst seasons of each column.

    Parameters
    ----------
    missing : ndarray of shape (seasons, columns)
        Plants missing.
    assurance : float
        Wanted chance; the rest of the seasons are the worst.

    Returns
    -------
    ndarray of shape (columns,)
        At least 0.
    """
    share = (1.0 - assurance) * len(missing)
    weights = np.clip(share - np.arange(len(missing)), 0.0, 1.0) / share
    found: Float = np.maximum(weights @ -np.sort(-missing, axis=0), 0.0)
    return found
