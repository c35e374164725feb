"""Forms of Domes."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.utils import timezone

from scionary.book.models import Dome, Nursery, PotKind
from scionary.book.models.dome import USUAL_MM
from scionary.book.texts import later
from scionary.language import say
from scionary.units import celsius_from_fahrenheit, fahrenheit_from_celsius
from scionary.web.another_day import AnotherDay
from scionary.web.typing_in import LengthField, SentFile

_WARMTHS = ("mat_c", "room_c")


class DomeForm(forms.Form):
    """A dome: its name and inside size are enough."""

    name = forms.CharField(max_length=60, label=later("Name"), help_text=later("How you call it: Dome 2."))
    stands = forms.CharField(max_length=120, required=False, label=later("Where it stands"), help_text=later("Such as: north window."))

    def __init__(self, *args: Any, nursery: Nursery, dome: Dome | None = None, **given: Any) -> None:
        initial = _as_it_stands(dome, nursery.temperature_unit) if dome else {}
        given["initial"] = {"length_mm": USUAL_MM[0], "width_mm": USUAL_MM[1], "pot_kind": dome.pot_kind_id if dome else None, **initial}
        super().__init__(*args, **given)
        for name, label, about in (("length_mm", say("Inside length"), "tray_length"), ("width_mm", say("Inside width"), "tray_width")):
            size = LengthField(unit=nursery.length_unit, low_mm=50.0, high_mm=20_000.0, required=True, label=label, about=about)
            self.fields[name] = size
        self.fields["pot_kind"] = forms.ModelChoiceField(
            PotKind.objects.filter(retired=False), required=False, label=say("Pots in it"), empty_label=say("as the plants in it stand")
        )
        self.fields |= _air_fields(nursery)
        self.fields["note"] = forms.CharField(required=False, max_length=2000, label=say("Note"), widget=forms.Textarea(attrs={"rows": 2}))
        if dome is not None:
            self.fields["retired"] = forms.BooleanField(required=False, label=say("No longer in use; its history stays"))
        self.fahrenheit = nursery.temperature_unit == "F"

    def clean(self) -> dict[str, Any]:
        """A mat is told by its power and by its thermostat; warmth is kept in °C."""
        data = super().clean() or self.cleaned_data
        if (data.get("mat_w") is None) != (data.get("mat_c") is None) and not {"mat_w", "mat_c"} & set(self.errors):
            lacking = "mat_c" if data.get("mat_c") is None else "mat_w"
            self.add_error(lacking, say("A heat mat needs both its power and what its thermostat holds; or leave both empty."))
        for name in _WARMTHS if self.fahrenheit else ():
            if data.get(name) is not None:
                data[name] = celsius_from_fahrenheit(data[name])
        return data


def _as_it_stands(dome: Dome, temperature_unit: str) -> dict[str, Any]:
    names = ("name", "stands", "length_mm", "width_mm", "note", "retired", "height_mm", "shade_pct", "vents_cm2", "mat_w")
    values = {name: getattr(dome, name) for name in (*names, *_WARMTHS)}
    for name in _WARMTHS if temperature_unit == "F" else ():
        if values[name] is not None:
            values[name] = round(fahrenheit_from_celsius(values[name]), 1)
    return values


def _air_fields(nursery: Nursery) -> dict[str, forms.Field]:
    """What its air depends on; each may be left empty, and is then assumed."""
    fahrenheit = nursery.temperature_unit == "F"
    low, high = (32.0, 113.0) if fahrenheit else (0.0, 45.0)
    warmest = 104.0 if fahrenheit else 40.0
    held = say("Its thermostat holds, °F") if fahrenheit else say("Its thermostat holds, °C")
    room = say("The room around it is kept at, °F") if fahrenheit else say("The room around it is kept at, °C")
    return {
        "height_mm": LengthField(
            unit=nursery.length_unit,
            low_mm=20.0,
            high_mm=5_000.0,
            required=False,
            label=say("Height of the cover"),
            help_text=say("From the tray up."),
        ),
        "shade_pct": forms.FloatField(
            required=False,
            min_value=0,
            max_value=100,
            label=say("Shade, %"),
            help_text=say("Of the sun that cloth or trees take away; 0 for none. A change counts from when it is written down."),
        ),
        "vents_cm2": forms.FloatField(
            required=False,
            min_value=1,
            max_value=100_000,
            label=say("All vents open, cm²"),
            help_text=say("Length times width of each, added up."),
        ),
        "mat_w": forms.FloatField(required=False, min_value=1, max_value=2_000, label=say("Heat mat, W")),
        "mat_c": forms.FloatField(required=False, min_value=low, max_value=high, label=held),
        "room_c": forms.FloatField(
            required=False, min_value=low, max_value=warmest, label=room, help_text=say("At least; empty where it stands in the open.")
        ),
    }


class DatedForm(forms.Form):
    """Something done to a dome; without a time it was done now."""

    when = forms.DateTimeField(
        required=False,
        label=later("When"),
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
        help_text=later("Empty: now."),
        error_messages={"invalid": later("That is no moment that exists; write it like 2026-06-14T08:30.")},
    )
    note = forms.CharField(required=False, max_length=2000, label=later("Note"))

    def moment(self) -> datetime:
        return self.cleaned_data["when"] or timezone.now()

    def payload(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name != "when" and value not in (None, "")}


class WaterForm(DatedForm):
    """Water topped up; how deep it stands may be said."""

    field_order = ("water_mm", "when", "note")

    def __init__(self, *args: Any, nursery: Nursery, **given: Any) -> None:
        super().__init__(*args, **given)
        self.fields["water_mm"] = LengthField(
            unit=nursery.length_unit, low_mm=0.0, high_mm=500.0, label=say("Water stands, under the grid"), help_text=say("10 mm or 3/8 in")
        )
        self.order_fields(self.field_order)


class VentForm(DatedForm):
    """Vents set, as a share of fully open."""

    field_order = ("open_pct", "when", "note")
    open_pct = forms.FloatField(
        min_value=0, max_value=100, label=later("Vents open, %"), help_text=later("0 closed, 33 a third, 100 open or cover off.")
    )


class TreatForm(DatedForm):
    """A treatment, as the product's label has it."""

    field_order = ("product", "reason", "label_says", "when", "note")
    product = forms.CharField(max_length=80, label=later("Product"))
    reason = forms.CharField(max_length=120, required=False, label=later("Reason"), help_text=later("What it is for."))
    label_says = forms.CharField(
        max_length=500,
        required=False,
        label=later("What its label says"),
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=later("In the label's own words: amount, wait, re-entry."),
    )


