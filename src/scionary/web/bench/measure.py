"""Measuring in the yard: the stems of a lot or a bag one after another, with one thumb."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from scionary.answers.join_words import size
from scionary.answers.measured_stems import (
    HIGHEST_NUMBER,
    MeasuredRow,
    read_slot,
    read_typed,
    row_called,
    slots,
    write_measured,
    write_used,
)
from scionary.book.texts import later
from scionary.language import say
from scionary.web.bench.join_forms import UNITS
from scionary.web.pages import form_page, go_to, now_at, nursery_of, remember_undo, tell
from scionary.web.typing_in import attempt, said_id, sent_id, who

_NOUNS = ("lots", "bags")


class MeasureForm(forms.Form):
    """The number of a stem, and its thickness: typed, or as a slot of the gauge card."""

    number = forms.IntegerField(min_value=1, max_value=HIGHEST_NUMBER, label=later("Number in the row"))
    thickness = forms.CharField(
        required=False,
        max_length=40,
        label=later("How thick is it?"),
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "autofocus": True}),
    )
    unit = forms.ChoiceField(choices=UNITS, label=later("Measured in"))
    slot = forms.CharField(required=False, max_length=10)
    sure = forms.CharField(required=False, max_length=40)
    question, guess = "", ""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["thickness"].has_answer = True  # type: ignore[attr-defined]  # a slot answers it as well
        self.fields["number"].widget.attrs["inputmode"] = "numeric"

    def thickness_mm(self) -> float | None:
        """What was measured; None where it must be asked about first."""
        data = self.cleaned_data
        if data["slot"]:
            return read_slot(data["slot"]).thickness_mm
        found = read_typed(data["thickness"], data["unit"])
        if found.question and data["sure"] != data["thickness"]:
            self.question, self.guess = found.question, found.guess
            self.add_error("thickness", found.question)
            return None
        return found.thickness_mm


@require_http_methods(["GET", "POST"])
def page(request: HttpRequest, noun: str, ident: UUID) -> HttpResponse:
    """The next stem first; then those that were measured."""
    found = _row(noun, ident)
    form = MeasureForm(request.POST if request.method == "POST" else None, initial=_initial(request, found))
    if form.is_bound and form.is_valid() and _written(request, found, form):
        address = reverse("bench:measure", args=[noun, ident])
        return go_to(f"{address}?number={form.cleaned_data['number'] + 1}&unit={form.cleaned_data['unit']}")
    context = {"form": form, "row": found, "noun": noun, "slots": slots(), "lately": list(reversed(found.stems))}
    return form_page(request, "bench/measure.html", context, form)


@require_POST
def used(request: HttpRequest, noun: str, ident: UUID) -> HttpResponse:
    """Write down that a stem is there no more."""
    found = _row(noun, ident)
    number = request.POST.get("number", "")
    if number.isdecimal() and 1 <= int(number[:6]) <= HIGHEST_NUMBER:
        written = write_used([(found.row, int(number))], now=now_at(request), event_id=sent_id(request), who=who(request))
        remember_undo(request, say("{row} {number} used", row=found.row, number=number), written)
    return go_to(reverse("bench:measure", args=[noun, ident]))


def _row(noun: str, ident: UUID) -> MeasuredRow:
    if noun not in _NOUNS:
        raise Http404
    return row_called(noun, ident)


def _initial(request: HttpRequest, found: MeasuredRow) -> dict[str, Any]:
    """The number after the last one; the unit as it was."""
    number, unit = request.GET.get("number", "")[:6], request.GET.get("unit", "")
    known = number if number.isdecimal() else found.next_number
    return {"number": known, "unit": unit if unit in dict(UNITS) else nursery_of(request).length_unit}


def _written(request: HttpRequest, found: MeasuredRow, form: MeasureForm) -> bool:
    thickness = attempt(form, form.thickness_mm)
    if thickness is None:
        return False
    number, ident = form.cleaned_data["number"], said_id(request)
    done = attempt(form, lambda: write_measured(found.row, number, thickness, now=now_at(request), event_id=ident, who=who(request)))
    if done is None:
        return False
    words = say("{row} {number}: {size}", row=found.row, number=number, size=size(thickness, nursery_of(request).length_unit))
    remember_undo(request, words, [done.id])
    tell(request, f"{words}.", done.flags)
    return True
