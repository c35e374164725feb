"""What suppliers offer of rootstocks: written down as it is said, listed, taken away."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from scionary.book.commands import save_noun
from scionary.book.models import StockOffer
from scionary.errors import Refused
from scionary.language import say

_OFFER = re.compile(r"^\s*(?P<supplier>[^:]{1,80}):\s*(?P<kind>[^,]{1,120}),\s*(?P<rest>.+)$")
_PACK = re.compile(r"^(?P<size>\d{1,6})\s+for\s+(?P<price>\d{1,7}(?:\.\d{1,2})?)(?:\s+at\s+most\s+(?P<most>\d{1,6}))?$", re.I)
_WEEKS = re.compile(r"^(?P<weeks>\d{1,3}(?:\.\d)?)\s+weeks?$", re.I)
_DELIVERY = re.compile(r"^delivery\s+(?P<money>\d{1,7}(?:\.\d{1,2})?)$", re.I)


def offer_said(text: str) -> dict[str, Any]:
    """Beck Nursery: Acer palmatum, 25 for 30, 50 for 55, 3 weeks, delivery 12."""
    match = _OFFER.match(text)
    if match is None:
        raise _no_offer(text)
    values: dict[str, Any] = {"supplier": match["supplier"].strip(), "kind": match["kind"].strip(), "packs": []}
    for part in match["rest"].split(","):
        said = part.strip()
        if pack := _PACK.match(said):
            most = {"at_most": int(pack["most"])} if pack["most"] else {}
            values["packs"].append({"size": int(pack["size"]), "price": float(pack["price"]), **most})
        elif weeks := _WEEKS.match(said):
            values["lead_weeks"] = float(weeks["weeks"])
        elif delivery := _DELIVERY.match(said):
            values["delivery"] = float(delivery["money"])
        else:
            raise _no_offer(said)
    return values


def save_offer(values: dict[str, Any] | str, *, now: datetime, ident: UUID | None = None, who: str = "") -> StockOffer:
    """Write an offer down, said in words or by its fields; a supplier's new offer of the same kind takes the old one's place."""
    row = offer_said(values) if isinstance(values, str) else dict(values)
    same = StockOffer.objects.filter(supplier__iexact=row.get("supplier", ""), kind__iexact=row.get("kind", ""), retired=False).first()
    there = ident or (same.pk if same else None)
    return save_noun(StockOffer, row, now=now, pk=there, who=who)


def offers() -> Sequence[StockOffer]:
    """All that are in use."""
    return list(StockOffer.objects.filter(retired=False))


def _no_offer(text: str) -> Refused:
    return Refused(
        say("{typed!r} is no offer.", typed=text[:60]), where="offer",
        remedy=say("Say: Beck Nursery: Acer palmatum, 25 for 30, 50 for 55, 3 weeks, delivery 12."),
    )  # fmt: skip
