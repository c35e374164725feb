"""Something done on another day than today, set behind a fold."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django import forms

from scionary.answers.words import plural
from scionary.book.commands import noon
from scionary.book.models import Nursery
from scionary.book.texts import later
from scionary.language import say
from scionary.web.pages import readable_days
from scionary.web.typing_in import DayField


class AnotherDay(forms.Form):
    """The day on which something was done; empty for today. What is done lies in no future."""

    on = DayField(required=False, label=later("Done on"), help_text=later("Empty: today."), validators=readable_days())

    def __init__(self, *args: Any, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = today

    def clean_on(self) -> date | None:
        day: date | None = self.cleaned_data["on"]
        if day is not None and day > self.today:
            days = plural((day - self.today).days, "day", "days")
            raise forms.ValidationError(say("That is {days} ahead, and this says that it was done: is the year right?", days=days))
        return day

    @property
    def earlier(self) -> date | None:
        """The day, where it is another than today."""
        day: date | None = self.cleaned_data["on"]
        return day if day != self.today else None

    def moment(self, now: datetime, nursery: Nursery) -> datetime:
        """Now, or noon of the day that was set."""
        return noon(self.earlier, nursery) if self.earlier else now
