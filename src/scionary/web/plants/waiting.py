"""Wait, graft again or give up: the figures that a person may set for one plant, by GET."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.http import HttpRequest

from scionary.answers.wait_advice import Figures, PlantAdvice, wait_advice
from scionary.book.models import Plant
from scionary.book.texts import later
from scionary.web.pages import readable_days
from scionary.web.typing_in import DayField

_MOST = 1e6


def _money(label: str, words: str = "") -> forms.FloatField:
    return forms.FloatField(required=False, min_value=0, max_value=_MOST, label=label, help_text=words)


class StakesForm(forms.Form):
    """What is at stake; what is left empty stays as assumed."""

    worth = _money(later("What the plant is worth"))
    place = _money(later("What its place is worth, a week"))
    graft = _money(later("What a new graft costs, scion and work"))
    until = DayField(required=False, label=later("Last day for grafting it again"), validators=readable_days())

    @property
    def figures(self) -> Figures:
        return Figures(**{name: self.cleaned_data[name] for name in ("worth", "place", "graft", "until")})


def advice_on(request: HttpRequest, plant: Plant, today: date) -> tuple[PlantAdvice | None, StakesForm]:
    """The advice, and the form with what it rests on; what cannot be read leaves the assumptions in place."""
    asked = any(name in request.GET for name in StakesForm.base_fields)
    form = StakesForm(request.GET) if asked else None
    found = wait_advice(plant, today=today, figures=form.figures if form is not None and form.is_valid() else None)
    return found, form if form is not None else StakesForm(initial=_assumed(found))


def _assumed(found: PlantAdvice | None) -> dict[str, Any]:
    if found is None:
        return {}
    stakes = found.stakes
    return {"worth": stakes.worth, "place": round(stakes.place, 2), "graft": round(stakes.graft, 2), "until": stakes.until}
