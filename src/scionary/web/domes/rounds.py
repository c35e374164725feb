"""The round of a dome: every plant one row, every sign one tap."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.book import queries
from scionary.book.models import Dome, Plant
from scionary.errors import UnknownSubject
from scionary.web.pages import now_at, nursery_of
from scionary.web.walk import Walk, seen_on
from scionary.web.walk_pages import day_form, day_of, mark_rest, posted_day, show_walk, tap_plant, untap_plant

_LOOKED_AT = (*queries.STANDING, Plant.State.MISSING)


@require_GET
def page(request: HttpRequest, ident: UUID) -> HttpResponse:
    form = day_form(request)
    return show_walk(request, _walk(request, ident, day_of(form)), form)


@require_POST
def tapped(request: HttpRequest, ident: UUID, plant: UUID) -> HttpResponse:
    return tap_plant(request, _walk(request, ident, posted_day(request)), plant)


@require_POST
def untapped(request: HttpRequest, ident: UUID, plant: UUID) -> HttpResponse:
    return untap_plant(request, _walk(request, ident, posted_day(request)), plant)


@require_POST
def rest(request: HttpRequest, ident: UUID) -> HttpResponse:
    return mark_rest(request, _walk(request, ident, posted_day(request)))


def _walk(request: HttpRequest, ident: UUID, on: date | None) -> Walk:
    """All plants of the dome that are not lost, and those that were found lost on this very walk."""
    dome = Dome.objects.filter(pk=ident).first()
    if dome is None:
        raise UnknownSubject("the book holds no such dome.", where="dome", remedy="Choose one that is listed under Domes.")
    nursery, everybody = nursery_of(request), list(queries.plants_in(dome))
    walk = Walk(f"{dome.name}: round", f"/domes/{dome.pk}/round/", everybody, nursery, now_at(request), on, dome)
    seen = seen_on(everybody, walk.day, nursery)
    plants = [plant for plant in everybody if plant.state in _LOOKED_AT or plant.pk in seen]
    return Walk(**{**vars(walk), "plants": plants})
