"""Undo: one form, from wherever something was written."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from scionary.answers.undoing import undo_once
from scionary.errors import UnknownSubject
from scionary.web.pages import go_to, tell, way_back
from scionary.web.typing_in import who


@require_POST
def undo_event(request: HttpRequest) -> HttpResponse:
    """Undo the events named in `event`; the record stays in the story, marked as undone."""
    events = [read_id(text, "event") for text in request.POST.getlist("event")]
    with transaction.atomic():
        for ident in events:
            undo_once(ident, now=timezone.now(), who=who(request))
    request.session.pop("last_written", None)
    tell(request, "Undone." if events else "There was nothing to undo.")
    return go_to(way_back(request, "/due/"))


def read_id(text: str, noun: str) -> UUID:
    """An id from a form; what is no id names nothing in the book."""
    try:
        return UUID(text)
    except ValueError:
        raise UnknownSubject(f"{text[:40]!r} names nothing in the book.", where=noun, remedy="Load the page again.") from None
