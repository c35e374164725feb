"""Trials: a list, the plan of a new one, and each with its trays and what it says."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.rates import usual_stage
from scionary.answers.trial_notes import count_again, leave_out, put_away
from scionary.answers.trial_planning import keep_trial, plan_trial
from scionary.answers.trial_sheet import trial_sheet_pdf
from scionary.answers.trials import TrialAnswer, trial_answer, trials
from scionary.book.models import Dome
from scionary.errors import Refused
from scionary.language import say
from scionary.web.findings.trial_forms import LeftOutForm, TrialForm
from scionary.web.pages import form_page, go_to, now_at, tell, today_at
from scionary.web.printing import pdf_response
from scionary.web.typing_in import attempt, sent_id, who


@require_GET
def listed(request: HttpRequest) -> HttpResponse:
    """All trials, the latest first."""
    answers = trials(today=today_at(request), all_trials=True)
    context = {"answers": [a for a in answers if not a.trial.retired], "away": [a for a in answers if a.trial.retired]}
    return render(request, "findings/trials.html", context)


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Plan a trial: first what it can tell, then the lot is drawn and kept."""
    form = TrialForm(request.POST or None, today=today_at(request), stage=usual_stage())
    context: dict[str, Any] = {"form": form, "plan": None, "no_domes": not Dome.objects.filter(retired=False).exists()}
    if request.method == "POST" and form.is_valid():
        ask = form.ask()
        if request.POST.get("keep") == "1":
            made = attempt(form, lambda: keep_trial(ask, now=now_at(request), ident=sent_id(request), who=who(request)))
            if made is not None:
                tell(request, say("The lot is drawn: {made}. Print the bench sheet before you graft.", made=made))
                return go_to(f"/findings/trials/{made.pk}/")
        context["plan"] = attempt(form, lambda: plan_trial(ask, today=today_at(request)))
    return form_page(request, "findings/trial_new.html", context, form)


@require_GET
def trial(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One trial: what it says, its arms, its trays."""
    differ = request.GET.get("differ", "")
    if differ not in ("", "1"):
        raise Refused(say("{differ!r} is no way to compare.", differ=differ[:20]), where="differ", remedy=say("Give 1, or leave it out."))
    return _page(request, trial_answer(ident, today=today_at(request), interaction=differ == "1"))


@require_POST
def out(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Note what did not go as laid out."""
    answer = trial_answer(ident, today=today_at(request))
    form = LeftOutForm(request.POST, answer=answer)
    if form.is_valid():
        noted = attempt(form, lambda: leave_out(ident, now=now_at(request), who=who(request), **form.note()))
        if noted is not None:
            place = form.cleaned_data["place"]
            where = answer.layout.tray_names[form.cleaned_data["block"]]
            where = say("{dome}, place {place}", dome=where, place=place) if place else where
            late = trial_answer(ident, today=today_at(request)).late_words
            tell(request, " ".join([say("Noted: {where} is left out.", where=where), *([late] if late else [])]))
            return go_to(f"/findings/trials/{ident}/")
    return _page(request, answer, form)


@require_POST
def back(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Count a place again that was left out."""
    block, place = (request.POST.get(name, "") for name in ("block", "place"))
    if not all(text.isascii() and text.isdigit() and len(text) < 6 for text in (block, place)):
        raise Refused(say("it does not say which place."), where="place", remedy=say("Use the button beside the place."))
    count_again(ident, block=int(block), place=int(place), now=now_at(request), who=who(request))
    tell(request, say("It counts again."))
    return go_to(f"/findings/trials/{ident}/")


@require_POST
def away(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Put a trial away, or bring it back."""
    gone = request.POST.get("back") != "1"
    found = put_away(ident, away=gone, now=now_at(request), who=who(request))
    tell(request, say("Put away: {trial}.", trial=found) if gone else say("Back: {trial}.", trial=found))
    return go_to("/findings/trials/")


@require_GET
def sheet(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The bench sheet on paper."""
    return pdf_response(trial_sheet_pdf(ident, today=today_at(request)), f"bench-sheet-{ident}.pdf")


def _page(request: HttpRequest, answer: TrialAnswer, sent: LeftOutForm | None = None) -> HttpResponse:
    form = sent or LeftOutForm(answer=answer)
    return form_page(request, "findings/trial.html", {"answer": answer, "form": form, "wrong": sent is not None}, form)
