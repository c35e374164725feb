"""What views of every part share: the nursery and the moment, pages with forms, where to go next, what can be undone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.validators import BaseValidator, MaxValueValidator, MinValueValidator
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from scionary.book import queries
from scionary.book.models import Nursery
from scionary.book.texts import later
from scionary.language import say


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


def readable_days() -> list[BaseValidator]:
    """Bounds for a day in an address or form: what a book can hold, far from the ends of the calendar."""
    told = later("Give a day from 1900 to 2900.")
    return [MinValueValidator(date(1900, 1, 1), message=told), MaxValueValidator(date(2900, 12, 31), message=told)]


def is_part(request: HttpRequest) -> bool:
    """Whether only a part of the page is asked for."""
    return bool(request.headers.get("HX-Request"))


def form_page(request: HttpRequest, template: str, context: Mapping[str, Any], *forms: BaseForm) -> HttpResponse:
    """The page with its forms; status 422 when one of them was sent and cannot be taken, 503 when only others were in the way."""
    wrong = any(form.is_bound and form.errors for form in forms)
    others_wrote = any(getattr(form, "others_wrote", False) for form in forms)
    return render(request, template, dict(context), status=503 if others_wrote else 422 if wrong else 200)


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


def came_from(request: HttpRequest) -> str:
    """The page of this book that sent what is asked, as far as the browser says; else nothing."""
    page = request.headers.get("Referer", "")
    return page if url_has_allowed_host_and_scheme(page, {request.get_host()}, require_https=request.is_secure()) else ""


def tell(request: HttpRequest, text: str, flags: Iterable[str] = ()) -> None:
    """Say on the next page what was written, and what was flagged about it."""
    messages.success(request, text)
    for flag in flags:
        told = say(flag)  # what the fold flags stands in the book in English
        messages.warning(request, say("Flagged: {flag}", flag=told if told.endswith("?") else f"{told}."))


def tell_kept_as(request: HttpRequest, form: BaseForm) -> None:
    """Say on the next page where a cultivar was called by another name than the one it is kept under."""
    if words := getattr(form, "kept_as", ""):
        messages.info(request, f"{words}.")


def remember_undo(request: HttpRequest, what: str, events: Iterable[UUID]) -> None:
    """Keep what was written last at this browser, so that the next page can offer to undo it."""
    request.session["last_written"] = {"what": what, "events": [str(ident) for ident in events]}
