"""Stocks and sticks of a season as the plan's engine has them: how many, from when on, which share fits a method, and their price."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import ceil, inf
from statistics import NormalDist

import numpy as np

from scionary.answers.season_facts import SeasonFacts
from scionary.answers.season_ways import Lot
from scionary.answers.stock_supplier import price_of, ready_on
from scionary.book.models import Method, MotherTree, PotKind, StockOffer
from scionary.plan import Sticks, Stocks

ENOUGH_STOCKS = 100_000  # where stocks were never counted or are ordered: they do not limit


def stocks_of(
    facts: SeasonFacts, lots: Sequence[Lot], methods: Sequence[Method], pots: Sequence[PotKind], mondays: Sequence[date],
    suppliers: dict[str, StockOffer],
) -> Stocks:  # fmt: skip
    if not lots:
        return Stocks()
    failed = [sum(g.lot == lot.lot.pk and g.alive is False and not g.replaced for g in facts.made) if lot.lot else 0 for lot in lots]
    small = facts.figures["outgrown_weeks"]
    outgrown = [[float(small) if small is not None and (pot.litres or 1.0) < 1.0 else inf for pot in pots] for _ in lots]
    return Stocks(
        names=tuple(lot.name for lot in lots),
        number=np.array([ENOUGH_STOCKS if lot.number is None else max(lot.number, 0) for lot in lots], dtype=float),
        arrival_week=np.array([_arrival(facts, lot, mondays, suppliers) for lot in lots]),
        usable_share=np.array([[_usable(facts, lot, method) for method in methods] for lot in lots]),
        outgrown_weeks=np.array(outgrown),
        failed=np.array(failed, dtype=float) * figure(facts, "regraft_share") / 100,
    )


def sticks_of(facts: SeasonFacts) -> Sticks:
    """Sticks that each mother tree still gives this year, where that is written down."""
    trees, each = counted_trees(facts), {method.pk: 1 / method.grafts_a_stick for method in facts.methods}
    used = {tree.pk: ceil(sum((each.get(g.method, 0.5) if g.method else 0.5) for g in facts.made if g.tree == tree.pk)) for tree in trees}
    return Sticks(
        tuple(tree.name for tree in trees),
        np.array([max(int(tree.sticks_a_season or 0) - used[tree.pk], 0) for tree in trees], dtype=float),
    )


def bought(facts: SeasonFacts, lot: Lot | None, suppliers: dict[str, StockOffer]) -> float:
    """What a stock costs that has to be ordered."""
    if lot is None or lot.lot is not None:
        return 0.0
    return price_of(suppliers[lot.name]) if lot.name in suppliers else figure(facts, "stock_price")


def counted_trees(facts: SeasonFacts) -> list[MotherTree]:
    return [tree for tree in facts.trees if tree.sticks_a_season is not None]


def figure(facts: SeasonFacts, name: str) -> float:
    return float(facts.figures[name] or 0.0)


def _arrival(facts: SeasonFacts, lot: Lot, mondays: Sequence[date], suppliers: dict[str, StockOffer]) -> int:
    """The week from which stocks can be grafted: when they have come and settled; a lot that was grafted on already has."""
    if lot.lot is not None:
        came = lot.lot.arrived_on
        if came is None or any(graft.lot == lot.lot.pk for graft in facts.made):
            return -1
        return max(-1, ceil((came - mondays[0]).days / 7 + figure(facts, "settling_weeks")))
    lead = suppliers[lot.name].lead_weeks if lot.name in suppliers else figure(facts, "lead_weeks")
    return max(0, ceil((ready_on(facts, lead) - mondays[0]).days / 7))


def _usable(facts: SeasonFacts, lot: Lot, method: Method) -> float:
    """The share of a lot whose stems are inside the method's window of thickness; all, where neither is written down."""
    usual = lot.lot.diameter_mm if lot.lot else None
    if usual is None or (method.stock_low_mm is None and method.stock_high_mm is None):
        return 1.0
    spread = NormalDist(usual, usual * max(figure(facts, "thickness_spread"), 0.1) / 100)
    low = 0.0 if method.stock_low_mm is None else spread.cdf(method.stock_low_mm)
    high = 1.0 if method.stock_high_mm is None else spread.cdf(method.stock_high_mm)
    return max(high - low, 0.0)
