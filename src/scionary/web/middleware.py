"""What stands between a request and every page: security policy, accounts, the book's time zone, refusals in words."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone

from scionary.book.models import Nursery
from scionary.errors import ScionaryError, UnknownSubject

Next = Callable[[HttpRequest], HttpResponseBase]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; manifest-src 'self'; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
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

    OPEN_PATHS = ("/account/", "/static/")

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        open_to_all = not settings.LOGIN_REQUIRED or request.path.startswith(self.OPEN_PATHS)
        if open_to_all or request.user.is_authenticated:
            return self.get_response(request)
        return redirect_to_login(request.get_full_path())


class BookTimeZone:
    """Dates and times are shown in the nursery's zone."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        found = Nursery.objects.only("time_zone").first()
        with timezone.override(found.zone if found else None):
            return self.get_response(request)


class PlainRefusals:
    """A refusal becomes a page that says what was wrong, where, and what to do: 404 for a thing of nobody, else 422."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if not isinstance(exception, ScionaryError):
            return None
        status = 404 if isinstance(exception, UnknownSubject) and request.method == "GET" else 422
        return render(request, "refused.html", {"refusal": exception}, status=status)
