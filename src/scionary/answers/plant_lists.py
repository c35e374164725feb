"""Lists of plants by how they stand."""

from __future__ import annotations

from django.db.models import QuerySet

from scionary.book import queries
from scionary.book.models import Plant
from scionary.errors import Refused
from scionary.language import Words, mark, say

FILTERS = Words(
    {
        "standing": mark("standing"),
        "waiting": mark("not known yet"),
        "alive": mark("alive"),
        "dead": mark("lost"),
        "missing": mark("missing"),
        "left": mark("left"),
        "doubt": mark("records disagree or flagged"),
        "quarantine": mark("in quarantine"),
        "name": mark("name in doubt"),
        "all": mark("all"),
    }
)


def filtered(key: str) -> QuerySet[Plant]:
    """The plants of one filter, by cultivar and number."""
    found = queries.plants()
    if key == "standing":
        return found.filter(state__in=queries.STANDING)
    if key == "doubt":
        return found.exclude(disputed=[], flags=[])
    if key == "quarantine":
        return found.exclude(quarantined_at=None)
    if key == "name":
        return found.exclude(name_doubted_at=None)
    if key == "all":
        return found
    if key not in FILTERS:
        raise Refused(
            say("{key!r} is no list of plants.", key=key[:30]), where="state", remedy=say("Lists: {names}.", names=", ".join(FILTERS))
        )
    return found.filter(state=key)
