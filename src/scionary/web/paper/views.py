"""Paper: all printed sheets, and the page on which one is keyed in, laid out as the paper is."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.paper import printed_lately, sheet_called
from scionary.answers.paper_keying import changes_of, key_sheet, ticked_of, undo_sheet
from scionary.answers.paper_read_back import ticks_standing
from scionary.answers.paper_rows import rows_of, since_printed
from scionary.answers.paper_slots import slot_id, written_of
from scionary.answers.words import plural
from scionary.book import queries
from scionary.book.models import PrintedSheet
from scionary.errors import Refused, ScionaryError
from scionary.files.photos import read_photo, too_heavy
from scionary.language import say
from scionary.web.middleware import status_of
from scionary.web.pages import go_to, now_at, nursery_of, tell, today_at
from scionary.web.paper.forms import Typed, read_ticks, typed_of
from scionary.web.paper.shown import shown_sheet
from scionary.web.typing_in import who

_FLAGS_TOLD = 4  # messages travel in a cookie, which is short


@require_GET
def paper(request: HttpRequest) -> HttpResponse:
    """The sheets that were printed, what can be printed, and the box for a code, which leads on to its sheet."""
    typed, wrong = request.GET.get("code", "")[:60], ""
    if typed:
        try:
            return go_to(reverse("paper:sheet", args=[sheet_called(typed).code]))
        except Refused as refusal:
            wrong = f"{refusal.message[:1].upper()}{refusal.message[1:]} {refusal.remedy}"
    context = {"typed": typed, "wrong": wrong, "sheets": printed_lately(), "domes": queries.domes_in_use()}
    return render(request, "paper/paper.html", context, status=422 if wrong else 200)


@require_POST
def seen(request: HttpRequest) -> JsonResponse:
    """Where the sheets lead whose symbols a camera shows: the texts that it read itself, or a picture of this moment. Nothing is kept."""
    texts = [text[:60] for text in request.POST.getlist("text")[:20]]
    try:
        for frame in request.FILES.getlist("frame")[:1]:
            if heavy := too_heavy(frame.size or 0, "camera"):
                raise heavy
            texts += [symbol.text for symbol in read_photo(frame.read(), "camera", closer=False).symbols]
        found = [sheet_called(text) for text in texts]
    except ScionaryError as refusal:
        told = refusal.message if isinstance(refusal, Refused) else str(refusal)
        return JsonResponse({"labels": [], "words": f"{told[:1].upper()}{told[1:]}"}, status=status_of(refusal))
    labels = [
        {"text": s.code, "code": s.code, "words": f"{s}.", "taken": False, "to": reverse("paper:sheet", args=[s.code])} for s in found
    ]
    return JsonResponse({"labels": labels, "to": labels[0]["to"] if labels else ""}, headers={"Cache-Control": "no-store"})


@require_http_methods(["GET", "POST"])
def sheet(request: HttpRequest, code: str) -> HttpResponse:
    """Key a sheet in; one that was keyed before is shown as it was keyed, and asks before it changes."""
    found, nursery = sheet_called(code), nursery_of(request)
    if request.method == "GET":
        ticks = ticks_standing(found, written_of(found), nursery, today=today_at(request))
        return _page(request, found, typed_of(ticks, nursery))
    typed = dict(request.POST.lists())
    try:
        ticks = read_ticks(request.POST, found, rows_of(found), nursery)
        changes = changes_of(found, ticks, nursery=nursery, now=now_at(request))
        if found.keyed_at and changes and "again" not in request.POST:
            return _page(request, found, typed, asked=changes.words)
        done = key_sheet(found, ticks, nursery=nursery, now=now_at(request), who=who(request))
    except Refused as refusal:
        return _page(request, found, typed, refusal=refusal)
    words = (
        say("{done}. Written: {changes}.", done=done.words, changes=done.changes.words)
        if done.changes
        else say("{done}. Nothing new: it is in the book already.", done=done.words)
    )
    tell(request, words, done.flags[:_FLAGS_TOLD])
    return go_to(reverse("paper:sheet", args=[found.code]))


@require_POST
def undo(request: HttpRequest, code: str) -> HttpResponse:
    """Undo all that was keyed in from this sheet."""
    found = sheet_called(code)
    count = undo_sheet(found, now=now_at(request), who=who(request))
    tell(request, say("Undone: {records} of this sheet.", records=plural(count, "record")) if count else say("There was nothing to undo."))
    return go_to(reverse("paper:sheet", args=[found.code]))


def _page(request: HttpRequest, found: PrintedSheet, typed: Typed, *, asked: str = "", refusal: Refused | None = None) -> HttpResponse:
    """The sheet with what is typed; status 422 when it cannot be taken."""
    rows, written = rows_of(found), written_of(found)
    own = frozenset(slot_id(found, slot) for slot in (*written.standing, *written.undoings))
    ticked, of = ticked_of(rows, written)
    wrong = f"{say(refusal.where)}: {refusal.message} {refusal.remedy}".strip() if refusal else ""
    context: dict[str, Any] = {
        "sheet": found,
        "asked": asked,
        "wrong": f"{wrong[:1].upper()}{wrong[1:]}",
        "keyed": len(written.standing),
        "ticked": ticked,
        "not_ticked": of - ticked,
        "unit": nursery_of(request).length_unit,
        "today": today_at(request),
        "printed": "printed" in request.GET and not written.standing,
        **shown_sheet(found, rows, typed, since_printed(found, rows, own), getattr(refusal, "row", 0), today_at(request)),
    }
    return render(request, "paper/sheet.html", context, status=422 if refusal else 200)
