"""From whom the stocks of a season are ordered: one supplier a kind, whose price and whose weeks are both reckoned with."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from math import ceil

from scionary.answers.season_facts import SeasonFacts
from scionary.answers.season_ways import Lot, Way
from scionary.book.models import StockOffer
from scionary.language import say


def suppliers_of(facts: SeasonFacts, lots: Sequence[Lot], ways: Sequence[Way]) -> dict[str, StockOffer]:
    """For each lot that is ordered the cheapest supplier who comes in time for some way, else the quickest; none where nobody offers it."""
    found = {}
    for lot in lots:
        offers = [offer for offer in facts.offers if lot.lot is None and _serves(offer.kind, lot)]
        if offers:
            last = max((way.week for way in ways if way.lot == lot), default=facts.first_monday)
            in_time = [offer for offer in offers if ready_on(facts, offer.lead_weeks) <= last]
            found[lot.name] = min(in_time, key=price_of) if in_time else min(offers, key=lambda offer: offer.lead_weeks)
    return found


def price_of(offer: StockOffer) -> float:
    """Money for one stock, in the pack that is cheapest by the piece."""
    return float(min(pack["price"] / pack["size"] for pack in offer.packs))


def ready_on(facts: SeasonFacts, lead_weeks: float) -> date:
    """When stocks that are ordered today have come and settled, so that they can be grafted."""
    return facts.today + timedelta(days=ceil(7 * (lead_weeks + float(facts.figures["settling_weeks"] or 0.0))))


def supplier_words(suppliers: dict[str, StockOffer]) -> list[str]:
    """Acer stocks to order: from Beck Nursery at 1.10 each, 3 weeks after the order; the plan weighs no other supplier."""
    return [
        say("{stocks}: from {supplier} at {price} each, {weeks} weeks after the order; the plan weighs no other supplier.",
            stocks=name, supplier=offer.supplier, price=f"{price_of(offer):.2f}", weeks=f"{offer.lead_weeks:g}")
        for name, offer in suppliers.items()
    ]  # fmt: skip


def _serves(kind: str, lot: Lot) -> bool:
    return not lot.genus or kind.casefold().startswith(lot.genus.casefold())
