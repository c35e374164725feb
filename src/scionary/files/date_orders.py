"""Whether a column of dates puts the day or the month first: from the column as a whole, else the person is asked."""

from __future__ import annotations

import re

import numpy as np

from scionary.errors import BadFile, BadValue
from scionary.files.stamps import ORDERS, SHORT, UNREADABLE, YEAR_LAST, Floats, Stamps, local_seconds
from scionary.language import say

_DAY_S = 86400.0
_DOTTED = re.compile(r"^\s*\d{1,2}\.\d{1,2}\.\d{2,4}\b")


def settle_order(stamps: Stamps, date_order: str | None, *, where: str, example: str) -> tuple[str, str]:
    """Give the order of the column's dates and, in words, why; refuse when several orders fit.

    `where` and `example` go into the message when the person must choose.
    """
    if date_order is not None and date_order not in ORDERS:
        raise BadValue("date_order", date_order, " or ".join(ORDERS))
    open_rows = (stamps.kind == YEAR_LAST) | (stamps.kind == SHORT)
    if not open_rows.any():
        return date_order or "ymd", _certain_words(stamps)
    local = {order: local_seconds(stamps, order)[open_rows] for order in ORDERS}
    if date_order is not None:
        _check_fits(local[date_order], date_order, where=where, example=example)
        return date_order, say("{date_order}, as you said", date_order=ORDERS[date_order])
    return _fitting(local, where=where, example=example)


def _certain_words(stamps: Stamps) -> str:
    return say("no dates") if (stamps.kind == UNREADABLE).all() else say("year, month and day written out")


def _check_fits(seconds: Floats, order: str, *, where: str, example: str) -> None:
    if np.isnan(seconds).mean() > 0.5:
        raise BadFile(
            say("most dates, such as {example!r}, do not exist as {order}.", example=example, order=ORDERS[order]),
            where=where,
            remedy=say("Choose another order of the date."),
        )


def _fitting(local: dict[str, Floats], *, where: str, example: str) -> tuple[str, str]:
    misses = {order: int(np.isnan(seconds).sum()) for order, seconds in local.items()}
    least = min(misses.values())
    count = len(next(iter(local.values())))
    fitting = [order for order, missed in misses.items() if missed == least]
    if least > 0.02 * count:
        raise BadFile(
            say("the dates, such as {example!r}, follow no single order of day and month.", example=example),
            where=where,
            remedy=say("Write all of them the same way, best as 2025-03-12, or give the order (date_order) of most of them."),
        )
    if len(fitting) == 1:
        return fitting[0], say("{orders}: no other order gives dates that exist", orders=ORDERS[fitting[0]])
    first = local[fitting[0]]
    if all(np.array_equal(first, local[order], equal_nan=True) for order in fitting):
        return fitting[0], say("day and month are the same number")
    steady = [order for order in fitting if _steady(local[order])]
    if len(steady) == 1:
        return steady[0], say("{orders}: only so do the days follow one another", orders=ORDERS[steady[0]])
    if "dmy" in fitting and _DOTTED.match(example):
        return "dmy", say("day.month.year, as dates with dots are written")
    choices = ", ".join(f"{order} ({ORDERS[order]})" for order in fitting)
    raise BadFile(
        say("dates such as {example!r} can be read in more than one order.", example=example),
        where=where,
        remedy=say("Give date_order: {choices}.", choices=choices),
    )


def _day_steps(seconds: Floats) -> Floats:
    days = np.floor(seconds[np.isfinite(seconds)] / _DAY_S)
    steps = np.abs(np.diff(days))
    return steps[steps > 0]


def _steady(seconds: Floats) -> bool:
    """At least three days, each within two of the one before; with day and month exchanged they lie a month apart."""
    steps = _day_steps(seconds)
    return len(steps) >= 2 and bool(steps.max() <= 2)
