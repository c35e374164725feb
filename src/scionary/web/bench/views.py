"""Bench: set it once, then write each graft down with one tap."""

from __future__ import annotations

from collections import Counter
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.bags_undone import undone_words
from scionary.answers.bench import bench_answer, bench_called, last_setup
from scionary.answers.bench_join import BenchAdvice, bench_advice
from scionary.answers.bench_setting import (
    cultivars_said,
    graft_here,
    last_label,
    last_thickness,
    recent_days,
    set_bench,
    to_make,
    write_standing,
)
from scionary.answers.blade import day_lines
from scionary.answers.called import called
from scionary.answers.chances import alive_words
from scionary.answers.domes import no_room_words
from scionary.answers.label_media import label_media, unknown_words
from scionary.answers.labelled import wrong_labels_of_day
from scionary.answers.labels import labels_pdf
from scionary.answers.labels_ahead import counted, numbers_on_labels
from scionary.answers.protected import protected_words
from scionary.answers.standing import preview_standing
from scionary.answers.undoing import undo_once
from scionary.book.commands import Written
from scionary.book.models import BenchDay, Cultivar, Graft, Nursery, ScionBag
from scionary.language import say
from scionary.web.bench.forms import BenchForm, GraftForm, StandingForm, ahead_words, begin_with, setup_as_typed
from scionary.web.held_pages import held_page
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell_kept_as, today_at
from scionary.web.printing import before_printing, pdf_response, sheet_wanted
from scionary.web.typing_in import attempt, said_id, sent_id, who
from scionary.web.undoing import read_id

_SHOWN = 20
_CARRIED = ("stock", "scion", "label_medium", "label_light")


@require_GET
@held_page
def bench(request: HttpRequest) -> HttpResponse:
    """Bench days, what the plan still wants, and the way to begin."""
    nursery, today = nursery_of(request), today_at(request)
    form = BenchForm(nursery=nursery, today=today, initial=begin_with(last_setup(today), today, nursery))
    days = recent_days()
    context = {"here": [each for each in days if each.bench.day == today], "days": days, "wanted": to_make(today, nursery), "form": form}
    return render(request, "bench/bench.html", context)


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Set the bench; what is made already is written down with it."""
    nursery, today = nursery_of(request), today_at(request)
    if request.method == "GET":
        asked = _asked_cultivar(request)
        initial = begin_with(last_setup(today), today, nursery) | ({"cultivar": asked.spoken} if asked else _from_bag(request))
        context = {"form": BenchForm(nursery=nursery, today=today, initial=initial), "protected": protected_words(asked, today)}
        return render(request, "bench/new.html", context)
    form = BenchForm(request.POST, nursery=nursery, today=today)
    if form.is_valid():
        given: dict[str, Any] = {"count": form.cleaned_data["count"] or 0, "ident": sent_id(request), "who": who(request)}
        done = attempt(form, lambda: set_bench(form.setting(), nursery=nursery, now=now_at(request), **given))
        if done is not None:
            tell_kept_as(request, form)
            _say(request, done.new, done.written.flags if done.written else [])
            return go_to(f"/bench/{done.bench.pk}/{_carried(form)}")
    return form_page(request, "bench/new.html", {"form": form}, form)


@require_GET
def day(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One bench day: the next graft first."""
    found = bench_called(ident)
    stock, scion = last_thickness(found)
    label = last_label(found)
    carried = {name: request.GET[name][:40] for name in _CARRIED if name in request.GET}
    initial = {"stock": stock, "scion": scion, "label_medium": label.medium, "label_light": label.light, **carried}
    form = GraftForm(nursery=nursery_of(request), initial=initial)
    return day_page(request, found, form)


