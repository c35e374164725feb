"""Plants: find one, read its story, write something down, put right what was wrong."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.chances import rings
from scionary.answers.disagreeing import disagreeing
from scionary.answers.early import still_closed
from scionary.answers.early_signs import one_reading
from scionary.answers.fading_labels import label_words
from scionary.answers.find import find
from scionary.answers.labelled import label_still_says
from scionary.answers.labels import labels_pdf, plants_to_label
from scionary.answers.leaving import kind_words, left_words
from scionary.answers.new_code import give_new_code, same_code
from scionary.answers.pedigree import forebears
from scionary.answers.plant_lists import FILTERS, filtered
from scionary.answers.putting_right import PutRight, put_right, shared_with_others
from scionary.answers.story import event_of, story_lines
from scionary.answers.undone_grafts import count_undone, undone_grafts
from scionary.book import queries
from scionary.book.called import tidied
from scionary.book.kinds import KINDS
from scionary.book.leafless import stalk_flags
from scionary.book.models import Plant
from scionary.book.texts import later
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.held_pages import held_page
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, tell_kept_as, today_at
from scionary.web.plants.before_sale import ask_first, write_as_decided, written_of
from scionary.web.plants.forms import EventForm, usual_day
from scionary.web.plants.several import FOR_ALL
from scionary.web.plants.waiting import advice_on
from scionary.web.printing import before_printing, pdf_response, sheet_wanted
from scionary.web.typing_in import attempt, said_id, who

# What is written by hand, in the order of a plant's life.
WRITTEN_BY_HAND = (
    "scored", "observed", "moved", "headed_back", "untied", "suckers_rubbed", "staked", "potted_on", "wintered_in", "wintered_out",
    "relabelled", "name_confirmed", "name_doubted", "name_doubt_ended", "quarantined", "released",
    "treated", "watered", "regrafted", "lost", "left",
)  # fmt: skip
_ASKED = {"scored": later("score a sign"), "observed": later("what you see"), "moved": later("move it")}


@require_GET
@held_page
def plants(request: HttpRequest) -> HttpResponse:
    """Search, then a list with filters, a page at a time."""
    asked, state = tidied(request.GET.get("q", ""))[:200], request.GET.get("state", "standing")
    answer = find(asked) if asked else None
    found = queries.plants().filter(pk__in=[p.id for p in answer.plants]) if answer else filtered(state)
    page = Paginator(found, LIMITS["plant_rows"]).get_page(request.GET.get("page"))
    shown = rings(page.object_list)
    zone = nursery_of(request).zone
    context = {
        "asked": asked,
        "answer": answer,
        "cautions": [each.warning for each in answer.plants if each.warning] if answer and not answer.plant else [],
        "page": page,
        "rows": [(plant, shown[plant.id], left_words(plant, zone)) for plant in page.object_list],
        "picking": "pick" in request.GET,
        "for_all": FOR_ALL.items(),
        "filters": [(key, words, key == state) for key, words in FILTERS.items()],
        "rare": state in list(FILTERS)[4:],
        "query": urlencode({"q": asked} if answer else {"state": state}),
        "undone": undone_grafts(LIMITS["page_rows"]) if not answer else [],
        "undone_count": count_undone(),
        "empty": not answer and not page.paginator.count and not queries.plants().exists(),
    }
    return render(request, "plants/plants.html", context)


@require_GET
@held_page
def plant(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One plant: what it is, where it stands, its story."""
    found = queries.plant(ident)
    with one_reading():
        shown = rings([found])[found.id]
        advice, stakes = advice_on(request, found, today_at(request))
    context = {
        "plant": found,
        "advice": advice,
        "stakes": stakes,
        "ring": shown,
        "said": left_words(found, nursery_of(request).zone) or shown.words.removeprefix(f"{found.spoken}: "),
        "shared": [*stalk_flags(found), *shared_with_others(found), *disagreeing(found, nursery_of(request))],
        "label_says": label_still_says(found),
        "label_words": label_words(found, nursery_of(request)),
        "cautions": before_printing(request, [found]),
        "same_code": same_code(found),
        "grafts": list(found.grafts.all()),
        "forebears": forebears(found),
        "became": list(found.mother_trees.all()),
        "story": story_lines(found, nursery_of(request)),
        "kinds": [(kind, _ASKED.get(kind, KINDS[kind].words)) for kind in WRITTEN_BY_HAND],
    }
    return form_page(request, "plants/plant.html", context, stakes)


