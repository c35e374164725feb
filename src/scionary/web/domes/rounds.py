"""The round of a dome: every plant one row, every sign one tap."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.domes import standing_in
from scionary.answers.undoing import undo_once
from scionary.book import queries
from scionary.book.models import Dome, Plant
from scionary.errors import UnknownSubject
from scionary.language import say
from scionary.web.domes.whole import VENTS, WholeForm, done_today, write_whole
from scionary.web.held_pages import held_page
from scionary.web.pages import go_to, now_at, nursery_of, tell, today_at
from scionary.web.typing_in import attempt, said_id, who
from scionary.web.undoing import read_id
from scionary.web.walk import Walk, seen_on
from scionary.web.walk_pages import DayForm, day_form, day_of, mark_rest, posted_day, show_walk, tap_plant, untap_plant, why_plant

_LOOKED_AT = (*queries.STANDING, Plant.State.MISSING)


@require_GET
@held_page
def page(request: HttpRequest, ident: UUID) -> HttpResponse:
    form = day_form(request)
    return _page(request, _walk(request, ident, day_of(form), looking=True), form, WholeForm())


@require_POST
def whole(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Water, vents, a treatment, fallen stalks or a note of the whole dome, without leaving the round."""
    walk, form = _walk(request, ident, posted_day(request)), WholeForm(request.POST)
    if form.is_valid():
        done = attempt(form, lambda: write_whole(walk, form, event_id=said_id(request), who=who(request)))
        if done is not None:
            tell(request, say("Written down: {words}.", words=done_today(walk)[0].words), done.flags)
            return go_to(f"{walk.address}{walk.query}#whole")
    return _page(request, walk, day_form(request), form)


@require_POST
def whole_undone(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Undo what was done to the whole dome on this walk."""
    walk = _walk(request, ident, posted_day(request))
    event = read_id(request.POST.get("event", ""), "event")
    if any(done.event == event for done in done_today(walk)):
        undo_once(event, now=walk.now, who=who(request))
        tell(request, say("Undone."))
    return go_to(f"{walk.address}{walk.query}#whole")


@require_POST
def why(request: HttpRequest, ident: UUID, plant: UUID) -> HttpResponse:
    return why_plant(request, _walk(request, ident, posted_day(request)), plant)


@require_POST
def tapped(request: HttpRequest, ident: UUID, plant: UUID) -> HttpResponse:
    return tap_plant(request, _walk(request, ident, posted_day(request)), plant)


@require_POST
def untapped(request: HttpRequest, ident: UUID, plant: UUID) -> HttpResponse:
    return untap_plant(request, _walk(request, ident, posted_day(request)), plant)


@require_POST
def rest(request: HttpRequest, ident: UUID) -> HttpResponse:
    return mark_rest(request, _walk(request, ident, posted_day(request)))


def _page(request: HttpRequest, walk: Walk, day: DayForm, whole: WholeForm) -> HttpResponse:
    return show_walk(request, walk, day, whole, whole=whole, vents=VENTS, done=done_today(walk))


def _walk(request: HttpRequest, ident: UUID, on: date | None, *, looking: bool = False) -> Walk:
    """All plants of the dome that are not lost, and those that were found lost on this very walk; `looking` writes nothing after."""
    dome = Dome.objects.filter(pk=ident).first()
    if dome is None:
        raise UnknownSubject(say("the book holds no such dome."), where="dome", remedy=say("Choose one that is listed under Domes."))
    nursery = nursery_of(request)
    everybody, shown = standing_in(dome, today=today_at(request)) if looking else (list(queries.plants_in(dome)), None)
    walk = Walk(say("{dome}: round", dome=dome.name), f"/domes/{dome.pk}/round/", everybody, nursery, now_at(request), on, dome)
    seen = seen_on(everybody, walk.day, nursery)
    plants = [plant for plant in everybody if plant.state in _LOOKED_AT or plant.pk in seen]
    return replace(walk, plants=plants, seen=seen if looking else None, rings=shown)
