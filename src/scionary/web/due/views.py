"""Due: what is to do, the most pressing first."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.due import due
from scionary.answers.due_lines import DueAnswer, DueLine
from scionary.book.commands import write_many
from scionary.book.models import Plant
from scionary.book.patience import patiently
from scionary.book.record import Answer
from scionary.language import say
from scionary.web.another_day import AnotherDay
from scionary.web.due.answering import asides_shown
from scionary.web.due.lines import line_key, shown
from scionary.web.held_pages import held_page
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, today_at, way_back
from scionary.web.templatetags.said import day as day_words
from scionary.web.typing_in import sent_id, who

MOST_LINES = 25  # of a page; a nursery with a hundred domes has more, a tap further


@require_GET
@held_page
def due_page(request: HttpRequest) -> HttpResponse:
    """The first line as one thing to do, then the rest, then the coming week."""
    return _page(request)


def _page(request: HttpRequest, key: str = "", wrong: AnotherDay | None = None) -> HttpResponse:
    """The page; `wrong` is a day that cannot be taken for the line of this key."""
    today = today_at(request)
    answer = due(today=today)
    many = len(answer.lines) if "all" in request.GET or key else MOST_LINES
    lines = [shown(line, today, wrong if line_key(line) == key else None) for line in answer.lines[:many]]
    first = len(answer.first)
    context = {
        "due": answer,
        "empty": not Plant.objects.exists(),
        "main": lines[0] if lines else None,
        "then": lines[1:first],
        "behind": lines[first:],
        "behind_count": len(answer.behind),
        "further": len(answer.lines) - len(lines),
        "asides": asides_shown(nursery_of(request), today),
        "ahead": answer.ahead[: len(answer.ahead) if "all" in request.GET else MOST_LINES],
        "later": 0 if "all" in request.GET else max(len(answer.ahead) - MOST_LINES, 0),
        "open_behind": any(line.day.is_bound for line in lines[first:]),
    }
    return form_page(request, "due/due.html", context, *([wrong] if wrong else []))


@require_POST
def done(request: HttpRequest) -> HttpResponse:
    """Write down that a line was done: its event, about its dome or each of its plants. Sent twice, it finds its line gone."""
    now, key = now_at(request), request.POST.get("line", "")
    day = AnotherDay(request.POST, today=now.date())
    if not day.is_valid():
        return _page(request, key, day)
    moment = day.moment(now, nursery_of(request))
    line, answers = _write_called(key, now, moment, sent_id(request), who(request))
    if line is None or not answers:
        tell(request, say("That line stands no longer: it is written down already, or something else has changed."))
    else:
        remember_undo(request, line.what, [answer.id for answer in answers])
        when = say(", on {day}", day=day_words(day.earlier)) if day.earlier else ""
        tell(
            request,
            say("Written down: {what}{when}.", what=line.what, when=when),
            sorted({flag for answer in answers for flag in answer.flags}),
        )
        if day.earlier and _line_called(key, due(today=now.date())):
            messages.info(request, say("It stands here still: that day lies before the one on which it fell due."))
    return go_to(way_back(request, "/due/"))


@patiently
def _write_called(key: str, now: datetime, moment: datetime, event_id: UUID, who: str) -> tuple[DueLine | None, list[Answer]]:
    with transaction.atomic():
        line = _line_called(key, due(today=now.date()))
        return line, _write(line, now, moment, event_id, who) if line else []


def _write(line: DueLine, now: datetime, moment: datetime, event_id: UUID, who: str) -> list[Answer]:
    if line.event is None:
        return []
    kind, payload = line.event
    return write_many([(kind, key, dict(payload)) for key in line.about], happened_at=moment, now=now, who=who, event_id=event_id)


def _line_called(key: str, answer: DueAnswer) -> DueLine | None:
    return next((line for line in answer.lines if line_key(line) == key), None)
