"""Files of past records and wish lists: look first, answer what only the person knows, then take in, all or nothing."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_POST

from scionary.answers import jobs
from scionary.answers.growing_year import year_words
from scionary.answers.imports import accept_past, accept_wishes, offer, offered, preview_past, preview_wishes, undo_import
from scionary.book.models import RawFile
from scionary.errors import Refused, ScionaryError
from scionary.language import say
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell, today_at
from scionary.web.records.reading import (
    PAST,
    WISHES,
    FileForm,
    answers_of,
    columns,
    names_asked,
    past_reading,
    plain,
    unanswered,
    wish_reading,
)
from scionary.web.typing_in import attempt, who

_AT_ONCE = 400  # rows that are taken in while the person waits; more go to the worker


@require_GET
def choose(request: HttpRequest) -> HttpResponse:
    """Choose a file; those taken in before can be taken out again."""
    what = WISHES if request.GET.get("what") == WISHES else PAST
    return _choose_page(request, FileForm(initial={"what": what}))


@require_POST
def look(request: HttpRequest) -> HttpResponse:
    """What each row would become; nothing is written into the record."""
    if request.FILES or "sha256" not in request.POST:
        return _first_look(request)
    data, name = offered(request.POST["sha256"][:64])
    return _preview_page(request, data, name, request.POST["sha256"][:64])


@require_POST
def accept(request: HttpRequest) -> HttpResponse:
    """Take in what was looked at."""
    sha256 = request.POST.get("sha256", "")[:64]
    data, name = offered(sha256)
    given, now = answers_of(request.POST), now_at(request)
    skip = request.POST.get("skip") == "1"
    try:
        _check_answered(data, name, given, request)
        if given["what"] == WISHES:
            wishes = accept_wishes(data, name, now=now, how=wish_reading(given), skip_not_understood=skip, who=who(request))
            tell(request, wishes.words)
            return go_to(f"/plan/?season={wishes.season}")
        if int(request.POST.get("rows", "0")[:9] or 0) > _AT_ONCE:
            arguments = {"sha256": sha256, "how": plain(past_reading(given)), "skip_not_understood": skip, "who": who(request)}
            return go_to(f"/work/{jobs.start('import past records', arguments, now=now).pk}/")
        past = accept_past(data, name, now=now, how=past_reading(given), skip_not_understood=skip, who=who(request))
    except ScionaryError as refusal:
        return _preview_page(request, data, name, sha256, refusal=refusal)
    tell(request, past.words, past.flags)
    return go_to("/findings/")


@require_POST
def undo(request: HttpRequest) -> HttpResponse:
    """Take out again what a file brought in."""
    tell(request, undo_import(request.POST.get("sha256", "")[:64], now=now_at(request), who=who(request)).words)
    return go_to("/book/import/")


def _first_look(request: HttpRequest) -> HttpResponse:
    form = FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _choose_page(request, form)
    file = form.cleaned_data["file"]
    data, name = file.read(), file.name[:120]
    sha256 = attempt(form, lambda: offer(data, name, now=now_at(request)))
    if sha256 is None:
        return _choose_page(request, form)
    try:
        return _preview_page(request, data, name, sha256)
    except ScionaryError as refusal:
        form.add_error("file", f"{refusal}")
        return _choose_page(request, form)


def _preview_page(request: HttpRequest, data: bytes, name: str, sha256: str, *, refusal: ScionaryError | None = None) -> HttpResponse:
    given = answers_of(request.POST)
    wishes, preview = given["what"] == WISHES, _preview(data, name, given, request)
    context = {
        "preview": preview,
        "sha256": sha256,
        "given": given,
        "wishes": wishes,
        "columns": columns(preview, wishes=wishes),
        "names": names_asked(preview, given),
        "bad": [row for row in preview.rows if row.becomes == "not understood"],
        "good": [row for row in preview.rows if row.becomes != "not understood"],
        "refusal": refusal,
        "year_words": year_words(preview.season, nursery_of(request)) if wishes else "",
    }
    return render(request, "records/look.html", context, status=422 if refusal else 200)


def _preview(data: bytes, name: str, given: dict[str, Any], request: HttpRequest) -> Any:
    if given["what"] == WISHES:
        return preview_wishes(data, name, today=today_at(request), how=wish_reading(given))
    return preview_past(data, name, now=now_at(request), how=past_reading(given))


def _check_answered(data: bytes, name: str, given: dict[str, Any], request: HttpRequest) -> None:
    """Nothing is guessed for the person: what was asked must be answered first."""
    asked = unanswered(_preview(data, name, given, request), given)
    if asked:
        raise Refused(say("something is not answered yet."), where=name, remedy=asked)


def _choose_page(request: HttpRequest, form: FileForm) -> HttpResponse:
    taken = RawFile.objects.filter(kind="past").defer("data").order_by("-received_at")
    return form_page(request, "records/import.html", {"form": form, "taken": taken}, form)
