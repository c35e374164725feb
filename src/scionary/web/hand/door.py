"""The doors for a phone: what it takes along, its name and token, codes for labels, and what was written without a signal."""

from __future__ import annotations

import hashlib
import json
import logging
import time
from typing import Any

from django.conf import settings
from django.db import DataError, IntegrityError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, ensure_csrf_cookie
from django.views.decorators.gzip import gzip_page

from scionary.answers.hand import numbered, snapshot
from scionary.answers.hand_advice import hand_advice
from scionary.book.from_phone import take_record, take_run
from scionary.book.models import Device, Nursery
from scionary.book.phones import heard, lease_codes, name_phone
from scionary.book.record import Answer
from scionary.errors import Busy, Refused
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.hand.told import (
    Unread,
    answered,
    check_made_by_a_page,
    in_words,
    phone_that_asks,
    refused,
    sent_object,
    sentence,
    token_of,
    told,
)
from scionary.web.pages import now_at, nursery_of, today_at
from scionary.web.templatetags.union_drawn import union_cross

_log = logging.getLogger(__name__)
_AT_ONCE = 50  # records that are taken together: others wait for their turn to write no longer than that takes
_ENOUGH_S = 8.0  # a phone waits 20 s for an answer: what is not reached by then it sends again


@gzip_page
@ensure_csrf_cookie
@in_words("GET", "HEAD")
def data(request: HttpRequest) -> HttpResponse:
    """What a phone takes along; 304 when it has that already."""
    device = phone_that_asks(request) if token_of(request) else None
    if device is None:
        _check_signed_in(request)
    found = snapshot(device, nursery_of(request), now=now_at(request))
    stamp = f'"{hashlib.sha256(json.dumps(found, sort_keys=True).encode()).hexdigest()[:32]}"'
    same = stamp in request.headers.get("If-None-Match", "")
    answer = HttpResponse(status=304) if same else answered(found)
    answer["ETag"], answer["Cache-Control"] = stamp, "private, no-cache"
    return answer


@csrf_exempt
@in_words("POST")
def device(request: HttpRequest) -> HttpResponse:
    """A name for a phone, and the token that it is told this once."""
    _check_signed_in(request)
    check_made_by_a_page(request)
    name = sent_object(request).get("name")
    user = request.user if request.user.is_authenticated else None
    named = name_phone(name if isinstance(name, str) else "", now=now_at(request), user=user, token=token_of(request))
    return answered({"device": str(named.device.pk), "token": named.token, "name": named.device.name}, 201)


@csrf_exempt
@in_words("POST")
def lease(request: HttpRequest) -> HttpResponse:
    """Codes for labels that only this phone gives."""
    phone = phone_that_asks(request)
    return answered({"codes": numbered(lease_codes(phone, now=now_at(request)))})


@csrf_exempt
@in_words("POST")
def events(request: HttpRequest) -> HttpResponse:
    """What was written on a phone: an answer to each record; what was not reached or met a busy book is sent again."""
    phone = phone_that_asks(request)
    sent = sent_object(request).get("events")
    if not isinstance(sent, list):
        return told(say("That holds no list of records."), 400)
    if len(sent) > LIMITS["hand_events"]:
        return told(
            say("{sent} records at once; at most {hand_events}. Send fewer.", sent=len(sent), hand_events=LIMITS["hand_events"]), 413
        )
    until, answers = time.monotonic() + _ENOUGH_S, list[dict[str, Any]]()
    while len(answers) < len(sent):
        try:
            answers += _answers(sent[len(answers) :][:_AT_ONCE], phone, nursery_of(request))
        except Busy as refusal:
            if not answers:
                return refused(refusal)
            break
        if time.monotonic() > until:
            break
    heard(phone, now=timezone.now())
    return answered({"answers": answers})


@csrf_exempt
@in_words("POST")
def advice(request: HttpRequest) -> HttpResponse:
    """How to set a scion of one thickness on a stock of another, at the bench that is set on the phone; nothing is written."""
    phone_that_asks(request)
    sent, nursery = sent_object(request), nursery_of(request)
    setting = sent.get("bench")
    found = hand_advice(setting if isinstance(setting, dict) else {}, sent, nursery, today=today_at(request))
    drawn = found.answer.drawn
    drawing = render_to_string("drawings/union_cross.html", union_cross(drawn)) if drawn else ""
    return answered({"line": found.line, "drawing": drawing, "cautions": list(found.answer.cautions)})


@csrf_exempt
def nothing(request: HttpRequest, rest: str) -> HttpResponse:
    """No address of the page for the hand."""
    return told(say("There is nothing at /hand/{rest}.", rest=rest[:60]), 404)


def _answers(sent: list[Any], phone: Device, nursery: Nursery) -> list[dict[str, Any]]:
    """What became of the first records: as many as can be taken together, else of the first alone."""
    taken = take_run(sent, phone, now=timezone.now())
    return [_answered(given["id"], answer) for given, answer in zip(sent, taken, strict=False)] or [_answer(sent[0], phone, nursery)]


def _answer(given: Any, phone: Device, nursery: Nursery) -> dict[str, Any]:
    """What became of one record."""
    named = given.get("id") if isinstance(given, dict) else None
    ident = named if isinstance(named, str) else None
    try:
        answer = take_record(given, phone, nursery=nursery, now=timezone.now())
    except Busy:
        raise
    except Refused as refusal:
        return {"id": ident, "status": "refused", "words": sentence(refusal), "flags": []}
    except (DataError, IntegrityError):
        _log.exception("a phone's record could not be written")
        words = say("The book could not write this record. Write it down in the book by hand.")
        return {"id": ident, "status": "refused", "words": words, "flags": []}
    return _answered(ident, answer)


def _answered(ident: str | None, answer: Answer) -> dict[str, Any]:
    return {"id": ident, "status": answer.status.replace(" ", "_"), "words": "", "flags": list(answer.flags)}


def _check_signed_in(request: HttpRequest) -> None:
    """Raise `Unread`, 401, where accounts are asked for and nobody is signed in."""
    if settings.LOGIN_REQUIRED and not request.user.is_authenticated:
        raise Unread(told(say("Sign in to the book first."), 401))
