"""Watching long work, and stopping it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.jobs import ask_to_stop, job
from scionary.book.models import Job
from scionary.web.pages import go_to, is_part, way_back


@require_GET
def watch(request: HttpRequest, ident: UUID) -> HttpResponse:
    """How far the work is; with script the part asks again by itself until it is over."""
    found = job(ident)
    template = "work/_work.html" if is_part(request) else "work/work.html"
    return render(request, template, {"job": found, "percent": round(found.fraction * 100), "onward": _onward(request, found)})


@require_POST
def stop(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Ask the work to stop; nothing half-done is kept."""
    ask_to_stop(ident, now=timezone.now())
    return go_to(way_back(request, f"/work/{ident}/"))


def _onward(request: HttpRequest, found: Job) -> str:
    """Where its result is to be seen."""
    if (found.result or {}).get("file"):
        return f"/book/taken-home/{found.pk}/"
    dome = found.arguments.get("dome")
    if dome:
        return f"/domes/{dome}/#air"
    season = found.arguments.get("season")
    if season:
        return f"/plan/weeks/?season={season}{'#beside' if 'change' in found.arguments else ''}"
    return way_back(request, "/findings/" if found.status == Job.Status.DONE else "/book/")
