"""Forms of the site: the limits of a morning, a healing month, whose soil is looked at."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django import forms

from scionary.answers.cutting import CutLimits
from scionary.answers.method_season import Healing
from scionary.book.models import MotherTree, Nursery
from scionary.book.texts import later
from scionary.errors import BadValue
from scionary.language import Words, mark, say
from scionary.units import MM_PER_INCH, celsius_from_fahrenheit, fahrenheit_from_celsius

LIMIT_WORDS = Words(
    {
        "stress_good": mark("Water: share of its thirst that the soil must still quench"),
        "stress_bad": mark("Water: below this share it is not cut"),
        "soak_days": mark("A soaking counts for so many days"),
        "soak_mm": mark("Rain and watering that count as a soaking"),
        "demand_good_kpa": mark("Moist air: a deficit of at most so many kPa"),
        "demand_bad_kpa": mark("Too dry air: a deficit above so many kPa"),
        "frost_c": mark("Frost: at or below"),
        "thawed_c": mark("Thawed: at or above"),
        "wet_mm": mark("Wet: rain of the last hours"),
        "stage_good": mark("The wood is ripe for it: chance of at least"),
        "stage_bad": mark("The wood is not ripe for it: chance below"),
        "stored_leafy_days": mark("Sticks in leaf keep so many days"),
        "stored_dormant_days": mark("Dormant sticks keep so many days"),
        "stored_leafy_c": mark("Sticks in leaf are kept at most at"),
        "stored_dormant_c": mark("Dormant sticks are kept at most at"),
    }
)


class LimitsForm(forms.Form):
    """The limits of a morning; an empty field goes back to its default."""

    def __init__(self, *args: Any, nursery: Nursery, limits: CutLimits, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fahrenheit, self.inches = nursery.temperature_unit == "F", nursery.length_unit == "in"
        named = {"°C": f"°{nursery.temperature_unit}", "mm": nursery.length_unit}
        for each in limits.assumptions():
            value = self._shown(each["value"], each["unit"])
            unit = named.get(each["unit"], "")
            label = f"{LIMIT_WORDS[each['name']]}{f', {unit}' if unit else ''}"
            box = forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"})
            self.fields[each["name"]] = forms.FloatField(
                required=False, label=label, initial=round(value, 3), help_text=say(each["source"]), widget=box
            )
        self.units = {each["name"]: each["unit"] for each in limits.assumptions()}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        try:
            CutLimits(**self._plain(data))
        except BadValue as error:
            self.add_error(error.name if error.name in self.fields else None, f"{error}.")
        return data

    def moved(self) -> dict[str, float]:
        """The limits that differ from their defaults."""
        usual = asdict(CutLimits())
        return {name: value for name, value in self._plain(self.cleaned_data).items() if abs(value - usual[name]) > 1e-6}

    def _plain(self, data: dict[str, Any]) -> dict[str, float]:
        return {name: self._meant(value, self.units[name]) for name, value in data.items() if value is not None and name in self.units}

    def _shown(self, value: float, unit: str) -> float:
        if unit == "°C" and self.fahrenheit:
            return float(fahrenheit_from_celsius(value))
        return value / MM_PER_INCH if unit == "mm" and self.inches else value

    def _meant(self, value: float, unit: str) -> float:
        """As it is kept; what a reader's unit rounds away is no move."""
        if unit == "°C" and self.fahrenheit:
            return round(float(celsius_from_fahrenheit(value)), 2)
        return round(value * MM_PER_INCH, 1) if unit == "mm" and self.inches else value


class HealingForm(forms.Form):
    """What a healing month is to be like; temperatures in the person's unit."""

    days = forms.IntegerField(min_value=5, max_value=120, required=False, label=later("Days of healing"))
    low = forms.FloatField(required=False)
    high = forms.FloatField(required=False)
    limit = forms.FloatField(required=False)
    share = forms.IntegerField(min_value=10, max_value=100, required=False, label=later("Share of its hours in the band, %"))
    heated = forms.FloatField(required=False)

    def __init__(self, *args: Any, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fahrenheit = nursery.temperature_unit == "F"
        words = {
            "low": say("At least"),
            "high": say("At most"),
            "limit": say("Never above"),
            "heated": say("Heated to (empty: no heating)"),
        }
        for name, text in words.items():
            self.fields[name].label = f"{text}, °{nursery.temperature_unit}"
            low, high = (self._shown(-30.0), self._shown(60.0))
            self.fields[name] = forms.FloatField(
                required=False, label=self.fields[name].label, min_value=low, max_value=high, initial=self._usual(name)
            )
        self.fields["days"].initial, self.fields["share"].initial = Healing.days, round(Healing.share * 100)

    def healing(self) -> Healing:
        """What was asked, or the usual."""
        given = self.cleaned_data if self.is_bound and self.is_valid() else {}
        usual = Healing()
        return Healing(
            days=given.get("days") or usual.days,
            low_c=self._meant(given.get("low"), usual.low_c),
            high_c=self._meant(given.get("high"), usual.high_c),
            limit_c=self._meant(given.get("limit"), usual.limit_c),
            share=(given.get("share") or usual.share * 100) / 100.0,
            heated_to_c=None if given.get("heated") is None else self._meant(given["heated"], 0.0),
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        usual = Healing()
        low, high, limit = (
            self._meant(data.get(name), default)
            for name, default in (("low", usual.low_c), ("high", usual.high_c), ("limit", usual.limit_c))
        )
        if not low < high:
            self.add_error("high", say("This must be above the lowest."))
        elif not high <= limit:
            self.add_error("limit", say("This must not be below the highest of the band."))
        return data

    def _usual(self, name: str) -> float | None:
        value = {"low": Healing.low_c, "high": Healing.high_c, "limit": Healing.limit_c}.get(name)
        return None if value is None else round(self._shown(value), 1)

    def _shown(self, value: float) -> float:
        return float(fahrenheit_from_celsius(value)) if self.fahrenheit else value

    def _meant(self, value: float | None, usual: float) -> float:
        return usual if value is None else float(celsius_from_fahrenheit(value)) if self.fahrenheit else value


class TreeChoice(forms.Form):
    """Whose soil is looked at."""

    tree = forms.ModelChoiceField(
        queryset=MotherTree.objects.filter(retired=False),
        required=False,
        label=later("Water of which tree?"),
        empty_label=later("a tree in loam"),
    )
