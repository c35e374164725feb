"""Forms of Plan: a wish."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from scionary.answers.growing_year import year_at, year_words
from scionary.answers.words import how_sure
from scionary.book import queries
from scionary.book.models import Method, PotKind, Wish
from scionary.book.texts import later
from scionary.web.typing_in import DayField, NamesACultivar

SURE = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99)


class WishForm(NamesACultivar):
    """So many of a cultivar; the rest may stay as it is."""

    first = ("wanted", "cultivar", "anyway")

    wanted = forms.IntegerField(
        min_value=1,
        max_value=100_000,
        label=later("How many finished plants?"),
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        error_messages={"required": later("Give a number: 20.")},
    )
    season = forms.IntegerField(min_value=1900, max_value=2999, label=later("Grafted in the growing year"))
    assurance = forms.TypedChoiceField(
        coerce=float, choices=lambda: [(f"{share:g}", how_sure(share)) for share in SURE], label=later("Enough of them in"), initial="0.9"
    )
    by_when = DayField(required=False, label=later("Wanted by"))
    method = forms.ModelChoiceField(Method.objects.none(), required=False, label=later("Method"), empty_label=later("the usual one"))
    pot_kind = forms.ModelChoiceField(PotKind.objects.none(), required=False, label=later("Pot"), empty_label=later("the usual one"))
    worth = forms.DecimalField(required=False, min_value=0, max_digits=9, decimal_places=2, label=later("Worth, each"))
    note = forms.CharField(required=False, max_length=2000, label=later("Note"), widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["method"].queryset = Method.objects.filter(retired=False)  # type: ignore[attr-defined]
        self.fields["pot_kind"].queryset = PotKind.objects.filter(retired=False)  # type: ignore[attr-defined]
        year, nursery = self.initial.get("season"), queries.nursery()
        self.fields["season"].help_text = year_words(year or year_at(timezone.localdate(timezone=nursery.zone), nursery), nursery)
        given = self.initial.get("assurance")
        if given and float(given) not in SURE:
            self.fields["assurance"].choices = [(given, how_sure(float(given))), *self.fields["assurance"].choices]  # type: ignore[attr-defined]

    def values(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name != "anyway"}


class WishesForm(forms.Form):
    """Several wishes, one a line."""

    wishes = forms.CharField(
        max_length=40_000,
        label=later("One wish a line"),
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
        help_text=later("A number and a name, what one is worth and by when: 20 Red Tarn at 30 by 2027-09-01."),
    )
    season = forms.IntegerField(min_value=1900, max_value=2999, widget=forms.HiddenInput)
    assurance = forms.TypedChoiceField(
        coerce=float, choices=lambda: [(f"{share:g}", how_sure(share)) for share in SURE], label=later("Enough of them in"), initial="0.9"
    )
    anyway = forms.BooleanField(required=False, label=later("Names that are nearly the book's are new ones"))

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"auto_id": "lines_%s", **options})


def as_typed(wish: Wish) -> dict[str, Any]:
    """A wish as its form shows it."""
    names = ("wanted", "season", "by_when", "method", "pot_kind", "worth", "note")
    plain = {name: getattr(wish, name) for name in names}
    return {**plain, "cultivar": wish.cultivar.spoken, "assurance": f"{wish.assurance:g}"}
