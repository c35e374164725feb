"""Which rootstocks to order, from whom, in which packs, and by which week."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from scionary.errors import BadValue
from scionary.plan.packs import Pack, PackChoice, cheapest_packs

SETTLING_WEEKS = 8.0  # from arrival to the knife, potted and rooted; common practice, no source


@dataclass(frozen=True)
class StockNeed:
    """Rootstocks of one kind that a season needs.

    Attributes
    ----------
    kind : str
        What the person calls it.
    grafts : tuple of (date, int)
        The Monday of each week, and grafts on this kind in it.
    in_hand : int
        Stocks that are there already and fit.
    usable : float
        Share of stocks delivered that a method can use: thick enough, alive; more than 0 to 1.
    """

    kind: str
    grafts: tuple[tuple[date, int], ...]
    in_hand: int = 0
    usable: float = 1.0

    def __post_init__(self) -> None:
        """Refuse numbers that cannot be."""
        if not 0.0 < self.usable <= 1.0:
            raise BadValue("usable", self.usable, "more than 0, at most 1")
        if self.in_hand < 0 or any(count < 0 for _, count in self.grafts):
            raise BadValue("grafts", self.kind, "0 grafts or more in each week, 0 stocks in hand or more")


@dataclass(frozen=True)
class Offer:
    """What a supplier has of one kind.

    Attributes
    ----------
    supplier : str
        Who.
    kind : str
        Which rootstock.
    packs : tuple of Pack
        In which packs.
    lead_weeks : float
        From order to arrival, 0 or more.
    delivery : float
        Money for one delivery, whatever its size.
    """

    supplier: str
    kind: str
    packs: tuple[Pack, ...]
    lead_weeks: float = 0.0
    delivery: float = 0.0

    def __post_init__(self) -> None:
        """Refuse numbers that cannot be."""
        if not (np.isfinite(self.lead_weeks) and 0 <= self.lead_weeks <= 260):
            raise BadValue("lead_weeks", self.lead_weeks, "0 to 260 weeks")
        if not (np.isfinite(self.delivery) and self.delivery >= 0):
            raise BadValue("delivery", self.delivery, "0 or more")
        if not self.packs:
            raise BadValue("packs", [], "one pack or more")


@dataclass(frozen=True)
class OrderLine:
    """One order.

    Attributes
    ----------
    kind, supplier : str
        What, and from whom.
    packs : tuple of (Pack, int)
        Each pack, and how many of it.
    stocks : int
        Stocks in all.
    needed : int
        Stocks that have to be bought.
    cost : float
        Money in all, delivery included.
    first_grafted : date
        The first week in which the stocks in hand no longer suffice.
    arrive_by, order_by : date
        Mondays.
    late : bool
        Whether `order_by` has passed.
    """

    kind: str
    supplier: str
    packs: tuple[tuple[Pack, int], ...]
    stocks: int
    needed: int
    cost: float
    first_grafted: date
    arrive_by: date
    order_by: date
    late: bool


@dataclass(frozen=True)
class OrderList:
    """All orders, the most urgent first.

    Attributes
    ----------
    lines : tuple of OrderLine
        One for each kind that has to be bought and that somebody offers.
    unmet : tuple of (str, int)
        Kinds that nobody offers enough of, and how many stocks of it are needed.
    settling_weeks : float
        Weeks from arrival to the knife.
    """

    lines: tuple[OrderLine, ...]
    unmet: tuple[tuple[str, int], ...] = field(default=())
    settling_weeks: float = SETTLING_WEEKS

    @property
    def cost(self) -> float:
        """Money for all orders."""
        return sum(line.cost for line in self.lines)


def order_list(needs: Sequence[StockNeed], offers: Sequence[Offer], *, today: date, settling_weeks: float = SETTLING_WEEKS) -> OrderList:
    """Find what to order: for each kind the cheapest supplier in time, in the cheapest packs.

    Parameters
    ----------
    needs : sequence of StockNeed
        What the season needs.
    offers : sequence of Offer
        What is sold.
    today : date
        The day from which an order can be made.
    settling_weeks : float
        Weeks from arrival to the knife, 0 or more; 8 is common practice, no source.

    Returns
    -------
    OrderList
        One order a kind. A supplier who would be late is taken only when no other delivers, the least late one first.

    Raises
    ------
    BadValue
        When a number is out of range.
    """
    if not (np.isfinite(settling_weeks) and settling_weeks >= 0):
        raise BadValue("settling_weeks", settling_weeks, "0 weeks or more")
    lines, unmet = [], []
    for need in needs:
        missing, first = _missing(need)
        if not missing or first is None:
            continue
        bought = math.ceil(missing / need.usable - 1e-9)
        found = [_line(need.kind, offer, bought, first, today, settling_weeks) for offer in offers if offer.kind == need.kind]
        there = [line for line in found if line is not None]
        if there:
            lines.append(min(there, key=lambda line: (line.late, -line.order_by.toordinal() if line.late else 0, line.cost, line.stocks)))
        else:
            unmet.append((need.kind, bought))
    lines.sort(key=lambda line: (line.order_by, line.kind))
    return OrderList(tuple(lines), tuple(unmet), settling_weeks)


def _missing(need: StockNeed) -> tuple[int, date | None]:
    """Stocks missing in all, and the first week in which one is."""
    total, first = 0, None
    for week, count in sorted(need.grafts):
        total += count
        if first is None and total > need.in_hand:
            first = week
    return max(total - need.in_hand, 0), first


def _line(kind: str, offer: Offer, bought: int, first: date, today: date, settling_weeks: float) -> OrderLine | None:
    choice: PackChoice | None = cheapest_packs(bought, offer.packs)
    if choice is None:
        return None
    arrive = monday_before(first, settling_weeks)
    order = monday_before(arrive, offer.lead_weeks)
    packs = tuple((pack, count) for pack, count in zip(offer.packs, choice.counts, strict=True) if count)
    cost = choice.cost + offer.delivery
    return OrderLine(kind, offer.supplier, packs, choice.pieces, bought, cost, first, arrive, order, late=order + timedelta(days=6) < today)


def monday_before(day: date, weeks: float) -> date:
    """Give the Monday of the week that lies so many weeks before a day.

    Parameters
    ----------
    day : date
        From here.
    weeks : float
        So many weeks back, 0 or more.

    Returns
    -------
    date
        A Monday.
    """
    back = day - timedelta(days=round(weeks * 7))
    return back - timedelta(days=back.weekday())
