"""Trying another season beside the present plan: started here, watched on the page of the weeks."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.jobs import job
from scionary.answers.schedule_beside import ask_beside
from scionary.web.pages import go_to, is_part, now_at, today_at
from scionary.web.plan.weeks import season_address, sent_schedule, trying, weeks_page
from scionary.web.plan.weeks_forms import TryForm
from scionary.web.typing_in import attempt


@require_POST
def instead(request: HttpRequest) -> HttpResponse:
    """Have the plan of a season with one change found, to be set beside the present one."""
    schedule = sent_schedule(request)
    place = request.POST.get("place", "")
    form = TryForm(request.POST)
    if place.isascii() and place.isdigit() and int(place[:3]) < len(schedule.changes):
        ask_beside(schedule, schedule.changes[int(place[:3])].ask, today=today_at(request), now=now_at(request))
        return go_to(f"{season_address(schedule.season)}#beside")
    if form.is_valid():
        typed = form.cleaned_data["change"]
        if attempt(form, lambda: ask_beside(schedule, typed, today=today_at(request), now=now_at(request))) is not None:
            return go_to(f"{season_address(schedule.season)}#beside")
    return weeks_page(request, schedule.season, change=form)


@require_GET
def watch(request: HttpRequest, ident: UUID) -> HttpResponse:
    """How far a change is that is tried: a part asked for again until it is over, which has the page read again; else the page."""
    found = job(ident)
    address = f"{season_address(int(found.arguments.get('season', 0)))}#beside"
    if not is_part(request):
        return go_to(address)
    if found.over:
        return HttpResponse(headers={"HX-Refresh": "true"})
    return render(request, "plan/_weeks_trying.html", trying(found))