@require_POST
def graft(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Write down the next graft, or so many alike."""
    found, nursery = bench_called(ident), nursery_of(request)
    form = GraftForm(request.POST, nursery=nursery)
    if form.is_valid():
        stock, scion = form.thickness()
        given: dict[str, Any] = {"stock_mm": stock, "scion_mm": scion, "event_id": said_id(request), "who": who(request)}
        given |= {"label": form.label_here(), **form.cut()}

        def write() -> Written:
            numbers = numbers_on_labels(form.cleaned_data["codes"])
            count = counted(form.cleaned_data["count"], numbers)
            return graft_here(found, count, nursery=nursery, now=now_at(request), numbers=numbers, **given)

        written = attempt(form, write)
        if written is not None:
            request.session.pop("last_written", None)  # the page has an Undo for the graft, which is the last now
            _say(request, [], written.flags)
            return go_to(f"/bench/{ident}/")
    return day_page(request, found, form)


@require_POST
def undo(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Undo one graft of this bench day; sent twice, it is undone once."""
    found = bench_called(ident)
    made = Graft.objects.filter(bench=found, pk=sent_id(request)).select_related("plant__cultivar").first()
    if made is not None:
        name = made.plant.spoken
        undo_once(made.pk, now=now_at(request), who=who(request))
        messages.success(request, say("{name} is undone. Throw its label away: its code is not used again.", name=name))
    return go_to(f"/bench/{ident}/")


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Change what is set for a bench day; grafts already written keep what they were written with."""
    found, nursery = bench_called(ident), nursery_of(request)
    if request.method == "GET":
        form = BenchForm(nursery=nursery, today=today_at(request), changing=True, initial=setup_as_typed(found))
        return render(request, "bench/change.html", {"form": form, "bench": found})
    form = BenchForm(request.POST, nursery=nursery, today=today_at(request), changing=True)
    if form.is_valid():
        given: dict[str, Any] = {"ident": found.pk, "change": found, "who": who(request)}
        done = attempt(form, lambda: set_bench(form.setting(), nursery=nursery, now=now_at(request), **given))
        if done is not None:
            tell_kept_as(request, form)
            _say(request, done.new, [])
            return go_to(f"/bench/{ident}/")
    return form_page(request, "bench/change.html", {"form": form, "bench": found}, form)


@require_GET
def labels(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The labels of a bench day as PDF, or those alone that must be written again."""
    found = bench_called(ident)
    plants = [plant for plant, _ in wrong_labels_of_day(found)] if "again" in request.GET else list(reversed(bench_answer(found).made))
    nursery = nursery_of(request)
    sheets = labels_pdf(plants, nursery=nursery, **sheet_wanted(request, nursery))
    return pdf_response(sheets.pdf, f"labels-{found.day.isoformat()}.pdf")


@require_http_methods(["GET", "POST"])
def standing(request: HttpRequest) -> HttpResponse:
    """Begin in the middle of a season: look first, then write down."""
    if request.method == "GET":
        form = StandingForm(today=today_at(request), initial={"dome": request.GET.get("dome", "")[:60]})
        return render(request, "bench/standing.html", {"form": form})
    form = StandingForm(request.POST, today=today_at(request))
    if not form.is_valid():
        return form_page(request, "bench/standing.html", {"form": form}, form)
    if "accept" not in request.POST:
        return _look_first(request, form)
    done = attempt(form, lambda: write_standing(**form.given(), now=now_at(request), event_id=sent_id(request), who=who(request)))
    if done is None:
        return form_page(request, "bench/standing.html", {"form": form}, form)
    dome, written = done
    messages.success(request, written.words)
    _say(
        request,
        [say("{name} is new to the book and was added as a cultivar.", name=name) for name in written.new_cultivars],
        list(written.flags),
    )
    return go_to(f"/domes/{dome.pk}/" if dome else "/plants/")


def _look_first(request: HttpRequest, form: StandingForm) -> HttpResponse:
    """What would be written of plants that stand already."""
    grafted, dome = form.cleaned_data["grafted"], form.given()["dome"]
    context = {
        "form": form,
        "preview": preview_standing(form.lines),
        "grafted": grafted,
        "ahead": ahead_words(grafted.day, today_at(request)),
        "no_room": no_room_words(dome, sum(line.count for line in form.lines)) if dome else "",
    }
    return render(request, "bench/standing.html", context)


def day_page(request: HttpRequest, found: BenchDay, form: GraftForm) -> HttpResponse:
    """One bench day with a form as it stands; what was typed and is not written yet stands open."""
    answer = bench_answer(found)
    last = answer.made[0] if answer.made else None
    context = {
        "answer": answer,
        "bench": found,
        "today": found.day == today_at(request),
        "day_lines": day_lines(found, answer.made, nursery_of(request), most=_SHOWN),
        "cultivars": cultivars_said(found, Counter(str(plant.cultivar) for plant in answer.made)),
        "form": form,
        "last": last,
        "last_graft": list(last.grafts.all())[-1] if last else None,
        "alive": alive_words(answer.made) if answer.made else "",
        "wrong_labels": wrong_labels_of_day(found),
        "protected": protected_words(found.cultivar, today_at(request)),
        "bag_undone": undone_words(found.bag),
        "cautions": before_printing(request, answer.made),
        "unknown_medium": unknown_words(last.label_medium, label_media(nursery_of(request))) if last else "",
        "advice": advice_of(found, form, nursery_of(request)),
    }
    return form_page(request, "bench/day.html", context, form)


def advice_of(found: BenchDay, form: GraftForm, nursery: Nursery) -> BenchAdvice | None:
    """How to set the scion, where both thicknesses are known and a method is set."""
    stock, scion = form.thickness()
    return bench_advice(found, stock, scion, nursery) if stock and scion else None


def _carried(form: BenchForm) -> str:
    """Thickness and label typed before the first graft travel along in the address."""
    data = form.cleaned_data
    typed = {name: str(form.data.get(name, "")) for name in _CARRIED if data[name] and not data["count"]}
    return f"?{urlencode(typed)}" if typed else ""


def _asked_cultivar(request: HttpRequest) -> Cultivar | None:
    return called(request.GET.get("cultivar", "")[:60]).cultivar


def _from_bag(request: HttpRequest) -> dict[str, str]:
    """The bag in the address, with its cultivar; what is no bag of the book, or none any more, fills nothing in."""
    typed = request.GET.get("bag", "")[:60]
    found = ScionBag.objects.filter(pk=read_id(typed, "bag")).select_related("cultivar").first() if typed else None
    return {"bag": found.name, "cultivar": found.cultivar.spoken} if found and not undone_words(found) else {}


def _say(request: HttpRequest, new: list[str], flags: list[str]) -> None:
    for word in new:
        messages.info(request, word)
    for flag in flags:
        messages.warning(request, say("Flagged, and written down all the same: {flag}.", flag=say(flag)))