@require_http_methods(["GET", "POST"])
def write(request: HttpRequest, ident: UUID, kind: str) -> HttpResponse:
    """Write down something that happened to a plant."""
    if kind not in WRITTEN_BY_HAND:
        raise Http404
    found, nursery = queries.plant(ident), nursery_of(request)
    context = {"plant": found, "kind": kind, "words": KINDS[kind].words, "correcting": False}
    if request.method == "GET":
        initial = {"on": usual_day(kind, today_at(request), nursery), **_label_now(request, found, kind)}
        return render(request, "plants/write.html", {**context, "form": EventForm(kind=kind, nursery=nursery, initial=initial)})
    form = EventForm(request.POST, kind=kind, nursery=nursery)
    answer = _write_down(request, form, found) if form.is_valid() else None
    return answer or form_page(request, "plants/write.html", {**context, "form": form}, form)


def _write_down(request: HttpRequest, form: EventForm, found: Plant) -> HttpResponse | None:
    """Write what the form says, or ask first; None where it was refused."""
    now, kind, payload = now_at(request), form.kind, form.payload()
    given: dict[str, Any] = {"happened_at": form.moment(now), "now": now, "who": who(request), "event_id": said_id(request)}
    if asked := ask_first(request, kind, [found], payload, given["happened_at"]):
        return asked
    done = attempt(form, lambda: write_as_decided(request, kind, [found], payload, cultivar=form.new_cultivar, **given))
    if done is None:
        return None
    words = kind_words(kind, payload)
    if written_of(done, [found]):
        remember_undo(request, f"{found.spoken}: {words}", done.events)
        tell_kept_as(request, form)
        _say(request, say("Written down: {words}.", words=words), done, still_closed(kind, [found], given["happened_at"], form.nursery))
    else:
        tell(request, say("Nothing is written down: {found} is still here.", found=found.spoken))
    return go_to(f"/plants/{found.pk}/")


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
        changes, new = form.changes(payload, at), form.new_cultivar
        now = now_at(request)
        given: dict[str, Any] = {"cultivar": new, "now": now, "who": who(request)}
        done = attempt(form, lambda: put_right({event: changes}, **given)) if changes or new else None
        if done is not None:
            remember_undo(request, say("{found}: correction", found=found.spoken), done.events)
            early = still_closed(kind, [found], form.moment(now), nursery) if "happened_at" in changes else []
            tell_kept_as(request, form)
            _say(request, say("Corrected. What it said before stays in the story."), done, early)
        if not form.errors:
            return go_to(f"/plants/{ident}/")
    return form_page(request, "plants/write.html", {**context, "form": form}, form)


@require_POST
def new_code(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Another code for a plant that shares its own."""
    found = queries.plant(ident)
    code, answer = give_new_code(found, now=now_at(request), who=who(request))
    remember_undo(request, say("{found}: new code", found=found.spoken), [answer.id])
    tell(request, say("{found} has the code {code} now. Print its label, and take the old one off.", found=found.spoken, code=code))
    return go_to(f"/plants/{ident}/")


@require_GET
def labels(request: HttpRequest, ident: UUID) -> HttpResponse:
    """The label of one plant as PDF."""
    nursery = nursery_of(request)
    sheets = labels_pdf(plants_to_label([ident]), nursery=nursery, **sheet_wanted(request, nursery))
    return pdf_response(sheets.pdf, "label.pdf")


def _label_now(request: HttpRequest, found: Plant, kind: str) -> dict[str, str]:
    """What a new label is written with: what the address says, else as the one before, which hangs where that hung."""
    if kind != "relabelled":
        return {}
    return {"medium": request.GET.get("medium", found.label_medium)[:30], "light": found.label_light}


def _say(request: HttpRequest, what: str, done: PutRight, early: list[str]) -> None:
    tell(request, what, [*done.flags, *early])
    for words in done.words:
        messages.info(request, words)
