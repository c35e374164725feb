"""How far a hand misses: opened unions written down one by one, and what is taken of each hand."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from scionary.answers.join_words import fine
from scionary.answers.opened_unions import MISSES, MOST_MM, grafters, hands, opened, write_opened
from scionary.book.models import Nursery
from scionary.book.texts import later
from scionary.language import say
from scionary.units import MM_PER_INCH
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell
from scionary.web.typing_in import Offering, attempt, said_id, who


def _miss(label: str, help_text: str = "") -> forms.FloatField:
    widget = forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"})
    return forms.FloatField(required=False, min_value=-MOST_MM, max_value=MOST_MM, label=label, help_text=help_text, widget=widget)


class OpenedForm(forms.Form):
    """One union that was opened; what was not measured stays empty."""

    foot = _miss(later("Foot of the scion: off by"), later("Across the face, from where it was meant to lie; 0 where it lay right."))
    top = _miss(later("Top of the cut: off by"))
    depth = _miss(later("A cut's depth: off by"), later("Too deep above 0, too shallow with a minus."))
    grafter = forms.CharField(max_length=60, required=False, label=later("Whose hand"))

    def __init__(self, *args: Any, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, **options)
        self.unit = nursery.length_unit
        self.fields["grafter"].widget = Offering(grafters())
        for name in ("foot", "top", "depth"):
            self.fields[name].label = say("{label}, in {unit}", label=self.fields[name].label, unit=self.unit)

    def misses(self) -> dict[str, float]:
        """Millimetres of what was measured."""
        factor = MM_PER_INCH if self.unit == "in" else 1.0
        given = {f"{name}_mm": self.cleaned_data[name] for name in ("foot", "top", "depth")}
        return {name: given[name] * factor for name in MISSES if given[name] is not None}


@require_http_methods(["GET", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Each hand with what is taken of it, the next opened union, and those before it."""
    nursery = nursery_of(request)
    asked = {"grafter": request.GET.get("grafter", "")[:60]}
    form = OpenedForm(request.POST if request.method == "POST" else None, nursery=nursery, initial=asked)
    if form.is_bound and form.is_valid() and _written(request, form, nursery):
        return go_to(reverse("bench:hand"))
    told = [
        (hand, fine(hand.skill.error_mm, nursery.length_unit), fine(hand.skill.depth_error_mm, nursery.length_unit))
        for hand in hands(nursery)
    ]
    return form_page(request, "bench/hand.html", {"form": form, "hands": told, "opened": opened()[:40]}, form)


def _written(request: HttpRequest, form: OpenedForm, nursery: Nursery) -> bool:
    grafter = " ".join(form.cleaned_data["grafter"].split())
    given: dict[str, Any] = {"now": now_at(request), "event_id": said_id(request), "who": who(request)}
    done = attempt(form, lambda: write_opened(form.misses(), grafter, nursery, **given))
    if done is None:
        return False
    remember_undo(request, say("an opened union"), [done.id])
    tell(request, say("Written down: advice on joining goes by it from now on."), done.flags)
    return True
