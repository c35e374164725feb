"""Domes: a list, and each dome with its tray, its air, its dates and what is done to it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.after_care import next_of_each
from scionary.answers.chances import sign_words
from scionary.answers.dome_card import dome_card_pdf
from scionary.answers.dome_opening import with_opening
from scionary.answers.domes import DomeAnswer, dome_answer
from scionary.answers.due import dome_due
from scionary.answers.learned import at_hand
from scionary.answers.undoing import undone_among
from scionary.book.commands import save_noun, write_event, write_many
from scionary.book.fold import DOME_KINDS
from scionary.book.kinds import KINDS
from scionary.book.models import Dome, Event, Plant
from scionary.errors import Refused
from scionary.language import say
from scionary.units import length_words
from scionary.web.domes.ahead import cards, outlook_shown
from scionary.web.domes.air import air_shown
from scionary.web.domes.forms import DomeForm, LogForm, OutForm, TreatForm, VentForm, WaterForm
from scionary.web.due.lines import shown
from scionary.web.held_pages import held_page
from scionary.web.pages import form_page, go_to, is_part, now_at, nursery_of, remember_undo, tell, today_at
from scionary.web.printing import pdf_response
from scionary.web.templatetags.said import day as day_words
from scionary.web.typing_in import said_id, show_refusal, who

_RECORDS = 8


@require_GET
@held_page
def domes(request: HttpRequest) -> HttpResponse:
    """Domes in use first, each with the one thing to do and its count of the living; then the others."""
    today = today_at(request)
    context = at_hand("domes", today, lambda: cards(nursery_of(request), today))
    return render(request, "domes/domes.html", context)


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Add a dome."""
    form = DomeForm(request.POST or None, nursery=nursery_of(request))
    if request.method == "POST" and form.is_valid():
        try:
            dome = save_noun(Dome, form.cleaned_data, now=now_at(request), who=who(request))
        except Refused as refusal:
            show_refusal(form, refusal)
        else:
            tell(request, say("{dome} is in the book.", dome=dome.name))
            return go_to(f"/domes/{dome.pk}/")
    return form_page(request, "domes/edit.html", {"form": form}, form)


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Change a dome's name, place or size."""
    dome = dome_answer(ident, today=today_at(request)).dome
    form = DomeForm(request.POST or None, nursery=nursery_of(request), dome=dome)
    if request.method == "POST" and form.is_valid():
        try:
            save_noun(Dome, form.cleaned_data, now=now_at(request), pk=ident, who=who(request))
        except Refused as refusal:
            show_refusal(form, refusal)
        else:
            return go_to(f"/domes/{ident}/")
    return form_page(request, "domes/edit.html", {"form": form, "dome": dome}, form)


