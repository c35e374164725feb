"""Phones that write without a signal: which the book knows, when it heard of them, and ending one that is lost."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_POST

from scionary.book.phones import codes_at_hand, end_phone, phones
from scionary.language import say
from scionary.web.drawn_symbol import symbol_svg
from scionary.web.pages import go_to, now_at, tell


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """Those in use first, then those that were ended."""
    known = list(phones().prefetch_related("leases"))
    used = [(phone, len(codes_at_hand(phone))) for phone in known if phone.ended_at is None]
    context = {"used": used, "ended": [phone for phone in known if phone.ended_at], **_ways_in()}
    return render(request, "records/phones.html", context)


def _ways_in() -> dict[str, str]:
    """Where phones reach these pages, in words and as symbols for their cameras; nothing when the pages are not shared."""
    shared, trust = settings.SHARED_ADDRESS, settings.TRUST_ADDRESS
    if not shared or not trust:
        return {}
    hand = f"{shared}/hand/"
    return {"shared": hand, "trust": f"{trust}/", "shared_symbol": symbol_svg(hand), "trust_symbol": symbol_svg(f"{trust}/")}


@require_POST
def end(request: HttpRequest, ident: UUID) -> HttpResponse:
    """From now on nothing is taken from a phone."""
    phone = end_phone(ident, now=now_at(request))
    tell(
        request,
        say("{phone} is ended. Nothing is taken from it any more, and the codes that it held are given to nobody.", phone=phone.name),
    )
    return go_to("/book/phones/")
