"""Plants: find one, read its story, write something down, put right what was wrong."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods

from scionary.answers.chances import rings
from scionary.answers.find import find
from scionary.answers.labels import labels_pdf, plants_to_label
from scionary.answers.plant_lists import FILTERS, filtered
from scionary.answers.story import event_of, story_lines
from scionary.book import commands, queries
from scionary.book.kinds import KINDS
from scionary.files.grids import GRIDS
from scionary.limits import LIMITS
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, today_at
from scionary.web.plants.forms import EventForm
from scionary.web.printing import pdf_response, sheet_wanted
from scionary.web.typing_in import attempt, sent_id, who

# What is written by hand, in the order of a plant's life.
WRITTEN_BY_HAND = (
    "scored", "observed", "moved", "headed_back", "untied", "suckers_rubbed", "staked", "potted_on", "wintered_in", "wintered_out",
    "relabelled", "name_confirmed", "treated", "watered", "regrafted", "lost", "left",
)  # fmt: skip
_ASKED = {"scored": "score a sign", "observed": "what you see", "moved": "move it"}


@require_GET
def plants(request: HttpRequest) -> HttpResponse:
    """Search, then a list with filters, a page at a time."""
    asked, state = request.GET.get("q", "").strip()[:200], request.GET.get("state", "standing")
    answer = find(asked) if asked else None
    found = queries.plants().filter(pk__in=[p.id for p in answer.plants]) if answer else filtered(state)
    page = Paginator(found, LIMITS["page_rows"]).get_page(request.GET.get("page"))
    shown = rings(page.object_list)
    context = {
        "asked": asked,
        "answer": answer,
        "page": page,
        "rows": [(plant, shown[plant.id]) for plant in page.object_list],
        "filters": [(key, words, key == state) for key, words in FILTERS.items()],
        "rare": state in list(FILTERS)[4:],
        "query": urlencode({"state": state}),
        "empty": not answer and not page.paginator.count and not queries.plants().exists(),
    }
    return render(request, "plants/plants.html", context)


@require_GET
def plant(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One plant: what it is, where it stands, its story."""
    found = queries.plant(ident)
    shown = rings([found])[found.id]
    context = {
        "plant": found,
        "ring": shown,
        "said": shown.words.removeprefix(f"{found.spoken}: "),
        "grafts": list(found.grafts.all()),
        "story": story_lines(found, nursery_of(request)),
        "kinds": [(kind, _ASKED.get(kind, KINDS[kind].words)) for kind in WRITTEN_BY_HAND],
        "sheets": list(GRIDS),
    }
    return render(request, "plants/plant.html", context)


@require_http_methods(["GET", "POST"])
def write(request: HttpRequest, ident: UUID, kind: str) -> HttpResponse:
    """Write down something that happened to a plant."""
    if kind not in WRITTEN_BY_HAND:
        raise Http404
    found, nursery = queries.plant(ident), nursery_of(request)
    context = {"plant": found, "kind": kind, "words": KINDS[kind].words, "correcting": False}
    if request.method == "GET":
        return render(
            request, "plants/write.html", {**context, "form": EventForm(kind=kind, nursery=nursery, initial={"on": today_at(request)})}
        )
    form = EventForm(request.POST, kind=kind, nursery=nursery)
    if form.is_valid():
        now = now_at(request)
        given: dict[str, Any] = {"happened_at": form.moment(now), "now": now, "who": who(request), "event_id": sent_id(request)}
        done = attempt(form, lambda: commands.write_event(kind, found.key, form.payload(), **given))
        if done is not None:
            remember_undo(request, f"{found.spoken}: {KINDS[kind].words}", [done.id])
            tell(request, f"Written down: {KINDS[kind].words}.", done.flags)
            return go_to(f"/plants/{ident}/")
    return form_page(request, "plants/write.html", {**context, "form": form}, form)


@require_http_methods(["GET", "POST"])
def correct(request: HttpRequest, ident: UUID, event: UUID) -> HttpResponse:
    """Put right a record; what it said before stays in the story."""
    found, nursery = queries.plant(ident), nursery_of(request)
    kind, at, payload = event_of(found, event)
    context = {"plant": found, "kind": kind, "words": KINDS[kind].words, "correcting": True}
    if request.method == "GET":
        initial = {**payload, "on": at.astimezone(nursery.zone).date()}
        form = EventForm(kind=kind, nursery=nursery, initial=initial)
        return render(request, "plants/write.html", {**context, "form": form})
    form = EventForm(request.POST, kind=kind, nursery=nursery)
    if form.is_valid():
        changes = form.changes(payload, at)
        done = attempt(form, lambda: commands.correct(event, changes, now=now_at(request), who=who(request))) if changes else None
        if done is not None:
            remember_undo(request, f"{found.spoken}: correction", [done.id])
            tell(request, "Corrected. What it said before stays in the story.", done.flags)
        if not form.errors:
            return go_to(f"/plants/{ident}/")
    return form_page(request, "plants/write.html", {**context, "form": form}, form)


@require_GET
def labels(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The label of one plant as PDF."""
    sheets = labels_pdf(plants_to_label([ident]), nursery=nursery_of(request), **sheet_wanted(request))
    return pdf_response(sheets.pdf, "label.pdf")
