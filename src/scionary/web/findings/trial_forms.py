"""Forms of trials: planning one, and noting what did not go as laid out."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from scionary.answers.called import called
from scionary.answers.take_model import STAGES
from scionary.answers.trial_planning import DIFFERENCE, MOST_FILLINGS, TrialAsk, domes_with_room
from scionary.answers.trials import TrialAnswer
from scionary.book.models import Cultivar, Dome
from scionary.book.texts import later
from scionary.language import either, say
from scionary.web.pages import readable_days
from scionary.web.typing_in import DayField, Offering, known_names

_DIFFERENCES = (0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4)
_WAYS = (("beside", later("side by side in every dome")), ("whole", later("a dome gets one of them as a whole")))
_FIRST = ("name", "arm_1", "arm_2", "way", "domes")


class TrialForm(forms.Form):
    """A trial: a name and two things to compare are enough."""

    name = forms.CharField(max_length=60, label=later("What do you call it?"), help_text=later("Such as: Film or rubber."))
    arm_1 = forms.CharField(max_length=40, label=later("Compare"), help_text=later("Such as: stretch film."))
    arm_2 = forms.CharField(max_length=40, label=later("With"), help_text=later("Such as: rubber strip."))
    way = forms.ChoiceField(choices=_WAYS, initial="beside", widget=forms.RadioSelect, label=later("How can it be tried?"))
    domes = forms.ModelMultipleChoiceField(
        Dome.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        label=later("In which domes?"),
        error_messages={"required": later("Tick at least one dome; without one, add it under Domes.")},
    )
    question = forms.CharField(max_length=200, required=False, label=later("The question"))
    arm_3 = forms.CharField(max_length=40, required=False, label=later("And with"))
    arm_4 = forms.CharField(max_length=40, required=False, label=later("And with, a fourth"))
    cultivars = forms.CharField(
        max_length=400, required=False, label=later("Only these cultivars"), help_text=later("Names with commas between; empty: any.")
    )
    stage = forms.ChoiceField(choices=lambda: list(STAGES.items()), label=later("What counts as a take?"))
    difference = forms.TypedChoiceField(
        coerce=float,
        choices=lambda: [(f"{share:g}", say("{number} more or fewer in 100 grafts", number=round(100 * share))) for share in _DIFFERENCES],
        initial=f"{DIFFERENCE:g}",
        label=later("Which difference would matter to you?"),
    )
    fillings = forms.IntegerField(min_value=1, max_value=MOST_FILLINGS, initial=1, label=later("How often will each dome be filled?"))
    grafts = forms.IntegerField(min_value=1, max_value=5000, required=False, label=later("Grafts in each dome, at most"))
    free_only = forms.BooleanField(required=False, label=later("Only places that are free now"))
    begins_on = DayField(label=later("Grafts count from"), validators=readable_days())

    def __init__(self, *args: Any, today: date, stage: str, **options: Any) -> None:
        domes = Dome.objects.filter(retired=False)
        super().__init__(*args, **options)
        self.initial = {"begins_on": today, "stage": stage, "domes": domes_with_room(), **self.initial}
        self.fields["domes"].queryset = domes  # type: ignore[attr-defined]
        self.fields["cultivars"].widget = Offering(known_names(Cultivar, "spoken"))

    @property
    def first_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in _FIRST]

    @property
    def more_fields(self) -> list[forms.BoundField]:
        return [field for field in self.visible_fields() if field.name not in _FIRST]

    @property
    def more_is_wrong(self) -> bool:
        return any(field.errors for field in self.more_fields)

    def clean_cultivars(self) -> tuple[UUID, ...]:
        return tuple(_cultivar(typed.strip()) for typed in self.cleaned_data["cultivars"].split(",") if typed.strip())

    def ask(self) -> TrialAsk:
        data = self.cleaned_data
        return TrialAsk(
            name=data["name"],
            arms=tuple(data[f"arm_{at}"] for at in range(1, 5) if data[f"arm_{at}"].strip()),
            begins_on=data["begins_on"],
            question=data["question"],
            stage=data["stage"],
            cultivars=data["cultivars"],
            whole_dome=data["way"] == "whole",
            domes=tuple(dome.pk for dome in data["domes"]),
            fillings=data["fillings"],
            grafts_a_dome=data["grafts"],
            free_only=data["free_only"],
            difference=data["difference"],
        )


class LeftOutForm(forms.Form):
    """A place, or a whole filling, that did not go as laid out."""

    block = forms.TypedChoiceField(coerce=int, label=later("Dome"))
    place = forms.IntegerField(required=False, min_value=1, max_value=10_000, label=later("Place"))
    whole = forms.BooleanField(required=False, label=later("All places of this dome"))
    why = forms.CharField(max_length=200, label=later("What happened?"), help_text=later("Such as: no wood left; the wrong film."))

    def __init__(self, *args: Any, answer: TrialAnswer, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["block"].choices = list(enumerate(answer.layout.tray_names))  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        sent: dict[str, Any] = super().clean() or {}
        if "place" in sent and (sent["place"] is None) != sent.get("whole", False):
            neither, both = (
                say("Give the place, or tick all places of the dome."),
                say("Give the place, or tick all places of the dome; not both."),
            )
            self.add_error("place", neither if sent["place"] is None else both)
        return sent

    def note(self) -> dict[str, Any]:
        """What is left out and why."""
        return {name: self.cleaned_data[name] for name in ("block", "place", "why")}


def _cultivar(typed: str) -> UUID:
    found = called(typed)
    if found.known is None:
        meant = say(" Did you mean {near}?", near=either(found.near)) if found.near else say(" Write it as it stands in the book.")
        raise forms.ValidationError(say("The book holds no {typed}.{meant}", typed=typed[:60], meant=meant))
    return found.known.cultivar
