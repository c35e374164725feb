"""Why stocks that are counted in the book are not used by a plan."""

from __future__ import annotations

from collections import Counter

import numpy as np

from scionary.answers.season_problem import Season
from scionary.answers.season_ways import Lot, carries
from scionary.answers.words import listed, short_day
from scionary.language import said, say
from scionary.plan.closing import NO_STOCK_YET
from scionary.plan.limits import LimitRows
from scionary.plan.wanted import Int


def unused_words(season: Season, grafts: Int, rows: LimitRows) -> tuple[str, ...]:
    """A sentence for each reason, with the lots of which nothing, or less than half, is used."""
    found: dict[str, list[str]] = {}
    for at, lot in enumerate(season.lots):
        if lot.lot is None or not lot.number:
            continue
        mine = season.problem.options.stock_lot == at
        used = int(grafts[mine & ~season.problem.options.regraft].sum())
        if used * 2 < lot.number:
            told = say("{used} of {number} of {lot}", used=used or say("none"), number=lot.number, lot=lot.name)
            found.setdefault(_reason(season, lot, np.flatnonzero(mine), rows), []).append(told)
    return tuple(say("{lots} are used: {reason}.", lots=listed(lots), reason=reason) for reason, lots in found.items())


def _reason(season: Season, lot: Lot, ways: Int, rows: LimitRows) -> str:
    """Why not more: no wish, no week, else that others are better or that something else is scarce."""
    if not len(ways):
        if not any(carries(lot, wish) for wish in season.facts.wishes):
            return say("no wish is for what {genus} carries", genus=lot.genus or lot.name)
        return say("no window of grafting is left for it")
    closed = [rows.closed[at] for at in ways.tolist()]
    if all(closed):
        [(reason, _)] = Counter(closed).most_common(1)
        pots = list(dict.fromkeys(season.ways[at].pot.name for at in ways.tolist()))
        came = lot.lot.arrived_on if lot.lot else None
        if came is not None and reason == NO_STOCK_YET:
            return say("it arrives on {day}, and the last window is over before it can be grafted", day=short_day(came))
        return say("in {pot} {reason}", pot=" / ".join(pots), reason=said(reason))
    return say("room, hours or wood give out before these stocks do, or others serve as well")
