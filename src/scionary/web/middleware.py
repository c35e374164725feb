"""What stands between a request and every page: security policy, accounts, the book's time zone, refusals in words."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from urllib.parse import urlsplit, urlunsplit

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseNotAllowed
from django.shortcuts import render
from django.utils import timezone

from scionary.answers.jobs import learn_beside
from scionary.answers.take_model import without_waiting
from scionary.book.models import Nursery
from scionary.book.one_page import one_page
from scionary.book.patience import busy, met_another
from scionary.errors import Busy, Refused, ScionaryError, UnknownSubject
from scionary.language import say
from scionary.web.account.unsent import signed_out
from scionary.web.pages import came_from

Next = Callable[[HttpRequest], HttpResponseBase]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)


class ContentSecurityPolicy:
    """No inline script or style, no eval, nothing from outside."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        response.setdefault("Content-Security-Policy", POLICY)
        return response


class AccountBeyondThisMachine:
    """Every page asks for an account as soon as the server listens beyond this machine."""

    # The frame of the page for the hand holds nothing of the book; its doors look themselves who asks, and answer a phone in its own way.
    # A calendar program shows no account: it knows a secret address.
    OPEN_PATHS = ("/account/", "/static/", "/hand/", "/calendar/")
    OPEN_PAGES = frozenset({"/sw.js", "/manifest.webmanifest"})

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        open_to_all = not settings.LOGIN_REQUIRED or request.path.startswith(self.OPEN_PATHS) or request.path in self.OPEN_PAGES
        if open_to_all or request.user.is_authenticated:
            return self.get_response(request)
        if request.headers.get("HX-Request"):  # a part: the whole page goes to where one signs in, and comes back afterwards
            page = urlsplit(request.headers.get("HX-Current-URL", ""))
            lost = None if request.method == "GET" else "/account/login/?lost=1"
            onward = redirect_to_login(urlunsplit(("", "", page.path or "/", page.query, "")), lost)
            return HttpResponse(status=401, headers={"HX-Redirect": onward["Location"]})
        return signed_out(request)


class BookTimeZone:
    """Dates and times are shown in the nursery's zone."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        found = Nursery.objects.order_by("id").first()
        request.nursery = found  # type: ignore[attr-defined]
        with timezone.override(found.zone if found else None):
            return self.get_response(request)


class LearningBeside:
    """No page waits for a large book's fit; after something was written, the fit is brought up to date beside the pages."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with without_waiting(), one_page() if request.method in ("GET", "HEAD") else nullcontext():
            response = self.get_response(request)
            if request.method == "POST" and response.status_code < 400:
                learn_beside(now=timezone.now())
        return response


class PlainRefusals:
    """A refusal becomes a page that says what was wrong, where, and what to do: 404 for a thing of nobody, 503 when others
    were writing, else 422."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if isinstance(response, HttpResponseNotAllowed) and request.method != "HEAD":
            page = render(request, "405.html", status=405)
            page["Allow"] = response["Allow"]
            return page
        return response

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, DatabaseError) and met_another(exception):
            exception = busy()
        return refusal_page(request, exception) if isinstance(exception, ScionaryError) else None


def refusal_page(request: HttpRequest, refusal: ScionaryError) -> HttpResponse:
    """What was wrong, where, what to do, and the way back."""
    missing = isinstance(refusal, UnknownSubject)
    told = refusal if isinstance(refusal, Refused) else None
    message = told.message if told else str(refusal)
    context = {
        "sentence": f"{message[:1].upper()}{message[1:]}",
        "place": say(told.where) if told else "",
        "remedy": told.remedy if told else "",
        "missing": missing,
        "back": came_from(request),
    }
    response = render(request, "refused.html", context, status=status_of(refusal))
    if request.headers.get("HX-Request"):  # the answer is a whole page: it takes the page's place, not a part's
        response["HX-Retarget"], response["HX-Reselect"], response["HX-Reswap"] = "#main", "#main", "outerHTML"
    return response


def status_of(refusal: ScionaryError) -> int:
    """What a refusal is called on the line."""
    return 404 if isinstance(refusal, UnknownSubject) else 503 if isinstance(refusal, Busy) else 422
