"""Reading a weather file in: look first, then accept."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from scionary.answers.jobs import start
from scionary.answers.offers import offer, offered
from scionary.answers.weather_import import WeatherPreview, accept_weather, preview_weather, quantity_words
from scionary.answers.weather_stamps import STANDS_FOR
from scionary.errors import ScionaryError
from scionary.language import say
from scionary.web.pages import go_to, now_at, tell
from scionary.web.typing_in import who
from scionary.web.weather.forms import WeatherForm, fields_to_keep, reading_of
from scionary.web.weather.views import weather_page

_AT_ONCE_BYTES = 1_000_000  # a larger file is read beside the pages, so that no page waits for it


@require_POST
def look(request: HttpRequest) -> HttpResponse:
    """What the file holds and where it would go; nothing is written into the record yet."""
    form = WeatherForm(request.POST, request.FILES)
    if not form.is_valid():
        return weather_page(request, form)
    file, now = form.cleaned_data["file"], now_at(request)
    data, name = file.read(), file.name[:120]
    try:
        how = reading_of(form.cleaned_data)
        preview = preview_weather(data, name, now=now, station=form.cleaned_data["station"], how=how)
        sha256 = offer(data, name, now=now)
    except ScionaryError as refusal:
        form.add_error("file", f"{str(refusal)[:1].upper()}{str(refusal)[1:]}")
        return weather_page(request, form)
    context = {"preview": preview, "sha256": sha256, "given": fields_to_keep(form), "understood": _understood(preview)}
    return render(request, "weather/look.html", context)


@require_POST
def accept(request: HttpRequest) -> HttpResponse:
    """Read the file that was looked at into the book, all or nothing; a large one beside the pages."""
    sha256, now = request.POST.get("sha256", "")[:64], now_at(request)
    data, name = offered(sha256)
    given = {field: str(value)[:400] for field, value in request.POST.items()}
    how, station = reading_of(given), given.get("station", "")[:80]
    if len(data) > _AT_ONCE_BYTES:
        arguments = {"sha256": sha256, "station": station, "who": who(request), "how": vars(how)}
        return go_to(f"/work/{start('import weather', arguments, now=now).pk}/")
    result = accept_weather(data, name, now=now, station=station, how=how, who=who(request))
    tell(request, result.words)
    return go_to("/book/weather/")


def _understood(preview: WeatherPreview) -> list[tuple[str, str]]:
    """How the file was read, as pairs of words."""
    file, read = preview.file, preview.file.understood
    columns = ", ".join(f"{heading} = {quantity_words(quantity)}" for quantity, heading in read.columns.items())
    units = ", ".join(f"{quantity_words(quantity)}: {unit}" for quantity, unit in read.units.items())
    pairs: list[tuple[str, Any]] = [
        (say("Rows"), file.rows),
        (say("Dates"), read.date_form),
        (say("Time zone"), read.time_zone),
        (say("A row's time means"), STANDS_FOR[read.stands_for] if read.stands_for else ""),
        (say("Columns"), columns),
        (say("Units"), units),
        (say("Twice the same"), file.duplicates),
        (say("Same time, other readings"), file.conflicts),
        (say("Gaps"), "; ".join(say("{a} to {b}", a=a, b=b) for a, b in file.gaps[:8])),
        (say("Values missing"), ", ".join(f"{quantity_words(quantity)}: {count}" for quantity, count in file.missing.items() if count)),
    ]
    return [(words, str(value)) for words, value in pairs if value]
