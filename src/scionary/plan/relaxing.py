"""The relaxation: parts of grafts and trays allowed, shortfalls told by cuts until they are true."""

from __future__ import annotations

import numpy as np

from scionary.plan.programme import KeepOn, Point, Programme
from scionary.units import Float

FIRST_PASS, EXACT = 1e-3, 1e-7  # of the money at stake: what the cuts may still be wrong by
_MOST_ROUNDS = 80


def relax(programme: Programme, *, close: float, seconds: float | None, keep_on: KeepOn, near: Float | None = None) -> Point:
    """Solve the relaxation.

    Parameters
    ----------
    programme : Programme
        The season; it keeps the cuts.
    close : float
        Share of the money at stake by which promise and truth may still differ.
    seconds : float or None
        The solver's own time that is left.
    keep_on : callable
        False once the person stops it.
    near : ndarray of shape (options,), optional
        A plan that is thought to be near; a programme that has cuts already needs none.

    Returns
    -------
    Point
        The last point; not complete where it was stopped, and then its value bounds nothing.
    """
    none_yet = np.zeros(programme.options)
    for grafts in () if programme.has_cuts else (none_yet,) if near is None else (none_yet, near):
        add_cuts_at(programme, grafts, None)
    for _ in range(_MOST_ROUNDS):
        left = None if seconds is None else seconds - programme.spent_s
        point = programme.relax(left)
        if point.columns is None or not point.complete or not keep_on():
            return point
        if add_cuts_at(programme, point.columns[: programme.options], point) <= close * max(1.0, abs(point.value)):
            return point
    return point


def add_cuts_at(programme: Programme, grafts: Float, point: Point | None) -> float:
    """Tell the programme the shortfalls of a plan where it believes them smaller.

    Parameters
    ----------
    programme : Programme
        The season.
    grafts : ndarray of shape (options,)
        The plan.
    point : Point or None
        What the programme believes; None for nothing yet.

    Returns
    -------
    float
        Money by which it believed too much.
    """
    seasons = programme.seasons
    too_much = 0.0
    pairs = [(seasons.shortfall_cuts, seasons.problem.targets.shortfall_cost, None if point is None else point.short, False)]
    if seasons.assurance_price.any():
        pairs.append((seasons.tail_cuts, seasons.assurance_price, None if point is None else point.tail, True))
    for cuts_at, price, believed, tail in pairs:
        cuts, true = cuts_at(grafts)
        wrong = np.full(len(true), np.inf) if believed is None else true - np.maximum(believed, 0.0)
        wanted = (wrong > 1e-9 * (1.0 + seasons.problem.targets.wanted)) & (price > 0.0)
        programme.add_cuts(cuts, wanted, tail=tail)
        too_much += float(np.where(wanted, wrong, 0.0) @ price) if point is not None else np.inf
    return too_much
