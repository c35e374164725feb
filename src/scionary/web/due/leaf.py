"""Which are in leaf this spring: a walk past the plants of that due line, wherever they stand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.due_plants import plant_lines
from scionary.answers.put_off import set_asides
from scionary.book import queries
from scionary.book.models import Plant
from scionary.language import say
from scionary.web.pages import now_at, nursery_of
from scionary.web.walk import SPRING, Walk, seen_on
from scionary.web.walk_pages import day_form, day_of, mark_rest, posted_day, show_walk, tap_plant, untap_plant, why_plant

ADDRESS = "/due/in-leaf/"


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    form = day_form(request)
    return show_walk(request, _walk(request, day_of(form)), form)


@require_POST
def tapped(request: HttpRequest, plant: UUID) -> HttpResponse:
    return tap_plant(request, _walk(request, posted_day(request)), plant)


@require_POST
def why(request: HttpRequest, plant: UUID) -> HttpResponse:
    return why_plant(request, _walk(request, posted_day(request)), plant)


@require_POST
def untapped(request: HttpRequest, plant: UUID) -> HttpResponse:
    return untap_plant(request, _walk(request, posted_day(request)), plant)


@require_POST
def rest(request: HttpRequest) -> HttpResponse:
    return mark_rest(request, _walk(request, posted_day(request)))


def _walk(request: HttpRequest, on: date | None) -> Walk:
    """Plants whose spring has come and is not scored, and those scored on this very walk."""
    nursery, now = nursery_of(request), now_at(request)
    walk = Walk(say("In leaf this spring?"), ADDRESS, [], nursery, now, on, first=SPRING)
    lines = plant_lines(nursery, set_asides(), now.date())
    waiting = {UUID(key[6:]) for line in lines if line.step == "in_leaf" for key in line.about}
    begin = datetime.combine(walk.day, time(), nursery.zone)
    lately = list(Plant.objects.filter(seen_at__gte=begin, grafts__isnull=False).distinct())
    scored = {ident for ident, seen in seen_on(lately, walk.day, nursery).items() if seen[-1].said in {said for said, _ in SPRING}}
    plants = queries.plants().filter(pk__in=waiting | scored).order_by("cultivar__spoken", "running_number")
    return replace(walk, plants=list(plants))
