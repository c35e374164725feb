"""The calendar: a file to download, and secret addresses that a calendar program reads again and again."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.calendar import due_calendar
from scionary.answers.held import held
from scionary.book import queries
from scionary.book.calendar_feeds import end_feed, feed_of, open_feed
from scionary.book.models import CalendarFeed
from scionary.language import say
from scionary.web.drawn_symbol import symbol_svg
from scionary.web.pages import go_to, now_at, tell, today_at

_TYPE = "text/calendar; charset=utf-8"


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """The addresses in use, and how to make one."""
    return _page(request)


@require_POST
def make(request: HttpRequest) -> HttpResponse:
    """A new secret address, shown this once."""
    opened = open_feed(request.POST.get("name", ""), now=now_at(request))
    address = request.build_absolute_uri(f"/calendar/{opened.secret}.ics")
    return _page(request, opened.feed, address)


@require_POST
def end(request: HttpRequest, ident: UUID) -> HttpResponse:
    """From now on an address answers nothing."""
    feed = end_feed(ident, now=now_at(request))
    tell(request, say("{feed} is ended: its address answers nothing any more.", feed=feed.name))
    return go_to("/due/calendar/")


@require_GET
def download(request: HttpRequest) -> HttpResponse:
    """What is due as a file, as it stands now."""
    data = _now(request)
    return HttpResponse(data, content_type=_TYPE, headers={"Content-Disposition": 'attachment; filename="due.ics"'})


@require_GET
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """What a calendar program reads; who knows the address needs no account."""
    if feed_of(secret) is None:
        raise Http404
    data = _now(request)
    return HttpResponse(data, content_type=_TYPE, headers={"Cache-Control": "private, max-age=900", "Referrer-Policy": "no-referrer"})


def _page(request: HttpRequest, made: CalendarFeed | None = None, address: str = "") -> HttpResponse:
    known = list(CalendarFeed.objects.all())
    context = {"used": [each for each in known if each.ended_at is None], "made": made, "address": address}
    if address:
        context["symbol"] = symbol_svg(address)
    return render(request, "due/calendar.html", {**context, "ended": [each for each in known if each.ended_at]})


def _now(request: HttpRequest) -> bytes:
    """The calendar as it stands; several programs may ask for it every hour, and little is written in between."""
    today, here = today_at(request), request.build_absolute_uri("/").rstrip("/")
    return held(f"calendar {here}", (queries.stamp(), today), lambda: due_calendar(today=today, address=here))
