"""What the station holds, and the site's year by it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_http_methods

from scionary.answers.weather import site_weather
from scionary.answers.weather_report import chill_winters, frost_report, heat_year, holding, water_report
from scionary.book.commands import save_noun
from scionary.book.models import WeatherStation
from scionary.errors import UnknownSubject
from scionary.language import say
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell, today_at
from scionary.web.typing_in import attempt, who
from scionary.web.weather.drawn import heat_picture, water_picture
from scionary.web.weather.forms import StationForm, WeatherForm
from scionary.web.weather.site_forms import TreeChoice


@require_GET
def weather(request: HttpRequest) -> HttpResponse:
    """What is held first, then heat, chill, frost and water."""
    return weather_page(request, WeatherForm())


def weather_page(request: HttpRequest, form: WeatherForm) -> HttpResponse:
    """The page; `form` is the file's, as it was sent where it cannot be taken."""
    nursery, today = nursery_of(request), today_at(request)
    found = site_weather(nursery)
    stations = list(WeatherStation.objects.all())
    if found is None:
        return form_page(request, "weather/weather.html", {"form": form, "weather": None, "stations": stations}, form)
    choice = TreeChoice(request.GET)
    tree = choice.cleaned_data["tree"] if choice.is_valid() else None
    heat, water = heat_year(found, nursery, today), water_report(found, nursery, today, tree)
    context: dict[str, Any] = {
        "form": form,
        "weather": found,
        "stations": stations,
        "holding": holding(found),
        "heat": heat,
        "heat_picture": heat_picture(heat) if heat else "",
        "chill": chill_winters(found, nursery, today),
        "frost": frost_report(found, nursery, today),
        "water": water,
        "water_picture": water_picture(water, nursery) if water else "",
        "choice": choice,
    }
    return form_page(request, "weather/weather.html", context, form)


@require_http_methods(["GET", "POST"])
def station(request: HttpRequest, ident: UUID) -> HttpResponse:
    """A station's name, and how high its wind is measured."""
    row = WeatherStation.objects.filter(pk=ident).first()
    if row is None:
        raise UnknownSubject(say("the book holds no such station."), where="station", remedy=say("Choose one that is listed."))
    form = StationForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        values = dict(form.cleaned_data)
        done = attempt(form, lambda: save_noun(WeatherStation, values, now=now_at(request), pk=ident, who=who(request)))
        if done is not None:
            tell(request, say("Kept: {row}.", row=done))
            return go_to("/book/weather/")
    return form_page(request, "weather/station.html", {"form": form, "station": WeatherStation.objects.get(pk=ident)}, form)
