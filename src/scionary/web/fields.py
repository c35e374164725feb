"""Form fields that know the nursery: lengths in its unit, days and moments in its zone."""

from __future__ import annotations

from typing import Any

from django import forms

from scionary.book.models import Nursery
from scionary.errors import BadValue
from scionary.units import length_words, read_length_mm


class LengthField(forms.CharField):
    """A length as a person types it; gives millimetres. Without a unit in the text the nursery's unit is meant."""

    def __init__(self, *, nursery: Nursery, low_mm: float = 0.1, high_mm: float = 20_000.0, **given: Any) -> None:
        self.unit, self.low_mm, self.high_mm = nursery.length_unit, low_mm, high_mm
        widget = forms.TextInput(attrs={"inputmode": "decimal" if self.unit == "mm" else "text", "autocomplete": "off"})
        given.setdefault("help_text", "In mm, such as 520." if self.unit == "mm" else "In inches; fractions too, such as 10 1/2.")
        super().__init__(widget=widget, **given)

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None
        try:
            length = read_length_mm(text, self.unit)
        except BadValue as error:
            raise forms.ValidationError(f"{text!r} is no length. Give {error.allowed}.") from error
        if not self.low_mm <= length <= self.high_mm:
            low, high = (length_words(edge, self.unit) for edge in (self.low_mm, self.high_mm))
            raise forms.ValidationError(f"{text} is out of range: give {low} to {high}.")
        return length

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, int | float):
            return value
        return f"{value:g}" if self.unit == "mm" else length_words(value, "in").removesuffix(" in")

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(self.prepare_value(initial) != data)


class DayField(forms.DateField):
    """A day, typed or picked; ISO form."""

    def __init__(self, **given: Any) -> None:
        super().__init__(
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            input_formats=["%Y-%m-%d"],
            error_messages={"invalid": "This is no day that exists. Give it as 2026-05-31."},
            **given,
        )


class MomentField(forms.DateTimeField):
    """A date and time in the nursery's zone."""

    def __init__(self, **given: Any) -> None:
        super().__init__(
            widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
            input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
            error_messages={"invalid": "This is no moment that exists. Give it as 2026-05-31T14:30."},
            **given,
        )
