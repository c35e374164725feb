"""A method's after-care and practices: data that a person edits."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST

from scionary.answers.method_care import add_practice, drop_step, method_called, pick_practice, save_step, step_at
from scionary.language import say
from scionary.web.pages import form_page, go_to, now_at, tell
from scionary.web.records.forms import PracticeForm, StepForm
from scionary.web.typing_in import Offering, attempt, who


@require_http_methods(["GET", "POST"])
def step(request: HttpRequest, ident: UUID, place: int | None = None) -> HttpResponse:
    """Change one step, or add one."""
    method = method_called(ident)
    before = step_at(method, place) if place is not None else {}
    form = StepForm(request.POST or None, initial={"source": say("my own practice"), **before, "was": before.get("say", "")})
    names = [practice["name"] for topic in method.practices for practice in topic["practices"]]
    form.fields["practice"].widget = Offering(names)
    if request.method == "POST" and form.is_valid():
        given: dict[str, Any] = {"was": form.cleaned_data["was"], "now": now_at(request), "who": who(request)}
        if attempt(form, lambda: save_step(ident, place, form.values(), **given)) is not None:
            tell(request, say("Kept: {what}.", what=form.cleaned_data["say"]))
            return go_to(f"/book/methods/{ident}/")
    return form_page(request, "records/step.html", {"form": form, "method": method, "place": place, "before": before}, form)


@require_POST
def out(request: HttpRequest, ident: UUID, place: int) -> HttpResponse:
    """Take a step out."""
    drop_step(ident, place, was=request.POST.get("was", ""), now=now_at(request), who=who(request))
    tell(request, say("The step is taken out."))
    return go_to(f"/book/methods/{ident}/")


@require_POST
def pick(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Pick one of the practices that stand side by side."""
    method_called(ident)
    topic, name = request.POST.get("topic", ""), request.POST.get("name", "")
    pick_practice(ident, topic, name, now=now_at(request), who=who(request))
    tell(request, say("{topic}: {name}. The dates of domes follow it from now on.", topic=topic, name=name))
    return go_to(f"/book/methods/{ident}/")


@require_http_methods(["GET", "POST"])
def practice(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Put another practice beside the others."""
    method = method_called(ident)
    form = PracticeForm(request.POST or None)
    form.fields["topic"].widget = Offering(topic["topic"] for topic in method.practices)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        plain = {name: data[name] for name in ("name", "says", "source")}
        if attempt(form, lambda: add_practice(ident, data["topic"], plain, now=now_at(request), who=who(request))) is not None:
            tell(request, say("Kept: {what}.", what=data["name"]))
            return go_to(f"/book/methods/{ident}/")
    return form_page(request, "records/practice.html", {"form": form, "method": method}, form)
