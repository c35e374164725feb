"""The forms at a mother tree: what was seen this morning, and water that it was given."""

from __future__ import annotations

from typing import Any

from django import forms

from scionary.answers.tree_looks import STAGE_WORDS
from scionary.book.kinds import WOOD_STAGES
from scionary.book.texts import later
from scionary.language import say
from scionary.web.another_day import AnotherDay

_YES_NO = [("", later("not looked")), ("yes", later("yes")), ("no", later("no"))]


class SeenForm(AnotherDay):
    """What is seen at a tree; anything may stay open, but not all of it."""

    stage = forms.ChoiceField(required=False, label=later("The wood"))
    soaked = forms.ChoiceField(required=False, choices=_YES_NO, label=later("Soaked in the last two days?"))
    firm_at_dawn = forms.ChoiceField(required=False, choices=_YES_NO, label=later("Leaves firm at dawn?"))
    leaves_dry = forms.ChoiceField(required=False, choices=_YES_NO, label=later("Leaves and bark dry?"))

    field_order = ("stage", "soaked", "firm_at_dawn", "leaves_dry", "on")
    asked = ("stage", "soaked", "firm_at_dawn", "leaves_dry")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["stage"] = forms.ChoiceField(
            required=False,
            label=self.fields["stage"].label,
            choices=[("", say("not looked")), *((stage, STAGE_WORDS[stage]) for stage in WOOD_STAGES)],
        )
        self.fields["on"].label = say("Seen on")

    @property
    def asked_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.asked]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not any(data.get(name) for name in self.asked) and not self.errors:
            raise forms.ValidationError(say("Say at least one of these: the wood, the water, the leaves."))
        return data

    def payload(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.asked if self.cleaned_data[name]}


class WaterForm(AnotherDay):
    """Water given to a tree."""

    litres = forms.FloatField(
        required=False,
        min_value=0.1,
        max_value=100_000,
        label=later("Litres"),
        help_text=later("Empty: watered through, until it ran out below or stood on the ground."),
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
    )
    field_order = ("litres", "on")

    def payload(self) -> dict[str, Any]:
        return {"litres": self.cleaned_data["litres"]} if self.cleaned_data["litres"] else {}
