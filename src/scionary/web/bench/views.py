"""Bench: set it once, then write each graft down with one tap."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.bench import advice, bench_answer, bench_called, last_setup
from scionary.answers.bench_setting import graft_here, last_thickness, recent_days, set_bench, to_make
from scionary.answers.chances import alive_words
from scionary.answers.labels import labels_pdf
from scionary.answers.standing import plants_already_standing, preview_standing
from scionary.answers.undoing import undo_once
from scionary.book import queries
from scionary.book.models import BenchDay, Cultivar, Graft
from scionary.errors import Refused
from scionary.files.grids import GRIDS
from scionary.web.bench.forms import BenchForm, GraftForm, StandingForm, begin_with, setup_as_typed
from scionary.web.printing import pdf_response, sheet_wanted
from scionary.web.typing_in import sent_id, show_refusal, who


@require_GET
def bench(request: HttpRequest) -> HttpResponse:
    """Bench days, what the plan still wants, and the way to begin."""
    nursery, today = queries.nursery(), timezone.localdate()
    form = BenchForm(nursery=nursery, initial=begin_with(last_setup(today), today))
    context = {"days": recent_days(), "wanted": to_make(today, nursery), "form": form, "today": today}
    return render(request, "bench/bench.html", context)


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Set the bench; what is made already is written down with it."""
    nursery, today = queries.nursery(), timezone.localdate()
    if request.method == "GET":
        initial = begin_with(last_setup(today), today) | {"cultivar": _asked_cultivar(request)}
        return render(request, "bench/new.html", {"form": BenchForm(nursery=nursery, initial=initial)})
    form = BenchForm(request.POST, nursery=nursery)
    if form.is_valid():
        try:
            count = form.cleaned_data["count"] or 0
            done = set_bench(form.setting(), count=count, nursery=nursery, now=timezone.now(), ident=sent_id(request), who=who(request))
        except Refused as refusal:
            show_refusal(form, refusal)
        else:
            _say(request, done.new, done.written.flags if done.written else [])
            return redirect(_address(done.bench, form))
    return render(request, "bench/new.html", {"form": form}, status=422)


