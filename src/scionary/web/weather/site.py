"""The site by its weather: windows of each method, and the limits of a morning."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_http_methods

from scionary.answers.cutting import limits_of
from scionary.answers.method_season import kind_windows, site_map, stage_dates
from scionary.answers.weather import site_weather
from scionary.book.commands import save_noun
from scionary.book.models import Nursery
from scionary.language import say
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell, today_at
from scionary.web.typing_in import attempt, who
from scionary.web.weather.drawn import map_picture, window_picture
from scionary.web.weather.site_forms import HealingForm, LimitsForm


@require_GET
def windows(request: HttpRequest) -> HttpResponse:
    """When each method is open here, and in how many years a healing month went well."""
    nursery, today = nursery_of(request), today_at(request)
    form = HealingForm(request.GET if set(request.GET) & set(HealingForm.base_fields) else None, nursery=nursery)
    healing = form.healing()
    kinds = kind_windows(nursery, today, heated_to_c=healing.heated_to_c)
    found = site_map(nursery, healing)
    context = {
        "weather": site_weather(nursery),
        "kinds": [(kind, window_picture(kind)) for kind in kinds],
        "map": found,
        "map_picture": map_picture(found) if found else "",
        "stages": stage_dates(nursery, today),
        "healing": healing,
        "form": form,
    }
    return form_page(request, "weather/windows.html", context, form)


@require_http_methods(["GET", "POST"])
def limits(request: HttpRequest) -> HttpResponse:
    """The limits that a morning is held against, each with where it is from; all of them can be moved."""
    nursery = nursery_of(request)
    form = LimitsForm(request.POST or None, nursery=nursery, limits=limits_of(nursery))
    if request.method == "POST" and form.is_valid():
        moved = {"cut_limits": form.moved()}
        done = attempt(form, lambda: save_noun(Nursery, moved, now=now_at(request), pk=nursery.pk, who=who(request)))
        if done is not None:
            tell(request, say("The limits are kept."))
            return go_to("/book/weather/limits/")
    return form_page(request, "weather/limits.html", {"form": form}, form)
