"""The form of scions and stocks that are to be matched."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from scionary.answers.join_ask import methods_offered
from scionary.answers.match_stems import MatchAsk
from scionary.answers.match_typed import MatchTyped, read_match
from scionary.answers.measured_stems import rows_to_match, words_of
from scionary.answers.opened_unions import grafters
from scionary.book.models import Nursery
from scionary.book.texts import later
from scionary.language import say
from scionary.web.bench.join_forms import UNITS, stages_offered
from scionary.web.typing_in import Offering

_LONGEST = 40_000


def _lines(label: str, help_text: str) -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": 6, "autocomplete": "off", "spellcheck": "false"})
    return forms.CharField(required=False, max_length=_LONGEST, label=label, help_text=help_text, widget=widget)


class MatchForm(forms.Form):
    """Scions and stocks, typed one a line or taken from what was measured; how they are joined; what limits them."""

    scions = _lines(
        later("Scions, one a line"), later("Thickness, then whose it is: 3.1 Red Tarn, or 12 x 2.8 Ash Gill; with ! those that come first.")
    )
    bags = forms.MultipleChoiceField(required=False, label=later("And measured sticks"), widget=forms.CheckboxSelectMultiple)
    stocks = _lines(
        later("Stocks, one a line, as they stand"),
        later("Thickness, then the lot: 7.2 24-B; a pot behind a semicolon; ? where not measured."),
    )
    lots = forms.MultipleChoiceField(required=False, label=later("And stocks of"), widget=forms.CheckboxSelectMultiple)
    unit = forms.ChoiceField(required=False, choices=UNITS, label=later("Measured in"))
    method = forms.CharField(required=False, max_length=80, label=later("Method"))
    stage = forms.CharField(required=False, max_length=80, label=later("The stocks are"))
    grafter = forms.CharField(required=False, max_length=60, label=later("Who grafts"))
    names = forms.BooleanField(required=False, label=later("Only where the stock carries the scion, as the table has it"))

    def __init__(self, *args: Any, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, **options)
        lots, bags = rows_to_match()
        for name, rows in (("lots", lots), ("bags", bags)):
            self.fields[name].choices = [(str(each.row.pk), f"{each.row}: {words_of(each, nursery)}") for each in rows]  # type: ignore[attr-defined]
            if not rows:
                del self.fields[name]
        of_book, ways = methods_offered()
        groups = [*([(say("Methods of the book"), of_book)] if of_book else []), (say("Ways to join"), ways)]
        self.fields["method"].widget = forms.Select(choices=groups)
        self.fields["stage"].widget = forms.Select(choices=stages_offered())
        self.fields["grafter"].widget = Offering(grafters())
        for name in ("unit", "method", "stage", "grafter", *(name for name in ("lots", "bags", "scions", "stocks") if name in self.fields)):
            self.fields[name].has_answer = True  # type: ignore[attr-defined]  # a label says nothing of leaving it empty

    def ask(self, nursery: Nursery, *, today: date) -> tuple[MatchAsk, list[str]]:
        """The question, and what is to ask about."""
        data = self.cleaned_data
        typed = MatchTyped(
            data["scions"],
            data["stocks"],
            tuple(data.get("bags", ())),
            tuple(data.get("lots", ())),
            data["method"],
            data["unit"],
            data["grafter"] if "grafter" in self.data else None,
            stage=data["stage"],
            names_go_together=data["names"],
        )
        return read_match(typed, nursery, today=today)