@require_GET
def day(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One bench day: the next graft first."""
    found = bench_called(ident)
    stock, scion = last_thickness(found)
    nursery = queries.nursery()
    form = GraftForm(nursery=nursery, initial={"stock": stock, "scion": scion})
    if "stock" in request.GET or "scion" in request.GET:
        form.initial |= {name: request.GET.get(name, "")[:40] for name in ("stock", "scion")}
    return _day_page(request, found, form)


@require_POST
def graft(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Write down the next graft, or so many alike."""
    found, nursery = bench_called(ident), queries.nursery()
    form = GraftForm(request.POST, nursery=nursery)
    if not form.is_valid():
        return _day_page(request, found, form, status=422)
    stock, scion = form.cleaned_data["stock"], form.cleaned_data["scion"]
    count, now = form.cleaned_data["count"] or 1, timezone.now()
    written = graft_here(
        found, count, stock_mm=stock, scion_mm=scion, nursery=nursery, now=now, event_id=sent_id(request), who=who(request)
    )
    _say(request, [], written.flags)
    return redirect(_address(found, form))


@require_POST
def undo(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Undo one graft of this bench day; sent twice, it is undone once."""
    found = bench_called(ident)
    made = Graft.objects.filter(bench=found, pk=sent_id(request)).select_related("plant__cultivar").first()
    if made is not None:
        name = made.plant.spoken
        undo_once(made.pk, now=timezone.now(), who=who(request))
        messages.success(request, f"{name} is undone. Throw its label away: its code is not used again.")
    return redirect("bench:day", ident=ident)


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Change what is set for a bench day; grafts already written keep what they were written with."""
    found, nursery = bench_called(ident), queries.nursery()
    if request.method == "GET":
        return render(
            request, "bench/change.html", {"form": BenchForm(nursery=nursery, changing=True, initial=setup_as_typed(found)), "bench": found}
        )
    form = BenchForm(request.POST, nursery=nursery, changing=True)
    if form.is_valid():
        try:
            done = set_bench(form.setting(), nursery=nursery, now=timezone.now(), ident=found.pk, change=found, who=who(request))
        except Refused as refusal:
            show_refusal(form, refusal)
        else:
            _say(request, done.new, [])
            return redirect("bench:day", ident=ident)
    return render(request, "bench/change.html", {"form": form, "bench": found}, status=422)


@require_GET
def labels(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The labels of a bench day as PDF."""
    found = bench_called(ident)
    nursery = queries.nursery()
    plants = list(reversed(bench_answer(found).made))
    sheets = labels_pdf(plants, nursery=nursery, **sheet_wanted(request))
    return pdf_response(sheets.pdf, f"labels-{found.day.isoformat()}.pdf")


@require_http_methods(["GET", "POST"])
def standing(request: HttpRequest) -> HttpResponse:
    """Begin in the middle of a season: look first, then write down."""
    today = timezone.localdate()
    if request.method == "GET":
        return render(
            request, "bench/standing.html", {"form": StandingForm(today=today, initial={"dome": request.GET.get("dome", "")[:60]})}
        )
    form = StandingForm(request.POST, today=today)
    if not form.is_valid():
        return render(request, "bench/standing.html", {"form": form}, status=422)
    if "accept" not in request.POST:
        return render(
            request, "bench/standing.html", {"form": form, "preview": preview_standing(form.lines), "grafted": form.cleaned_data["grafted"]}
        )
    dome, written = _write_standing(request, form)
    messages.success(request, written.words)
    for name in written.new_cultivars:
        messages.info(request, f"{name} is new to the book and was added as a cultivar.")
    _say(request, [], list(written.flags))
    return redirect(f"/domes/{dome}/" if dome else "/plants/")


def _write_standing(request: HttpRequest, form: StandingForm) -> tuple[UUID | None, Any]:
    data, now = form.cleaned_data, timezone.now()
    written = plants_already_standing(
        data["dome"],
        form.lines,
        grafted=data["grafted"],
        method=data["method"].pk if data["method"] else None,
        now=now,
        who=who(request),
        event_id=sent_id(request),
    )
    return written.dome, written


def _day_page(request: HttpRequest, found: BenchDay, form: GraftForm, *, status: int = 200) -> HttpResponse:
    answer = bench_answer(found)
    context = {
        "answer": answer,
        "bench": found,
        "form": form,
        "last": answer.made[0] if answer.made else None,
        "last_graft": _graft_of(answer.made[0]) if answer.made else None,
        "alive": alive_words(answer.made) if answer.made else "",
        "advice": _advice(found, form),
        "sheets": list(GRIDS),
    }
    return render(request, "bench/day.html", context, status=status)


def _advice(found: BenchDay, form: GraftForm) -> dict[str, Any] | None:
    """The line on thickness, where both are known and a method is set."""
    bound = form.is_bound and form.is_valid()
    values = form.cleaned_data if bound else {name: form.fields[name].clean_or_none(form.initial.get(name)) for name in ("stock", "scion")}  # type: ignore[attr-defined]
    stock, scion = values.get("stock"), values.get("scion")
    if not (stock and scion and found.method):
        return None
    advised, words = advice(found.method, stock, scion, queries.nursery())
    return {
        "fits": advised.fits,
        "words": words,
        "stock_mm": stock,
        "scion_mm": scion,
        "low": found.method.ratio_low,
        "high": found.method.ratio_high,
    }


def _graft_of(plant: Any) -> Graft:
    return list(plant.grafts.all())[-1]


def _address(found: BenchDay, form: Any) -> str:
    """The bench day's address; thickness typed before the first graft travels along."""
    return f"/bench/{found.pk}/" + form.carried


def _asked_cultivar(request: HttpRequest) -> str:
    known = Cultivar.objects.filter(spoken__iexact=request.GET.get("cultivar", "")[:60]).first()
    return known.spoken if known else ""


def _say(request: HttpRequest, new: list[str], flags: list[str]) -> None:
    for word in new:
        messages.info(request, word)
    for flag in flags:
        messages.warning(request, f"Flagged, and written down all the same: {flag}.")
