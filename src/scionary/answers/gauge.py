"""The printed card that tells how thick a stem is; needs no book."""

from __future__ import annotations

from scionary.files.gauge_card import gauge_card
from scionary.union import gauge_slots


def gauge_card_pdf(page: str) -> bytes:
    """The go/no-go card for stems of 2 to 12 mm, on A4 or letter."""
    return gauge_card(gauge_slots(), page=page)