@require_GET
@held_page
def dome(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One dome; asked for a part, only its air."""
    answer = dome_answer(ident, today=today_at(request))
    if is_part(request):
        return render(request, "domes/_air.html", {"answer": answer, **air_shown(request, answer.dome, grafted=answer.grafted)})
    return dome_page(request, answer)


def dome_page(request: HttpRequest, answer: DomeAnswer, **sent: Any) -> HttpResponse:
    """The page of a dome; `sent` holds a form that could not be taken, in place of the empty one."""
    nursery, today = nursery_of(request), today_at(request)
    empty = {"water": WaterForm(nursery=nursery), "vents": VentForm(), "treat": TreatForm(), "out": OutForm(today=today), "log": LogForm()}
    forms = {**empty, **sent}
    for name, form in forms.items():  # the forms share a page, so each has ids of its own
        form.auto_id = f"{name}_%s"
    lines = [shown(line, today) for line in dome_due(answer, today=today)]
    dated = with_opening(answer, nursery, today)
    context = {
        "answer": answer,
        "lines": lines,
        "dates": next_of_each(step for step in dated.dates(today) if not step.done),
        "forms": forms,
        "wrong": next(iter(sent), ""),
        "records": _records(answer.dome, nursery.length_unit),
        "lost": sum(pot.plant is not None and pot.plant.state == Plant.State.DEAD for pot in answer.pots),
        "size": " × ".join(length_words(side, nursery.length_unit) for side in (answer.dome.length_mm, answer.dome.width_mm)),
        **outlook_shown(answer, nursery, today),
        **air_shown(request, answer.dome, grafted=answer.grafted),
    }
    return form_page(request, "domes/dome.html", context, *sent.values())


@require_POST
def water(request: HttpRequest, ident: UUID) -> HttpResponse:
    return _write(request, ident, "water", "watered", WaterForm(request.POST, nursery=nursery_of(request)))


@require_POST
def vents(request: HttpRequest, ident: UUID) -> HttpResponse:
    return _write(request, ident, "vents", "vented", VentForm(request.POST))


@require_POST
def treat(request: HttpRequest, ident: UUID) -> HttpResponse:
    return _write(request, ident, "treat", "treated", TreatForm(request.POST))


@require_POST
def out(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Move plants out: the lost ones, or all when healing is over."""
    now = now_at(request)
    answer, form = dome_answer(ident, today=now.date()), OutForm(request.POST, today=now.date())
    if not form.is_valid():
        return dome_page(request, answer, out=form)
    everybody = form.cleaned_data["which"] == "all"
    plants = [p.plant for p in answer.pots if p.plant and (everybody or p.plant.state == Plant.State.DEAD)]
    if plants and not Event.objects.filter(pk=said_id(request)).exists():
        stands = {"stands": form.cleaned_data["stands"]} if form.cleaned_data["stands"] else {}
        events = [("moved", plant.key, dict(stands)) for plant in plants]
        moment = form.moment(now, nursery_of(request))
        answers = write_many(events, happened_at=moment, now=now, who=who(request), event_id=said_id(request))
        remember_undo(request, say("{plants} moved out of {dome}", plants=len(plants), dome=answer.dome.name), [a.id for a in answers])
        when = say(", on {day}", day=day_words(form.earlier)) if form.earlier else ""
        tell(
            request,
            say("{plants} moved out of {dome}{when}.", plants=len(plants), dome=answer.dome.name, when=when),
            sorted({flag for a in answers for flag in a.flags}),
        )
    return go_to(f"/domes/{ident}/")


@require_GET
def card(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The paper that hangs on the dome."""
    answer = dome_answer(ident, today=today_at(request))
    return pdf_response(dome_card_pdf(ident, today=today_at(request)), f"dome-card-{answer.dome.pk}.pdf")


def _write(request: HttpRequest, ident: UUID, name: str, kind: str, form: Any) -> HttpResponse:
    """Write one event of a dome from its form."""
    answer = dome_answer(ident, today=today_at(request))
    if not form.is_valid():
        return dome_page(request, answer, **{name: form})
    try:
        done = write_event(
            kind,
            answer.dome.key,
            form.payload(),
            happened_at=form.moment(),
            now=now_at(request),
            who=who(request),
            event_id=said_id(request),
        )
    except Refused as refusal:
        show_refusal(form, refusal)
        return dome_page(request, answer, **{name: form})
    remember_undo(request, f"{answer.dome.name}: {KINDS[kind].words}", [done.id])
    tell(request, say("Written down: {dome}, {what}.", dome=answer.dome.name, what=KINDS[kind].words), done.flags)
    return go_to(f"/domes/{ident}/")


def _records(dome: Dome, length_unit: str) -> list[dict[str, Any]]:
    """What was done to a dome lately, what was undone left out."""
    events = list(Event.objects.filter(subjects__key=dome.key, kind__in=DOME_KINDS).order_by("-happened_at", "-id")[: _RECORDS * 2])
    gone = undone_among(e.id for e in events)
    lately = [e for e in events if e.id not in gone][:_RECORDS]
    return [{"event": e, "words": _words(e, length_unit), "note": e.payload.get("note", "")} for e in lately]


def _words(event: Event, length_unit: str) -> str:
    payload = event.payload
    said = [KINDS[event.kind].words if event.kind != "observed" else say("looked at")]
    if "open_pct" in payload:
        said = [*said, say("{share:.0f} % open", share=payload["open_pct"])] if payload["open_pct"] else [say("vents closed")]
    if "water_mm" in payload:
        said.append(length_words(payload["water_mm"], length_unit))
    said += [sign_words(payload["seen"])] if payload.get("seen") else []
    said += [str(payload[name]) for name in ("product", "reason", "label_says") if payload.get(name)]
    return ", ".join(said)
