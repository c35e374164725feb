"""Undo: one form, from wherever something was written."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_POST

from scionary.answers.bags_undone import grafted_from
from scionary.answers.undoing import undo_all
from scionary.book.models import Event
from scionary.errors import UnknownSubject
from scionary.language import say
from scionary.web.pages import go_to, tell, way_back
from scionary.web.typing_in import who


@require_POST
def undo_event(request: HttpRequest) -> HttpResponse:
    """Undo the events named in `event`, after asking where grafts rest on them; the record stays in the story, marked as undone."""
    events = [read_id(text, "event") for text in request.POST.getlist("event")]
    resting = [] if "sure" in request.POST else grafted_from(events)
    if resting:
        return render(request, "undo_bag.html", {"resting": resting, "events": events, "back": way_back(request, "/due/")})
    back = _are_undos(events)
    undo_all(events, now=timezone.now(), who=who(request))
    request.session.pop("last_written", None)
    tell(request, say("Brought back.") if back else say("Undone.") if events else say("There was nothing to undo."))
    return go_to(way_back(request, "/due/"))


def _are_undos(events: list[UUID]) -> bool:
    """Whether these are undos of what happened, so that to undo them brings something back."""
    undos = Event.objects.filter(pk__in=events, kind="corrected", payload__replace__isnull=True)
    targets = set(undos.values_list("target", flat=True))
    return bool(events) and undos.count() == len(set(events)) and not Event.objects.filter(pk__in=targets, kind="corrected").exists()


def read_id(text: str, noun: str) -> UUID:
    """An id from a form; what is no id names nothing in the book."""
    try:
        return UUID(text)
    except ValueError:
        raise UnknownSubject(
            say("{typed!r} names nothing in the book.", typed=text[:40]), where=noun, remedy=say("Load the page again.")
        ) from None
