"""Reading a logger's file in: look first, then accept."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.html import format_html
from django.views.decorators.http import require_POST

from scionary.answers.domes import DomeAnswer, dome_answer
from scionary.answers.jobs import start
from scionary.answers.logger_import import LoggerPreview, LoggerReading, accept_logger, preview_logger
from scionary.answers.offers import offer, offered
from scionary.answers.salt_import import keep_salt, look_at_salt
from scionary.errors import BadFile, BadValue, Refused, ScionaryError
from scionary.language import say
from scionary.web.domes.forms import LogForm
from scionary.web.domes.views import dome_page
from scionary.web.pages import go_to, now_at, tell, today_at
from scionary.web.typing_in import who

_QUANTITIES = ("temperature", "humidity")
_READ_AS = ("date_order", "unit", "time_zone", *_QUANTITIES)
_AT_ONCE_BYTES = 1_000_000  # a larger file is read beside the pages, so that no page waits for it


@require_POST
def look(request: HttpRequest, ident: UUID) -> HttpResponse:
    """What the file holds and where it would go; nothing is written into the record yet."""
    answer, form = dome_answer(ident, today=today_at(request)), LogForm(request.POST, request.FILES)
    if not form.is_valid():
        return dome_page(request, answer, log=form)
    file, now = form.cleaned_data["file"], now_at(request)
    data, name = file.read(), file.name[:120]
    try:
        if form.cleaned_data["salt"]:
            return _look_salt(request, answer, form, data, name)
        preview = preview_logger(data, name, now=now, sensor=form.cleaned_data["sensor"], dome=ident, how=_how(form.cleaned_data))
        sha256 = offer(data, name, now=now)
    except ScionaryError as refusal:
        form.add_error(_field(refusal), _told(refusal))
        return dome_page(request, answer, log=form)
    given = {field: form.cleaned_data[field] for field in ("sensor", *_READ_AS)}
    context = {"answer": answer, "preview": preview, "sha256": sha256, "given": given, "understood": _understood(preview)}
    return render(request, "domes/log.html", context)


@require_POST
def accept(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Read the file that was looked at into the book, all or nothing; a large one beside the pages."""
    dome_answer(ident, today=today_at(request))
    sha256 = request.POST.get("sha256", "")[:64]
    data, name = offered(sha256)
    given = {field: request.POST.get(field, "")[:80] for field in _READ_AS}
    sensor = request.POST.get("sensor", "")[:80]
    if request.POST.get("salt"):
        tell(request, keep_salt(data, name, sensor=sensor, dome=ident, how=_how(given), now=now_at(request), who=who(request)), ())
        return go_to(f"/domes/{ident}/#air")
    if len(data) > _AT_ONCE_BYTES:
        arguments = {"sha256": sha256, "sensor": sensor, "dome": str(ident), "who": who(request), "how": asdict(_how(given))}
        return go_to(f"/work/{start('import readings', arguments, now=now_at(request)).pk}/")
    result = accept_logger(data, name, now=now_at(request), sensor=sensor, dome=ident, how=_how(given), who=who(request))
    tell(request, result.words, result.warnings)
    for day, words in result.worst:
        messages.info(request, format_html('<a href="/domes/{}/?to={}#air">{}</a>', ident, day, words))
    return go_to(f"/domes/{ident}/#air")


def _look_salt(request: HttpRequest, answer: DomeAnswer, form: LogForm, data: bytes, name: str) -> HttpResponse:
    """What a salt test found and with which logger it would be kept."""
    given = form.cleaned_data
    look = look_at_salt(data, name, sensor=given["sensor"], dome=answer.dome.pk, how=_how(given))
    hidden = {"salt": "1", **{field: given[field] for field in ("sensor", *_READ_AS)}}
    context = {"answer": answer, "salt": look, "name": name, "sha256": offer(data, name, now=now_at(request)), "given": hidden}
    return render(request, "domes/salt.html", context)


def _understood(preview: LoggerPreview) -> list[tuple[str, str]]:
    """How the file was read, as pairs of words."""
    read = preview.understood
    pairs = [
        (say("Time"), f"{read['time_column']}, {read['date_form']}"),
        (say("Time zone"), read["time_zone"]),
        (say("Temperature"), say("{column}, in °{unit}", column=read["temperature_column"] or say("none"), unit=read["unit"])),
        (say("Humidity"), read["humidity_column"] or say("none")),
        (say("Every"), say("{minutes:.0f} minutes", minutes=preview.interval_s / 60)),
    ]
    return pairs + [(say("Taken for granted"), text) for text in read["assumptions"]]


def _how(given: dict[str, Any]) -> LoggerReading:
    columns = {quantity: given[quantity] for quantity in _QUANTITIES if given[quantity]}
    return LoggerReading(given["time_zone"], columns or None, given["date_order"] or None, given["unit"] or None)


def _field(refusal: ScionaryError) -> str:
    if isinstance(refusal, BadValue) and refusal.name in LogForm.base_fields:
        return refusal.name
    if isinstance(refusal, Refused) and not isinstance(refusal, BadFile) and refusal.where == "sensor":
        return "sensor"
    return "file"


def _told(refusal: ScionaryError) -> str:
    text = str(refusal)
    return f"{text[:1].upper()}{text[1:]}"
