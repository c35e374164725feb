"""A bench day put right as a whole: look first, then correct or undo all of it."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from scionary.answers.bench import bench_called
from scionary.answers.bench_correcting import as_it_is, change_words, correct_day, grafts_of, more_written, undo_day
from scionary.answers.words import listed, plural
from scionary.language import say
from scionary.web.bench.forms import CorrectDayForm, ahead_words
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, tell_kept_as, today_at
from scionary.web.typing_in import attempt, who

_WORDS_SHOWN = 4  # messages travel in a cookie, which is short


@require_http_methods(["GET", "POST"])
def correct(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Say what was wrong, see what would change, then correct every graft of the day."""
    found, nursery = bench_called(ident), nursery_of(request)
    made = len(grafts_of(found))
    form = CorrectDayForm(request.POST if request.method == "POST" else None, now=as_it_is(found, nursery))
    context = {"bench": found, "made": made, "form": form}
    if request.method == "GET" or not form.is_valid():
        return form_page(request, "bench/correct.html", context, form)
    change = form.change()
    if "accept" not in request.POST:
        words = change_words(found, change, nursery)
        ahead = ahead_words(change.day, today_at(request)) if change.day else ""
        if not words:
            form.add_error(None, say("They say that already."))
        return form_page(request, "bench/correct.html", {**context, "words": words, "ahead": ahead}, form)
    done = attempt(form, lambda: correct_day(found, change, nursery=nursery, now=now_at(request), who=who(request)))
    if done is None:
        return form_page(request, "bench/correct.html", context, form)
    remember_undo(request, say("{grafts} corrected", grafts=plural(made, "graft")), done.events)
    tell(request, say("Corrected: {grafts}. What they said before stays in their stories.", grafts=plural(made, "graft")), done.flags)
    tell_kept_as(request, form)
    _tell_what_gave_way(request, done.words)
    return go_to(f"/bench/{ident}/")


def _tell_what_gave_way(request: HttpRequest, words: list[str]) -> None:
    """The first names and places that gave way, and how many more."""
    for told in words[:_WORDS_SHOWN]:
        messages.info(request, told)
    if words[_WORDS_SHOWN:]:
        more = len(words) - _WORDS_SHOWN
        messages.info(request, say("The same for {number} more; their names and places stand below.", number=more))


@require_http_methods(["GET", "POST"])
def undo_all(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Undo every graft of the day, after asking."""
    found = bench_called(ident)
    grafts = grafts_of(found)
    if request.method == "GET":
        names = listed([graft.plant.spoken for graft in grafts], most=12)
        return render(request, "bench/undo_all.html", {"bench": found, "made": len(grafts), "names": names, "more": more_written(found)})
    done = undo_day(found, now=now_at(request), who=who(request))
    if done.answers:
        remember_undo(request, say("{grafts} undone", grafts=plural(len(grafts), "graft")), done.events)
        tell(
            request, say("Undone: {grafts}. Throw their labels away: their codes are not used again.", grafts=plural(len(grafts), "graft"))
        )
    return go_to(f"/bench/{ident}/")
