"""Forms of the season's weeks: how sure, a change to try, figures that are assumed, a row moved by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from scionary.answers.schedule import Assumed, Schedule, ScheduleRow
from scionary.answers.schedule_asking import Ask, own_of
from scionary.answers.words import how_sure, short_day
from scionary.book.models import Dome
from scionary.book.texts import later
from scionary.language import say
from scionary.web.typing_in import DayField

SURE_STEPS = (0.7, 0.8, 0.9, 0.95)
SUREST = 0.99
MOST_WORDS = 120
USUAL = {"sure": "wished", "effort": "normal"}  # what a form without them asks for


class FindForm(forms.Form):
    """One control from most value to as sure as can be, and how long to look."""

    sure = forms.ChoiceField(label=later("What should the plan go for?"), widget=forms.RadioSelect, initial="wished")
    effort = forms.ChoiceField(
        label=later("How long to look?"),
        initial="normal",
        widget=forms.RadioSelect,
        choices=[
            ("quick", later("a few seconds: a good plan")),
            ("normal", later("a minute or so: near the best")),
            ("long", later("some minutes: nearer still")),
        ],
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["sure"].choices = [  # type: ignore[attr-defined]
            ("wished", say("as each wish asks")),
            ("value", say("most value, however sure")),
            *((f"{share:g}", say("enough in {years}", years=how_sure(share))) for share in SURE_STEPS),
            (f"{SUREST:g}", say("as sure as can be")),
        ]

    def ask(self, season: int) -> Ask:
        sure = self.cleaned_data["sure"]
        return Ask(
            season, effort=self.cleaned_data["effort"], sure=sure if sure in ("wished", "value") else float(sure), own=own_of(season)
        )


def as_asked(schedule: Schedule | None) -> dict[str, Any]:
    """The form as the present plan was asked for."""
    if schedule is None:
        return {}
    sure, effort = schedule.asked.get("sure", "wished"), schedule.asked.get("effort", "normal")
    return {"sure": sure if isinstance(sure, str) else f"{sure:g}", "effort": effort}


class TryForm(forms.Form):
    """A change in a person's words."""

    change = forms.CharField(
        max_length=MOST_WORDS,
        label=later("What would change?"),
        help_text=later("One more dome in week 13; a Saturday in week 31; 50 more stocks; only 4-inch square."),
    )


class FiguresForm(forms.Form):
    """The figures that the plan assumes; an empty one goes back to its default."""

    def __init__(self, assumed: Sequence[Assumed], data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        for each in assumed:
            if each.figure and each.figure not in self.fields:
                value = say("none") if each.value is None else f"{each.value:g}" if isinstance(each.value, float | int) else each.value
                self.fields[each.figure] = forms.CharField(required=False, max_length=20, label=each.words, initial=value)

    def moved(self) -> dict[str, Any]:
        """What was changed, as it is written down."""
        return {name: None if self.cleaned_data[name] == say("none") else self.cleaned_data[name] for name in self.changed_data}


class OfferForm(forms.Form):
    """What a supplier offers, in a person's words."""

    offer = forms.CharField(
        max_length=400,
        label=later("What is offered?"),
        help_text=later("Beck Nursery: Acer palmatum, 25 for 30, 50 for 55, 3 weeks, delivery 12"),
    )


class RowForm(forms.Form):
    """A row in another week or dome, or with another number."""

    grafts = forms.IntegerField(min_value=0, max_value=10_000, label=later("Grafts"), help_text=later("0 takes the row out."))
    week = DayField(label=later("In the week of"), help_text=later("Any day of that week."))
    dome = forms.ChoiceField(required=False, label=later("Dome"))

    def __init__(self, row: ScheduleRow, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial={"grafts": row.grafts, "week": row.week, "dome": row.domes[0] if len(row.domes) == 1 else ""})
        self.row = row
        names = list(Dome.objects.filter(retired=False).values_list("name", flat=True))
        self.fields["dome"].choices = [("", say("wherever there is room")), *((name, name) for name in names)]  # type: ignore[attr-defined]

    def changes(self) -> dict[str, Any]:
        """What is another than it was, as `move` takes it."""
        names = {"grafts": "grafts", "week": "to_week", "dome": "to_dome"}
        return {names[name]: self.cleaned_data[name] for name in self.changed_data if self.cleaned_data[name] not in ("", None)}


def moved_words(was: ScheduleRow, now: ScheduleRow | None) -> str:
    """What became of a row that was moved by hand."""
    return say("Moved: now {row}.", row=row_words(now)) if now else say("Taken out: {row}.", row=row_words(was))


def row_words(row: ScheduleRow) -> str:
    """The row, with its week."""
    return say("{row}; week of {day}", row=row.words, day=short_day(row.week))