class OutForm(AnotherDay):
    """Plants moved out of a dome, today or on another day."""

    field_order = ("which", "stands", "on")

    which = forms.ChoiceField(
        choices=[("lost", later("the lost ones")), ("all", later("all of them"))],
        label=later("Which"),
        widget=forms.RadioSelect,
        initial="lost",
    )
    stands = forms.CharField(
        max_length=120, required=False, label=later("Where they stand now"), help_text=later("Such as: shade house, row 3.")
    )


class LogForm(forms.Form):
    """A logger's file and, where the file leaves it open, how to read it."""

    file = SentFile(label=later("The logger's file"), help_text=later("CSV or text, as the logger writes it."))
    sensor = forms.CharField(max_length=80, required=False, label=later("Sensor"), help_text=later("Empty: the dome's own."))
    salt = forms.BooleanField(
        required=False,
        label=later("It is a salt test"),
        help_text=later("From a jar with a cap of wet table salt: what it finds is added to this sensor's humidity from that day on."),
    )
    date_order = forms.ChoiceField(
        required=False,
        label=later("Dates in the file"),
        choices=[
            ("", later("find out")),
            ("ymd", later("year, month, day")),
            ("dmy", later("day, month, year")),
            ("mdy", later("month, day, year")),
        ],
    )
    unit = forms.ChoiceField(
        required=False, label=later("Temperature in the file"), choices=[("", later("find out")), ("C", "°C"), ("F", "°F")]
    )
    time_zone = forms.CharField(
        max_length=60, required=False, label=later("The logger's time zone"), help_text=later("Empty: the nursery's.")
    )
    temperature = forms.CharField(
        max_length=80,
        required=False,
        label=later("The column of the temperature"),
        help_text=later("Its header or number; empty: find out."),
    )
    humidity = forms.CharField(
        max_length=80, required=False, label=later("The column of the humidity"), help_text=later("Of two sensors in one file: which.")
    )
