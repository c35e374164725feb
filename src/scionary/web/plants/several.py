"""One record about several plants: tick them on the list, then say once what happened."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from scionary.answers.early import still_closed
from scionary.answers.leaving import kind_words
from scionary.answers.words import listed, plural
from scionary.book import queries
from scionary.book.models import Plant
from scionary.book.texts import later
from scionary.errors import Refused
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell, today_at, way_back
from scionary.web.plants.before_sale import ask_first, write_as_decided, written_of
from scionary.web.plants.forms import SeveralForm, usual_day
from scionary.web.typing_in import attempt, said_id, who
from scionary.web.undoing import read_id

# What can be written about many at once, with the words on its button.
FOR_ALL = {
    "potted_on": later("potted on"),
    "moved": later("moved"),
    "wintered_in": later("in for winter"),
    "wintered_out": later("out after winter"),
    "left": later("sold or given away"),
    "headed_back": later("headed back"),
    "untied": later("untied"),
    "staked": later("staked"),
    "name_confirmed": later("name confirmed"),
    "name_doubted": later("name in doubt"),
    "name_doubt_ended": later("doubt in the name ended"),
    "treated": later("treated"),
    "quarantined": later("in quarantine"),
    "released": later("out of quarantine"),
    "relabelled": later("labels written again"),
    "observed": later("a note"),
}
_NAMES_SHOWN = 12


@require_POST
def several(request: HttpRequest) -> HttpResponse:
    """The form for the plants that were ticked; sent back, it is written about all of them or none."""
    kind = request.POST.get("kind", "")
    if kind not in FOR_ALL:
        raise Refused(
            say("{kind!r} cannot be written about several plants.", kind=kind[:30]),
            where="several",
            remedy=say("Choose one that is offered."),
        )
    plants, nursery = _ticked(request), nursery_of(request)
    context: dict[str, Any] = {
        "plants": plants,
        "kind": kind,
        "words": FOR_ALL[kind],
        "names": listed([p.spoken for p in plants], most=_NAMES_SHOWN),
    }
    context["back"] = way_back(request, "/plants/")
    if "write" not in request.POST:
        on = usual_day(kind, today_at(request), nursery)
        form = SeveralForm(kind=kind, nursery=nursery, initial={"on": on, "medium": request.POST.get("medium", "")[:30]})
        return render(request, "plants/several.html", {**context, "form": form})
    form = SeveralForm(request.POST, kind=kind, nursery=nursery)
    answer = _write_down(request, form, plants, context["back"]) if form.is_valid() else None
    return answer or form_page(request, "plants/several.html", {**context, "form": form}, form)


def _write_down(request: HttpRequest, form: SeveralForm, plants: list[Plant], back: str) -> HttpResponse | None:
    """Write what the form says about all, or ask first; None where it was refused."""
    now, kind, payload = now_at(request), form.kind, form.payload()
    moment = form.moment(now)
    given: dict[str, Any] = {"happened_at": moment, "now": now, "who": who(request), "event_id": said_id(request)}
    if asked := ask_first(request, kind, plants, payload, moment):
        return asked
    done = attempt(form, lambda: write_as_decided(request, kind, plants, payload, **given))
    if done is None:
        return None
    if written := written_of(done, plants):
        said = f"{plural(len(written), 'plant')}: {say('note') if kind == 'observed' else kind_words(kind, payload)}"
        remember_undo(request, said, done.events)
        tell(request, say("Written down for {said}.", said=said), [*done.flags, *still_closed(kind, written, moment, form.nursery)])
    else:
        tell(request, say("Nothing is written down: all of them are still here."))
    for words in done.words if kind != "moved" else ():
        messages.info(request, words)
    return go_to(back)


def _ticked(request: HttpRequest) -> list[Plant]:
    """The plants that were ticked, or all that were shown."""
    field = "shown" if request.POST.get("all") else "plant"
    wanted: list[UUID] = [read_id(text, "plant") for text in request.POST.getlist(field)]
    if not wanted:
        raise Refused(say("no plant is ticked."), where="several", remedy=say("Go back, tick the plants, and choose again."))
    if len(wanted) > LIMITS["batch_grafts"]:
        raise Refused(
            say("{wanted} plants at once.", wanted=len(wanted)),
            where="several",
            remedy=say("Tick at most {batch_grafts}.", batch_grafts=LIMITS["batch_grafts"]),
        )
    return list(queries.plants().filter(pk__in=wanted))
