"""What views of every part share: the nursery and the moment, who writes, form pages, the id of a form that is sent twice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from scionary.book import queries
from scionary.book.ids import uuid7
from scionary.book.models import Nursery
from scionary.errors import BadValue, Refused, ScionaryError

T = TypeVar("T")


def nursery_of(request: HttpRequest) -> Nursery:
    """The book's settings, read once a request."""
    found = getattr(request, "nursery", None)
    return found if found is not None else queries.nursery()


def now_at(request: HttpRequest) -> datetime:
    """This moment, in the nursery's zone."""
    return timezone.now().astimezone(nursery_of(request).zone)


def today_at(request: HttpRequest) -> date:
    """Today at the nursery."""
    return now_at(request).date()


def who_writes(request: HttpRequest) -> str:
    """The name of the account, when the server asks for one."""
    return request.user.get_username()[:60] if request.user.is_authenticated else ""


def is_part(request: HttpRequest) -> bool:
    """Whether only a part of the page is asked for."""
    return bool(request.headers.get("HX-Request"))


def form_id(request: HttpRequest) -> UUID:
    """The id made when the form was drawn (`{% once %}`); a new one when it has none that can be read."""
    try:
        return UUID(request.POST.get("event_id", ""))
    except ValueError:
        return uuid7()


def attempt(form: Form, write: Callable[[], T]) -> T | None:
    """What `write` gives; None when it was refused, the form then says why beside the field."""
    try:
        return write()
    except ScionaryError as refusal:
        field = _field_of(form, refusal)
        told = f"{refusal.message} {refusal.remedy}" if isinstance(refusal, Refused) else str(refusal)
        form.add_error(field, f"{told[:1].upper()}{told[1:]}")
        return None


def _field_of(form: Form, refusal: ScionaryError) -> str | None:
    """The form's field that a refusal speaks of, by the words in its place; None for the form as a whole."""
    where = refusal.where if isinstance(refusal, Refused) else refusal.name if isinstance(refusal, BadValue) else ""
    words = where.lower().replace("_", " ").split(", ")
    return next((name for name in form.fields if name.replace("_", " ") in words), None)


def form_page(request: HttpRequest, template: str, context: Mapping[str, Any], *forms: Form) -> HttpResponse:
    """The page with its forms; status 422 when one of them was sent and cannot be taken."""
    wrong = any(form.is_bound and form.errors for form in forms)
    return render(request, template, dict(context), status=422 if wrong else 200)


def go_to(address: str) -> HttpResponseRedirect:
    """On to another page after something was written."""
    response = HttpResponseRedirect(address)
    response.status_code = 303
    return response


def way_back(request: HttpRequest, otherwise: str) -> str:
    """The address in `next` when it lies in this book, else the other."""
    given = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(given, {request.get_host()}, require_https=request.is_secure())
    return given if safe else otherwise


def tell(request: HttpRequest, text: str, flags: list[str] | tuple[str, ...] = ()) -> None:
    """Say on the next page what was written, and what was flagged about it."""
    messages.success(request, text)
    for flag in flags:
        messages.warning(request, f"Flagged: {flag}.")


def remember_undo(request: HttpRequest, what: str, events: list[UUID]) -> None:
    """Keep what was written last at this browser, so that the next page can offer to undo it."""
    request.session["last_written"] = {"what": what, "events": [str(ident) for ident in events]}
