"""The clock of the nursery whose book a test keeps."""

from __future__ import annotations

from datetime import date

from django.utils import timezone

from scionary.book import queries


def today_at_nursery() -> date:
    """Today where the nursery stands; the program's own default zone may still be on the day before, or on the day after."""
    return timezone.localdate(timezone=queries.nursery().zone)
