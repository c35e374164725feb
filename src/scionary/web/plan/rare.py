"""A few pieces of wood and a name worth keeping: how to stage the grafts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from scionary.answers.called import called
from scionary.answers.protected import protected_words
from scionary.answers.rare import MOST_PARTS, MOST_SCIONS, RareAnswer, RareAsk, rare
from scionary.answers.words import percent, plural
from scionary.book.models import Cultivar, Dome
from scionary.book.texts import later
from scionary.language import either, say
from scionary.web.pages import form_page, today_at
from scionary.web.typing_in import Offering, attempt, known_names

_WIDTH = 326.0


class RareForm(forms.Form):
    """How much wood of which name, and over what it could be spread."""

    cultivar = forms.CharField(max_length=60, label=later("Which cultivar?"))
    anyway = forms.BooleanField(required=False, label=later("It is another one, new to the book"), widget=forms.HiddenInput)
    scions = forms.IntegerField(min_value=1, max_value=MOST_SCIONS, initial=3, label=later("How many grafts does the wood give?"))
    days = forms.IntegerField(min_value=1, max_value=MOST_PARTS, initial=2, label=later("Bench days it could be spread over"))
    domes = forms.IntegerField(min_value=1, max_value=MOST_PARTS, label=later("Domes it could be spread over"))
    methods = forms.IntegerField(
        min_value=1,
        max_value=MOST_PARTS,
        initial=1,
        label=later("Methods that are in your hands"),
        help_text=later("A first try takes less often."),
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["cultivar"].widget = Offering(known_names(Cultivar, "spoken"))
        self.fields["domes"].initial = min(max(Dome.objects.filter(retired=False).count(), 1), 3)
        if self.data.get("anyway"):
            self.fields["anyway"].widget = forms.CheckboxInput()

    def clean_cultivar(self) -> Cultivar | str:
        typed = " ".join(self.cleaned_data["cultivar"].split())
        found = called(typed)
        if found.near and not self.data.get("anyway"):
            self.fields["anyway"].widget = forms.CheckboxInput()
            meant = either(found.near)
            raise forms.ValidationError(
                say("The book holds no {typed}. Did you mean {meant}? If it is another one, tick the box.", typed=typed, meant=meant)
            )
        return found.cultivar or typed

    def ask(self) -> RareAsk:
        data = self.cleaned_data
        named = data["cultivar"]
        known = named if isinstance(named, Cultivar) else None
        return RareAsk(data["scions"], known, str(named), days=data["days"], domes=data["domes"], methods=data["methods"])


@dataclass(frozen=True)
class StagingBar:
    """One staging: its name, its chance in words and as a bar's width, what it costs."""

    name: str
    words: str
    chance: str
    width: float
    costs: tuple[str, ...]
    batches: str


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """The chance that a name survives, by how its few grafts are staged."""
    asked = bool(request.GET.get("scions"))
    form = RareForm(request.GET) if asked else RareForm(initial={"cultivar": request.GET.get("cultivar", "")[:60]})
    answer = attempt(form, lambda: rare(form.ask())) if asked and form.is_valid() else None
    named = form.cleaned_data.get("cultivar") if answer else None
    protected = protected_words(named, today_at(request)) if isinstance(named, Cultivar) else ""
    context = {"protected": protected, "form": form, "answer": answer, "bars": _bars(answer) if answer else []}
    return form_page(request, "plan/rare.html", context, form)


def _bars(answer: RareAnswer) -> list[StagingBar]:
    return [
        StagingBar(
            name=one.staging.name[:1].upper() + one.staging.name[1:],
            words=one.words,
            chance=percent(one.chance),
            width=round(one.chance * _WIDTH, 1),
            costs=one.staging.costs,
            batches=_batches([batch.grafts for batch in one.staging.batches]),
        )
        for one in answer.stagings
    ]


def _batches(sizes: list[int]) -> str:
    """3 batches of 2 or 1."""
    each = either(str(size) for size in sorted(set(sizes), reverse=True))
    return say("{batches} of {each}", batches=plural(len(sizes), "batch", "batches"), each=each)
