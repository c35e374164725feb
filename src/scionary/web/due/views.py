"""Due: what is to do, the most pressing first."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.due import DueAnswer, DueLine, due
from scionary.book.commands import write_many
from scionary.book.models import Plant
from scionary.book.patience import patiently
from scionary.book.record import Answer
from scionary.web.due.lines import line_key, shown
from scionary.web.pages import go_to, now_at, remember_undo, tell, today_at, way_back
from scionary.web.typing_in import sent_id, who


@require_GET
def due_page(request: HttpRequest) -> HttpResponse:
    """The first line as one thing to do, then the rest, then the coming week."""
    answer = due(today=today_at(request))
    context = {
        "due": answer,
        "empty": not Plant.objects.exists(),
        "main": shown(answer.lines[0]) if answer.lines else None,
        "then": [shown(line) for line in answer.first[1:]],
        "behind": [shown(line) for line in answer.behind],
    }
    return render(request, "due/due.html", context)


@require_POST
def done(request: HttpRequest) -> HttpResponse:
    """Write down that a line was done: its event, about its dome or each of its plants. Sent twice, it finds its line gone."""
    now = now_at(request)
    line, answers = _write_called(request.POST.get("line", ""), now, sent_id(request), who(request))
    if line is None or not answers:
        tell(request, "That line stands no longer: it is written down already, or something else has changed.")
    else:
        remember_undo(request, line.what, [answer.id for answer in answers])
        tell(request, f"Written down: {line.what}.", sorted({flag for answer in answers for flag in answer.flags}))
    return go_to(way_back(request, "/due/"))


@patiently
def _write_called(key: str, now: datetime, event_id: UUID, who: str) -> tuple[DueLine | None, list[Answer]]:
    with transaction.atomic():
        line = _line_called(key, due(today=now.date()))
        return line, _write(line, now, event_id, who) if line else []


def _write(line: DueLine, now: datetime, event_id: UUID, who: str) -> list[Answer]:
    if line.event is None:
        return []
    kind, payload = line.event
    keys = [line.dome.key] if line.dome else [plant.key for plant in line.plants]
    return write_many([(kind, key, dict(payload)) for key in keys], happened_at=now, now=now, who=who, event_id=event_id)


def _line_called(key: str, answer: DueAnswer) -> DueLine | None:
    return next((line for line in answer.lines if line_key(line) == key), None)
