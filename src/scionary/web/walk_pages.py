"""The pages of a walk, whoever's plants are looked at: the whole page, one row after a tap, undo, all the rest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from scionary.book import queries
from scionary.book.models import Plant
from scionary.book.texts import later
from scionary.errors import Refused
from scionary.language import say
from scionary.web.pages import form_page, go_to, is_part, readable_days, remember_undo, tell
from scionary.web.typing_in import DayField, said_id, sent_id, who
from scionary.web.undoing import read_id
from scionary.web.walk import Walk, plant_of, rest_unchanged, tap, untap, why_lost, with_rows
from scionary.web.walk_find import find_here

_LONGEST = 200


class DayForm(forms.Form):
    """The day of a walk that is keyed in from paper."""

    on = DayField(required=False, label=later("Day of the walk"), validators=readable_days())


def day_form(request: HttpRequest) -> DayForm:
    """The form from the address, or from what was posted with a tap."""
    given = request.POST if request.method == "POST" else request.GET
    return DayForm(given if given.get("on") else None)


def day_of(form: DayForm) -> date | None:
    """The day that was set; None for a walk that happens now, or while the form says what is wrong with it."""
    return form.cleaned_data.get("on") if form.is_bound and form.is_valid() else None


def posted_day(request: HttpRequest) -> date | None:
    """The day that was posted with a tap; one that cannot be read is refused."""
    form = day_form(request)
    if form.is_bound and not form.is_valid():
        raise Refused(say("the day of the walk cannot be read."), where="on", remedy=" ".join(str(told) for told in form.errors["on"]))
    return day_of(form)


def show_walk(request: HttpRequest, walk: Walk, form: DayForm, *others: forms.Form, **more: Any) -> HttpResponse:
    """The whole page; with `find` in the address, at the row of that plant, or with words on where it stands."""
    typed = request.GET.get("find", "").strip()
    found = find_here(walk, typed) if typed else None
    if found is not None and found.anchor:
        return HttpResponseRedirect(f"{walk.address}{walk.query}#{found.anchor}")
    context = {"walk": with_rows(walk), "day_form": form, "typed": typed[:_LONGEST], "found": found, **more}
    return form_page(request, "walk/walk.html", context, form, *others)


def tap_plant(request: HttpRequest, walk: Walk, ident: UUID) -> HttpResponse:
    """One tap; without script the whole page comes back at the same row."""
    flags = tap(walk, ident, request.POST.get("saw", ""), event_id=said_id(request), who=who(request))
    return _after(request, walk, ident, flags)


def why_plant(request: HttpRequest, walk: Walk, ident: UUID) -> HttpResponse:
    """What is seen on a lost plant, or what is suspected: one more tap each."""
    sign, cause = (request.POST.get(name, "").strip()[:_LONGEST] for name in ("sign", "cause"))
    why_lost(walk, ident, sign=sign, cause=cause, who=who(request))
    return _after(request, walk, ident, [])


def untap_plant(request: HttpRequest, walk: Walk, ident: UUID) -> HttpResponse:
    """Undo what a tap wrote."""
    plant_of(walk, ident)
    untap(walk, read_id(request.POST.get("event", ""), "event"), who=who(request))
    return _after(request, walk, ident, [])


def mark_rest(request: HttpRequest, walk: Walk) -> HttpResponse:
    """All that were not looked at one by one are unchanged."""
    events = rest_unchanged(walk, event_id=sent_id(request), who=who(request))
    if events:
        remember_undo(request, say("{heading}: all the rest unchanged", heading=walk.heading), events)
        tell(request, say("Written down: all the rest unchanged."))
    return go_to(f"/domes/{walk.dome.pk}/" if walk.dome else f"{walk.address}{walk.query}")


def _after(request: HttpRequest, walk: Walk, ident: UUID, flags: list[str]) -> HttpResponse:
    if not is_part(request):
        for flag in flags:
            tell(request, say("Written down."), [flag])
        return go_to(f"{walk.address}{walk.query}#plant-{ident}")
    fresh = with_rows(replace(walk, plants=_fresh_plants(walk)), only=ident)
    row = next(row for row in fresh.rows if row.plant.pk == ident)
    return render(request, "walk/_answer.html", {"walk": fresh, "row": row, "flags": flags})


def _fresh_plants(walk: Walk) -> list[Plant]:
    """The same plants, as they stand after the tap."""
    found = {plant.pk: plant for plant in queries.plants().filter(pk__in=[plant.pk for plant in walk.plants])}
    return [found[plant.pk] for plant in walk.plants]
