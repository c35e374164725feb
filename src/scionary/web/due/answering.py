"""A line of Due that is not for now: put off until a day, or not needed; and asked again."""

from __future__ import annotations

from datetime import date

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from scionary.answers.due import due
from scionary.answers.due_step_words import step_words
from scionary.answers.put_off import NOT_NEEDED, PUT_OFF, SetAside, answer_line, standing_asides
from scionary.answers.things import things
from scionary.answers.words import listed
from scionary.book.models import Nursery
from scionary.book.texts import later
from scionary.language import say
from scionary.web.due.lines import line_key
from scionary.web.pages import go_to, now_at, remember_undo, tell, today_at, way_back
from scionary.web.templatetags.said import day as day_words
from scionary.web.typing_in import DayField, sent_id, who


class PutOffForm(forms.Form):
    """Until when a line is put off."""

    until = DayField(label=later("Ask again on"))


@require_POST
def answer(request: HttpRequest) -> HttpResponse:
    """Put the line off, or say that it is not needed; the line asks again, or the answer is undone."""
    today, back = today_at(request), way_back(request, "/due/")
    line = next((each for each in due(today=today).lines if line_key(each) == request.POST.get("line", "")), None)
    if line is None:
        tell(request, say("That line stands no longer: it is written down already, or something else has changed."))
        return go_to(back)
    given = NOT_NEEDED if request.POST.get("answer") == NOT_NEEDED else PUT_OFF
    form = PutOffForm(request.POST)
    until = form.cleaned_data["until"] if given == PUT_OFF and form.is_valid() else None
    events = answer_line(
        line.step, line.about, given, today=today, now=now_at(request), until=until, who=who(request), event_id=sent_id(request)
    )
    if events:
        said = say("put off until {day}", day=day_words(until)) if until else say("not needed")
        remember_undo(request, f"{line.what}: {said}", events)
        tell(request, f"{line.what}: {said}.")
    return go_to(back)


def asides_shown(nursery: Nursery, today: date) -> list[tuple[SetAside, str]]:
    """What is put off or not needed, each with the words for it."""
    found = standing_asides(nursery, today)
    named = things({key for aside in found for key in sorted(aside.keys)[:4] if not key.startswith("nursery:")}, nursery.zone)
    return [(aside, _aside_words(aside, {key: thing.words for key, thing in named.items()})) for aside in found]


def _aside_words(aside: SetAside, named: dict[str, str]) -> str:
    about = [named[key] for key in sorted(aside.keys)[:4] if key in named]
    what = f"{step_words(aside.line)}{': ' if about else ''}{listed(about, most=4, of=len(aside.keys)) if about else ''}"
    return f"{what}, {say('put off until {day}', day=day_words(aside.until)) if aside.until else say('not needed')}"
