"""A plant without its label: what is still known goes in by GET, a ranked list comes out; a person may take it for one of them."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.inferred_name import asked_before, infer_name, line_of
from scionary.answers.nameless import LOOK, NextLook, Remembered, choices, nameless
from scionary.book import queries
from scionary.book.models import Nursery
from scionary.book.texts import later
from scionary.language import say
from scionary.names import BY_KEY
from scionary.web.pages import form_page, go_to, now_at, nursery_of, readable_days, remember_undo, tell
from scionary.web.typing_in import DayField, LengthField, Offering, attempt, sent_id, trait_field, who
from scionary.web.undoing import read_id

_TEMPLATE = "plants/nameless.html"
_WITHIN = (
    ("3", later("some days")),
    ("10", later("ten days")),
    ("30", later("a month")),
    ("90", later("a season")),
    ("360", later("a year")),
)
_USUAL_WITHIN = "30"


class NamelessForm(forms.Form):
    """What is still known; every field may stay empty."""

    code = forms.CharField(
        required=False,
        max_length=40,
        label=later("What can be read of the code"),
        help_text=later("Seven characters, ? for each that is gone: P8?E???"),
    )
    name = forms.CharField(
        required=False,
        max_length=120,
        label=later("What can be read of the name"),
        help_text=later("Letters in a row, ? for one that is gone: ed t?rn"),
    )
    where = forms.CharField(
        required=False, max_length=120, label=later("Where it stands"), help_text=later("Dome 2, Dome 2 place 5, north window")
    )
    pot = forms.ChoiceField(required=False, label=later("Its pot"))
    grafter = forms.CharField(required=False, max_length=60, label=later("Who grafted it"))
    grafted = DayField(required=False, label=later("Grafted about"), validators=readable_days())
    within = forms.ChoiceField(required=False, choices=_WITHIN, label=later("That day is right to within"), initial=_USUAL_WITHIN)

    def __init__(self, *args: Any, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, **options)
        known = choices()
        self.fields["height"] = LengthField(
            unit=nursery.length_unit,
            low_mm=1.0,
            high_mm=50_000.0,
            label=say("How tall it is"),
            help_text=say("12 in") if nursery.length_unit == "in" else say("300 mm"),
        )
        pot = self.fields["pot"]
        assert isinstance(pot, forms.ChoiceField)
        pot.choices = [("", say("not said")), *((kind, kind) for kind in known["pot"])]
        for key in known["looks"]:
            self.fields[f"{LOOK}{key}"] = trait_field(BY_KEY[key], help_text="")
        for name in ("where", "grafter"):
            self.fields[name].widget = Offering(known[name])
        for name in ("code", "name"):
            self.fields[name].widget.attrs |= {"autocomplete": "off", "autocapitalize": "characters" if name == "code" else "none"}

    @property
    def remembered(self) -> Remembered:
        said = self.cleaned_data
        texts = {name: said.get(name) or "" for name in ("code", "name", "where", "pot", "grafter")}
        within = float(said.get("within") or _USUAL_WITHIN)
        looks = {name.removeprefix(LOOK): value for name, value in said.items() if name.startswith(LOOK) and value}
        return Remembered(**texts, grafted=said.get("grafted"), within_days=within, height_mm=said.get("height"), looks=looks)


@require_GET
def nameless_page(request: HttpRequest) -> HttpResponse:
    """The form, and the ranked plants once something is known."""
    nursery = nursery_of(request)
    empty = NamelessForm(nursery=nursery)
    asked = any(request.GET.get(name, "").strip() for name in empty.fields if name != "within")
    return _page(request, NamelessForm(request.GET, nursery=nursery) if asked else empty, asked=asked)


@require_POST
def assign(request: HttpRequest) -> HttpResponse:
    """A person says which of the ranked plants it is; its chance is worked out again and kept with its name."""
    nursery, sure = nursery_of(request), "sure" in request.POST
    form, plant = NamelessForm(request.POST, nursery=nursery), read_id(request.POST.get("plant", ""), "plant")
    if not form.is_valid():
        return _page(request, form, asked=True)
    if not sure and (asked := _ask_first(request, form, plant)):
        return asked
    given: dict[str, Any] = {"now": now_at(request), "who": who(request), "event_id": sent_id(request), "unit": nursery.length_unit}
    done = attempt(form, lambda: infer_name(form.remembered, plant, sure=sure, **given))
    if done is None:
        return _page(request, form, asked=True)
    found = queries.plant(plant)
    remember_undo(request, f"{found.spoken}: {found.name_caution}", done.events)
    tell(
        request,
        say("Written down: {name_caution}. It is said beside the name until you confirm it in leaf.", name_caution=found.name_caution),
        done.flags,
    )
    return go_to(f"/plants/{plant}/")


def _ask_first(request: HttpRequest, form: NamelessForm, plant: UUID) -> HttpResponse | None:
    """The question before a plant is taken for one that does not stand out, or whose name was confirmed; None where nothing is asked."""
    line = attempt(form, lambda: line_of(form.remembered, plant))
    if line is None:
        return _page(request, form, asked=True)
    told = [] if line.plant is None or line.plant.steps else asked_before(line)
    if not told:
        return None
    typed = [(name, str(value)) for name, value in request.POST.items() if name not in ("csrfmiddlewaretoken", "sure")]
    known = [(name, value) for name, value in typed if name in form.fields and value]
    context = {"line": line, "told": told, "typed": typed, "back": f"{reverse('plants:nameless')}?{urlencode(known)}"}
    return render(request, "plants/nameless_sure.html", context)


def _page(request: HttpRequest, form: NamelessForm, *, asked: bool) -> HttpResponse:
    answer = None
    if not asked or form.is_valid():
        remembered = form.remembered if asked else Remembered()
        answer = attempt(form, lambda: nameless(remembered))
    fields = _fields(form, answer.next if answer else None)
    looks = [(field, look) for field, look in fields if field.name.startswith(LOOK)]
    context = {"form": form, "answer": answer, "asked": asked, "fields": fields, "looks": looks}
    context |= {"rest": [pair for pair in fields if pair not in looks], "looking": any(look or field.value() for field, look in looks)}
    return form_page(request, _TEMPLATE, context, form)


def _fields(form: NamelessForm, look: NextLook | None) -> list[tuple[forms.BoundField, str]]:
    """Each field with the next question beside the one that it is about."""
    return [(field, look.words if look and look.field == field.name else "") for field in form.visible_fields()]
