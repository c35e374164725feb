"""How long labels last: media that a person edits, and how early Due speaks of them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from scionary.answers.label_media import (
    LEAST_MONTHS,
    LONGEST_NAME,
    LONGEST_SOURCE,
    MOST_MONTHS,
    MOST_WEEKS,
    OWN,
    drop_medium,
    label_media,
    save_medium,
    save_weeks_before,
    take_defaults,
    unknown_in_use,
)
from scionary.book.texts import later
from scionary.errors import UnknownSubject
from scionary.language import say
from scionary.web.pages import form_page, go_to, now_at, nursery_of, tell
from scionary.web.typing_in import attempt, who

_PAGE = "/book/labels/"


class MediumForm(forms.Form):
    """One medium: its name, its life in sun and shade, where that comes from."""

    medium = forms.CharField(
        max_length=LONGEST_NAME, label=later("Written with"), error_messages={"required": later("Name it: wax pencil.")}
    )
    months_sun = forms.FloatField(
        required=False,
        min_value=LEAST_MONTHS,
        max_value=MOST_MONTHS,
        label=later("Months until it begins to fade in the sun"),
        help_text=later("Leave both empty where it does not fade."),
    )
    months_shade = forms.FloatField(
        required=False,
        min_value=LEAST_MONTHS,
        max_value=MOST_MONTHS,
        label=later("Months in the shade"),
        help_text=later("Left empty, the months in the sun count there too."),
    )
    source = forms.CharField(max_length=LONGEST_SOURCE, label=later("Where that comes from"), initial=OWN)
    was = forms.CharField(required=False, max_length=LONGEST_NAME, widget=forms.HiddenInput)


class WeeksForm(forms.Form):
    """How early a label is due."""

    weeks = forms.FloatField(min_value=0, max_value=MOST_WEEKS, label=later("Say so how many weeks before it fades"))


@require_GET
def labels(request: HttpRequest) -> HttpResponse:
    """All media, and what stands on labels of which the book does not know how long it lasts."""
    return _page(request, None)


@require_http_methods(["GET", "POST"])
def medium(request: HttpRequest) -> HttpResponse:
    """Change one medium, or add one."""
    if request.method == "GET":
        return render(request, "records/medium.html", {"form": MediumForm(initial=_as_kept(request))})
    form = MediumForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        if attempt(form, lambda: save_medium(data["was"], data, now=now_at(request), who=who(request))) is not None:
            tell(request, say("Kept: {what}.", what=data["medium"]))
            return go_to(_PAGE)
    return form_page(request, "records/medium.html", {"form": form}, form)


@require_POST
def out(request: HttpRequest) -> HttpResponse:
    """Take a medium out."""
    name = request.POST.get("was", "")[:LONGEST_NAME]
    drop_medium(name, now=now_at(request), who=who(request))
    tell(request, say("{name} is taken out. Labels written with it are no longer among what is due.", name=name))
    return go_to(_PAGE)


@require_POST
def weeks(request: HttpRequest) -> HttpResponse:
    """How early a label is due; or everything back to what a new book begins with."""
    if "defaults" in request.POST:
        take_defaults(now=now_at(request), who=who(request))
        tell(request, say("The usual media and times are back."))
        return go_to(_PAGE)
    form = WeeksForm(request.POST)
    if form.is_valid():
        weeks = form.cleaned_data["weeks"]
        if attempt(form, lambda: save_weeks_before(weeks, now=now_at(request), who=who(request))) is not None:
            tell(request, say("Kept: {weeks:g} weeks before.", weeks=weeks))
            return go_to(_PAGE)
    return _page(request, form)


def _page(request: HttpRequest, form: WeeksForm | None) -> HttpResponse:
    known = label_media(nursery_of(request))
    shown = form or WeeksForm(initial={"weeks": f"{known.weeks_before:g}"})
    return form_page(request, "records/labels.html", {"known": known, "unknown": unknown_in_use(known), "form": shown}, shown)


def _as_kept(request: HttpRequest) -> dict[str, Any]:
    """The medium of the address as its form shows it; a new one begins with the name that is asked for."""
    wanted, name = request.GET.get("medium", ""), request.GET.get("name", "")[:LONGEST_NAME]
    if not wanted:
        return {"medium": name, "source": say(OWN)}
    found = label_media(nursery_of(request)).called(wanted)
    if found is None:
        raise UnknownSubject(
            say("no medium is called {wanted!r}.", wanted=wanted[:LONGEST_NAME]), where="medium", remedy=say("Choose one that is listed.")
        )
    months = {"months_sun": found.months_sun, "months_shade": found.months_shade}
    plain = {key: f"{value:g}" for key, value in months.items() if value is not None}
    return {"medium": found.name, "source": found.source, "was": found.name, **plain}
