"""In a large book: pages as they were drawn last, held while nothing is written, read in, learned or worked on, and for a minute at most.

What differs each time a page is shown is put in anew: the ids of its forms, since two forms with one id are one form sent twice, and the
token that says a form came from here. A page is held for whoever asked for it: their account, language, browser and what they wrote last.
"""

from __future__ import annotations

import re
import zlib
from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import wraps
from threading import Lock
from typing import Any

from django.contrib.messages import get_messages
from django.db import connection
from django.db.models import Count, Max, Sum
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token

from scionary.answers import kept
from scionary.answers.take_model import is_large, may_wait
from scionary.book import queries
from scionary.book.ids import uuid7
from scionary.book.models import CalendarFeed, Device, Job
from scionary.book.one_page import once
from scionary.web.context import language_tag
from scionary.web.pages import now_at

View = Callable[..., HttpResponse]
_MOST = 300  # packed to some 10 kB each
_PARTS = 16  # locks: one page is drawn once, others need not wait for it
_OWN_COOKIES = ("csrftoken", "sessionid")
_FORM_ID = re.compile(r'(?<=name="event_id" value=")[0-9a-f-]{36}(?=")')
_TOKEN = re.compile(r'(?<=name="csrfmiddlewaretoken" value=")\w{64}(?=")|(?<="X-CSRFToken": ")\w{64}(?=")')
_held: OrderedDict[Hashable, bytes] = OrderedDict()
_locks = [Lock() for _ in range(_PARTS)]


def held_page(view: View) -> View:
    """The view, which in a large book draws a page again only when it may have changed."""

    @wraps(view)
    def shown(request: HttpRequest, *given: Any, **named: Any) -> HttpResponse:
        if request.method != "GET" or may_wait() or not is_large() or len(get_messages(request)):
            return view(request, *given, **named)
        asked = _asked(request)
        with _locks[hash(asked) % _PARTS]:
            packed = _held.get(asked)
            if packed is None:
                return _drawn(asked, view(request, *given, **named))
        return HttpResponse(_anew(request, zlib.decompress(packed).decode()))

    return shown


def _drawn(asked: Hashable, response: HttpResponse) -> HttpResponse:
    """The page as it was drawn, and held if it is one that says all of itself."""
    if response.status_code == 200 and list(response.headers) == ["Content-Type"]:
        _held[asked] = zlib.compress(response.content, 1)
        while len(_held) > _MOST:
            _held.popitem(last=False)
    return response


def _anew(request: HttpRequest, text: str) -> str:
    """A page that was held, with form ids and a token of its own."""
    token = get_token(request)
    return _FORM_ID.sub(lambda _: str(uuid7()), _TOKEN.sub(token, text))


def _asked(request: HttpRequest) -> Hashable:
    """All that a page is drawn from: what is asked, by whom, when, and of which state of the book."""
    cookies = sorted((name, value) for name, value in request.COOKIES.items() if name not in _OWN_COOKIES)
    asker = (request.user.pk, language_tag(), repr(sorted(request.session.items())), repr(cookies), request.get_host(), request.is_secure())
    parts = sorted((name, value) for name, value in request.headers.items() if name.lower().startswith("hx-"))
    return (
        str(connection.settings_dict["NAME"]),
        request.get_full_path(),
        repr(parts),
        *asker,
        now_at(request).strftime("%Y-%m-%d %H:%M"),
        queries.whole_stamp(),
        once("beside the book", _beside_the_book),
        kept.newest(),
    )


def _beside_the_book() -> tuple[Hashable, ...]:
    """What changes with work under way, with phones and with calendar addresses."""
    jobs = Job.objects.aggregate(jobs=Count("pk"), far=Sum("fraction"), ended=Max("ended_at"), asked=Max("asked_at"))
    phones = Device.objects.aggregate(phones=Count("pk"), ended=Count("ended_at"))
    feeds = CalendarFeed.objects.aggregate(feeds=Count("pk"), ended=Count("ended_at"))
    return tuple(tuple(found.values()) for found in (jobs, phones, feeds))
