"""Forms of the weather: a file and how to read it, the station, the limits of a morning, a healing month."""

from __future__ import annotations

from typing import Any

from django import forms

from scionary.answers.weather_import import UNITS, WeatherReading
from scionary.answers.weather_stamps import STANDS_FOR_TEXTS
from scionary.book.models import WeatherStation
from scionary.book.texts import later
from scionary.language import mark, say
from scionary.web.typing_in import Offering, SentFile, known_names

_HOW = ("time_zone", "date_order", "of_station", "sheet", "stands_for")


class WeatherForm(forms.Form):
    """A weather file and, where the file leaves it open, how to read it."""

    file = SentFile(label=later("The weather file"), help_text=later("CSV, text or a spreadsheet, by the day or by the hour."))
    station = forms.CharField(max_length=80, required=False, label=later("Station"))
    forecast = forms.BooleanField(
        required=False,
        label=later("All of it is a forecast"),
        help_text=later("Days that lie ahead are taken as a forecast in any case."),
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
    time_zone = forms.CharField(
        max_length=60,
        required=False,
        label=later("Time zone of the file"),
        help_text=later("Empty: the nursery's. UTC+1 where its clock never changes."),
    )
    stands_for = forms.ChoiceField(
        required=False,
        label=later("The time of an hour's row means"),
        help_text=later("Left alone, its sun on clear days tells where the book knows the place. Days need none."),
        choices=[("", later("find out")), *((meaning, later(words)) for meaning, words in STANDS_FOR_TEXTS.items())],
    )
    of_station = forms.CharField(max_length=80, required=False, label=later("Which station of the file, where it holds several"))
    sheet = forms.CharField(max_length=80, required=False, label=later("Which sheet of a workbook"))
    columns = forms.CharField(
        max_length=400,
        required=False,
        label=later("Columns"),
        help_text=later("Where a heading is not understood: rain=RRR, temperature_max=5"),
    )

    first = ("file", "station", "forecast")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        known = known_names(WeatherStation)
        self.fields["station"].widget = Offering(known)
        self.fields["station"].help_text = say("Empty: {name}.", name=known[0] if known else say("named after the file"))
        for quantity, units in UNITS.items():
            choices = [("", say("find out")), *((unit, unit) for unit in units)]
            label = say(_UNIT_WORDS[quantity])
            self.fields[f"unit_{quantity}"] = forms.ChoiceField(required=False, choices=choices, label=label)

    @property
    def first_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.first]

    @property
    def more_fields(self) -> list[forms.BoundField]:
        return [field for field in self.visible_fields() if field.name not in self.first]

    @property
    def more_is_wrong(self) -> bool:
        return any(field.errors for field in self.more_fields)

    def clean_columns(self) -> str:
        columns_meant(self.cleaned_data["columns"])
        return str(self.cleaned_data["columns"])


_UNIT_WORDS = {
    "temperature": mark("Temperature in the file"),
    "rain": mark("Rain in the file"),
    "wind": mark("Wind in the file"),
    "solar": mark("Solar radiation in the file"),
}


def reading_of(given: dict[str, Any]) -> WeatherReading:
    """How a file is to be read, from the form's fields as they were sent."""
    units = {quantity: str(given[f"unit_{quantity}"]) for quantity in UNITS if given.get(f"unit_{quantity}")}
    columns = columns_meant(str(given.get("columns") or ""))
    told = {name: str(given.get(name) or "") for name in _HOW}
    return WeatherReading(
        time_zone=told["time_zone"],
        columns=columns or None,
        units=units or None,
        date_order=told["date_order"] or None,
        of_station=told["of_station"] or None,
        sheet=told["sheet"] or None,
        forecast=given.get("forecast") in (True, "True", "on"),
        stands_for=told["stands_for"],
    )


def columns_meant(typed: str) -> dict[str, str | int]:
    """rain=RRR, temperature_max=5: of each quantity its heading, or the number of its column."""
    found: dict[str, str | int] = {}
    for part in filter(None, (each.strip() for each in typed.split(","))):
        quantity, sign, heading = (each.strip() for each in part.partition("="))
        if not sign or not quantity or not heading:
            raise forms.ValidationError(say("{part} names no column; write it like rain=RRR.", part=part[:40]))
        found[quantity] = int(heading) if heading.isdecimal() else heading
    return found


def fields_to_keep(form: WeatherForm) -> dict[str, Any]:
    """What is sent again when the file is taken in."""
    return {name: value for name, value in form.cleaned_data.items() if name != "file" and value not in ("", None, False)}


class StationForm(forms.ModelForm):  # type: ignore[type-arg]
    """A station's name and how high its wind is measured."""

    class Meta:
        model = WeatherStation
        fields = ("name", "wind_height_m", "note", "retired")
        labels = {
            "name": later("How you call it"),
            "wind_height_m": later("Wind is measured at, metres"),
            "note": later("Note"),
            "retired": later("No longer used"),
        }
