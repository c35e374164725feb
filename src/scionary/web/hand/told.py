"""Answers to a phone: JSON with words for a person, never a page, whatever went wrong."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.request import UnreadablePostError
from django.middleware.csrf import CsrfViewMiddleware
from django.utils import timezone

from scionary.book.kinds import KINDS
from scionary.book.models import Device
from scionary.book.patience import busy, met_another
from scionary.book.phones import phone_of
from scionary.errors import Busy, Refused, ScionaryError, UnknownSubject
from scionary.language import say
from scionary.limits import LIMITS

View = Callable[..., HttpResponse]
BUSY_FOR_S = 5


class Unread(Exception):
    """What a phone sent cannot be read: the answer says why."""

    def __init__(self, answer: JsonResponse) -> None:
        super().__init__()
        self.answer = answer


def told(words: str, status: int, **headers: str) -> JsonResponse:
    """Words, and the book's clock."""
    answer = {"words": words, "server_now": timezone.now().isoformat()}
    return JsonResponse(answer, status=status, headers={"Cache-Control": "no-store", **headers})


def answered(what: dict[str, Any], status: int = 200) -> JsonResponse:
    """What was asked for, and the book's clock."""
    return JsonResponse({**what, "server_now": timezone.now().isoformat()}, status=status, headers={"Cache-Control": "no-store"})


def in_words(*methods: str) -> Callable[[View], View]:
    """A view that is asked in one of these ways and whose refusals are JSON."""

    def around(view: View) -> View:
        @wraps(view)
        def asked(request: HttpRequest, *args: Any, **given: Any) -> HttpResponse:
            if request.method not in methods:
                allowed = ", ".join(methods)
                return told(
                    say("This address is asked by {allowed}, not by {part}.", allowed=allowed, part=str(request.method)[:20]),
                    405,
                    Allow=allowed,
                )
            try:
                return view(request, *args, **given)
            except Unread as unread:
                return unread.answer
            except ScionaryError as refusal:
                return refused(refusal)
            except DatabaseError as error:
                if met_another(error):
                    return refused(busy())
                raise

        return asked

    return around


def refused(refusal: ScionaryError) -> JsonResponse:
    """A refusal in one sentence; a busy book says when to come back."""
    if isinstance(refusal, Busy):
        return told(sentence(refusal), 503, **{"Retry-After": str(BUSY_FOR_S)})
    return told(sentence(refusal), 404 if isinstance(refusal, UnknownSubject) else 422)


def sentence(refusal: ScionaryError) -> str:
    """What is wrong and what to do, as a person reads it."""
    if not isinstance(refusal, Refused):
        return f"{refusal}"
    where = KINDS[refusal.where].words if refusal.where in KINDS else say(refusal.where)
    place = f" ({where})" if where else ""
    message = f"{refusal.message[:1].upper()}{refusal.message[1:]}".removesuffix(".")
    return f"{message}{place}. {refusal.remedy}".strip()


def sent_object(request: HttpRequest) -> dict[str, Any]:
    """The JSON object in a request; raises `Unread` when it is too large or none."""
    try:
        body = request.body if _length(request) <= LIMITS["hand_bytes"] else None
    except (RequestDataTooBig, UnreadablePostError):
        body = None
    if body is None or len(body) > LIMITS["hand_bytes"]:
        raise Unread(told(say("That is more than {hand_bytes:,} bytes at once. Send fewer records.", hand_bytes=LIMITS["hand_bytes"]), 413))
    try:
        found = json.loads(body)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise Unread(told(say("That cannot be read: send a JSON object."), 400))
    return found


def _length(request: HttpRequest) -> int:
    given = str(request.META.get("CONTENT_LENGTH") or "0")
    return int(given) if given.isdecimal() and len(given) < 16 else 0


def token_of(request: HttpRequest) -> str:
    """The token that a phone shows; empty without one."""
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    return token.strip() if scheme.lower() == "bearer" else ""


def phone_that_asks(request: HttpRequest) -> Device:
    """The phone whose token came with the request; raises `Unread`, 401, when the book does not know it."""
    found = phone_of(token_of(request))
    if found is None:
        words = say("The book does not know this phone, or it was ended. Give it its name again; what waits on it stays there.")
        raise Unread(told(words, 401, **{"WWW-Authenticate": "Bearer"}))
    return found


class _FromThisPage(CsrfViewMiddleware):
    """Django's check that a request was made by a page of this book; it gives the reason where it was not."""

    def _reject(self, request: HttpRequest, reason: str) -> str:  # type: ignore[override]
        return reason


def check_made_by_a_page(request: HttpRequest) -> None:
    """Raise `Unread`, 403, when another site's page may have made this request."""
    check = _FromThisPage(lambda _: HttpResponse())
    check.process_request(request)
    if check.process_view(request, lambda _: HttpResponse(), (), {}):
        raise Unread(told(say("The request does not come from a page of this book. Open /hand/ again and try once more."), 403))
