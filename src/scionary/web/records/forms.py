"""Forms of the book's nouns and settings, in a grower's words and the person's units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, ClassVar
from uuid import UUID

from django import forms

from scionary.answers.alike import same_botanical
from scionary.answers.called import called
from scionary.answers.full_name import trade_warnings
from scionary.answers.method_care import STEP_KINDS
from scionary.answers.nameless import LOOK
from scionary.answers.pedigree import named_with_code, plant_raised
from scionary.answers.words import listed
from scionary.book.called import tidied
from scionary.book.models import Cultivar, Method, MotherTree, Nursery, Plant, PotKind, RootstockLot
from scionary.book.texts import later
from scionary.book.ways_to_join import way_told_by
from scionary.errors import BadValue, Refused
from scionary.language import say
from scionary.names import TRAITS, BotanicalName, botanical_name, known_traits
from scionary.web.records.zones import zone_meant, zone_names
from scionary.web.typing_in import DayField, LengthField, Offering, trait_field


class NounForm(forms.ModelForm):  # type: ignore[type-arg]
    """A noun's row; lengths are typed in the person's unit."""

    lengths: ClassVar[dict[str, tuple[str, float, float]]] = {}
    looks: Sequence[forms.BoundField] = ()  # behind a fold

    @property
    def plain_fields(self) -> list[forms.BoundField]:
        """What stands open."""
        behind = [field.name for field in self.looks]
        return [field for field in self.visible_fields() if field.name not in behind]

    def __init__(self, *args: Any, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, **options)
        for name, (label, low, high) in self.lengths.items():
            required = self.fields[name].required
            self.fields[name] = LengthField(
                unit=nursery.length_unit, low_mm=low, high_mm=high, required=required, label=label, about=name.removesuffix("_mm")
            )
        for field in self.fields.values():
            _name_the_empty(field)
        if "note" in self.fields:
            self.fields["note"].widget = forms.Textarea(attrs={"rows": 2})
        if "retired" in self.fields and self.instance._state.adding:
            del self.fields["retired"]


def _name_the_empty(field: forms.Field) -> None:
    """Nothing chosen is said in words."""
    words = say("choose") if field.required else say("not said")
    if isinstance(field, forms.ModelChoiceField):
        field.empty_label = words
    elif isinstance(field, forms.ChoiceField) and isinstance(field.widget, forms.Select):
        field.choices = [(value, shown if value else words) for value, shown in field.widget.choices]


class CultivarForm(NounForm):
    warnings: Sequence[str] = ()  # about the names that were typed
    near: Sequence[str] = ()

    class Meta:
        model = Cultivar
        fields = (
            "spoken", "botanical", "trade_designation", "protected", "protected_until", "protection_register",
            "price", "later_survival", "note", "retired",
        )  # fmt: skip
        labels = {
            "spoken": later("The name said aloud"),
            "botanical": later("The full botanical name"),
            "trade_designation": later("The name it is sold under"),
            "protected": later("It is protected"),
            "protection_register": later("In which register to look it up"),
            "price": later("Price of a finished plant"),
            "note": later("Note"),
            "retired": later("No longer grown"),
        }
        help_texts = {
            "spoken": later("Such as: Red Tarn."),
            "botanical": later("Such as: Acer palmatum 'Red Tarn'."),
            "trade_designation": later("Where that is not its own name."),
            "protection_register": "",
        }

    protected_until = DayField(required=False, label=later("Protected until"), help_text=later("As far as you know; empty: not known."))
    later_survival = forms.FloatField(
        required=False,
        min_value=0.01,
        max_value=1,
        label=later("Share of takes that become finished plants"),
        help_text=later("0.9 for nine of ten; empty: not known."),
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for trait in TRAITS:
            self.fields[f"{LOOK}{trait.key}"] = trait_field(trait, initial=known_traits(self.instance.traits).get(trait.key, ""))
        self.looks = [self[f"{LOOK}{trait.key}"] for trait in TRAITS]

    def clean_spoken(self) -> str:
        """A name that means another cultivar is refused; one that is spelt nearly like another is told."""
        if "spoken" not in self.changed_data:
            return str(self.cleaned_data["spoken"])
        typed, own = tidied(self.cleaned_data["spoken"]), self._own
        found = called(typed)
        if found.known and found.known.cultivar != own:
            remedy = (
                say("{typed} is another name of {kept}.", typed=typed, kept=found.kept)
                if found.words
                else say("The book holds {kept} already.", kept=found.kept)
            )
            raise forms.ValidationError(remedy)
        others = [name for name in found.near if name != self.initial.get("spoken")]
        if others:
            self.near = [say("it is spelt nearly like {others}: see Names that may be one", others=listed(others))]
        return typed

    @property
    def _own(self) -> UUID | None:
        """The row that is changed; None for a new one."""
        return None if self.instance._state.adding else self.instance.pk

    def clean_botanical(self) -> BotanicalName:
        typed = str(self.cleaned_data["botanical"])
        try:
            return botanical_name(typed) if typed else BotanicalName()
        except BadValue as error:
            raise forms.ValidationError(say("This is no name: give {allowed}.", allowed=error.allowed)) from error

    def clean(self) -> dict[str, Any]:
        """The trade designation is taken out of the botanical name into its own field; what is unusual is said, never refused."""
        data = super().clean() or self.cleaned_data
        name, typed = data.get("botanical"), str(data.get("trade_designation") or "")
        if isinstance(name, BotanicalName):
            self.warnings = [*self.near, *name.warnings, *trade_warnings(typed, name)]
            trade = typed.strip("'‘’\"“” ")
            if not trade or trade.casefold() == name.trade_designation.casefold():
                trade, name = trade or name.trade_designation, replace(name, trade_designation="")
            data["botanical"], data["trade_designation"] = name.plain, trade
            if same := same_botanical(name, self._own):
                self.warnings = [*self.warnings, say("{same} has the same botanical name: see Names that may be one", same=listed(same))]
        if any(data.get(field) for field in ("protected_until", "protection_register")) and not data.get("protected"):
            self.add_error("protected", say("An end or a register is given: tick this too, or empty them."))
        return {name: value for name, value in data.items() if not name.startswith(LOOK)} | {"traits": self._traits(data)}

    def _traits(self, data: dict[str, Any]) -> dict[str, Any]:
        """What it looks like, as typed; what was not asked stays as it was."""
        typed = {trait.key: data.get(f"{LOOK}{trait.key}") or "" for trait in TRAITS if f"{LOOK}{trait.key}" in self.data}
        return {key: value for key, value in {**self.instance.traits, **typed}.items() if value}


class TreeForm(NounForm):
    warnings: Sequence[str] = ()
    lengths: ClassVar = {
        "root_depth_mm": (later("How deep its roots go"), 50.0, 5_000.0),
        "mouth_mm": (later("Across the mouth of its pot"), 20.0, 10_000.0),
        "crown_mm": (later("Across its crown"), 50.0, 30_000.0),
    }

    class Meta:
        model = MotherTree
        fields = (
            "name", "cultivar", "raised_from", "sticks_a_season", "grows_in", "soil", "root_depth_mm", "pot_litres", "mouth_mm", "crown_mm",
            "note", "retired",
        )  # fmt: skip
        labels = {
            "name": later("How you call it"),
            "cultivar": later("Cultivar"),
            "note": later("Note"),
            "sticks_a_season": later("Sticks it can give in a season"),
            "grows_in": later("Where it grows"),
            "soil": later("Its soil"),
            "pot_litres": later("Litres of soil in its pot"),
            "retired": later("No longer there"),
        }
        help_texts = {
            "name": later("Such as: the old tree by the gate."),
            "sticks_a_season": later("Empty: not known."),
        }

    raised_from = forms.CharField(
        required=False,
        max_length=80,
        label=later("Grew from which plant of this book"),
        help_text=later("Its code, or its name and number: Red Tarn 12. Empty: it was bought, given, or always there."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        held = self.instance.raised_from_id
        self.raised = Plant.objects.select_related("cultivar").filter(pk=held).first() if held else None
        self.initial["raised_from"] = named_with_code(self.raised) if self.raised else ""
        if held and not self.raised:
            self.fields["raised_from"].help_text = say(
                "The graft of the plant that stood here is undone. Bring it back first, or leave this empty."
            )

    def clean_raised_from(self) -> Plant | None:
        typed = str(self.cleaned_data["raised_from"]).strip()
        if not typed or typed == self.initial["raised_from"]:
            return self.raised if typed else None
        try:
            return plant_raised(typed, None if self.instance._state.adding else self.instance)
        except Refused as refusal:
            raise forms.ValidationError(f"{refusal.message} {refusal.remedy}") from refusal

    def clean(self) -> dict[str, Any]:
        """A tree of another name than the plant that it grew from is said, never refused."""
        data = super().clean() or self.cleaned_data
        plant, cultivar = data.get("raised_from"), data.get("cultivar")
        if plant and cultivar and plant.cultivar_id != cultivar.pk:
            self.warnings = [
                say(
                    "it grew from {plant}, and is {cultivar}: one of the two names is wrong, unless it is a sport",
                    plant=plant.spoken,
                    cultivar=cultivar,
                )
            ]
        return data


class LotForm(NounForm):
    lengths: ClassVar = {"diameter_mm": (later("Usual stem thickness"), 0.5, 200.0)}

    class Meta:
        model = RootstockLot
        fields = ("name", "species", "count", "arrived_on", "diameter_mm", "pot_kind", "note", "retired")
        labels = {
            "name": later("How you call it"),
            "species": later("Species"),
            "note": later("Note"),
            "count": later("Stocks at the start"),
            "pot_kind": later("Pot"),
            "retired": later("Used up or gone"),
        }
        help_texts = {"name": later("Such as: 24-B."), "count": later("Empty: not counted.")}

    arrived_on = DayField(required=False, label=later("Arrived or sown on"))


class PotForm(NounForm):
    lengths: ClassVar = {"across_mm": (later("Across at the rim"), 10.0, 2000.0)}

    class Meta:
        model = PotKind
        fields = ("name", "shape", "across_mm", "litres", "note", "retired")
        labels = {
            "name": later("Name"),
            "shape": later("Shape"),
            "litres": later("Litres"),
            "note": later("Note"),
            "retired": later("No longer used"),
        }


class MethodForm(NounForm):
    lengths: ClassVar = {
        "cut_low_mm": (later("Shortest cut"), 1.0, 500.0),
        "cut_high_mm": (later("Longest cut"), 1.0, 500.0),
        "stock_low_mm": (later("Thinnest stock"), 0.5, 500.0),
        "stock_high_mm": (later("Thickest stock"), 0.5, 500.0),
    }

    class Meta:
        model = Method
        fields = (
            "name", "joins", "leafy", "cut_low_mm", "cut_high_mm", "scion_nodes", "grafts_a_stick", "minutes_a_graft",
            "ratio_low", "ratio_high", "stock_low_mm", "stock_high_mm", "closed_days", "hardening_days", "note", "retired",
        )  # fmt: skip
        labels = {
            "name": later("Name"),
            "note": later("Note"),
            "joins": later("How it joins"),
            "leafy": later("The scion is in leaf when it is cut"),
            "scion_nodes": later("Nodes on the scion"),
            "grafts_a_stick": later("Grafts from a stick"),
            "minutes_a_graft": later("Minutes a graft"),
            "ratio_low": later("Thinnest scion, as a share of the stock"),
            "ratio_high": later("Thickest scion, as a share of the stock"),
            "closed_days": later("Days closed"),
            "hardening_days": later("Days to harden off"),
            "retired": later("No longer used"),
        }
        help_texts = {
            "leafy": "",
            "ratio_low": later("0.3 for three tenths of its thickness."),
            "ratio_high": later("1 for as thick as it."),
        }

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not data.get("joins") and "joins" not in self.changed_data:
            data["joins"] = way_told_by(data.get("name", ""))  # as the name says, where nothing else is said
        for low, high in (("cut_low_mm", "cut_high_mm"), ("ratio_low", "ratio_high"), ("stock_low_mm", "stock_high_mm")):
            if data.get(low) and data.get(high) and data[low] > data[high]:
                self.add_error(high, say("This must not be less than the field before it."))
        return data


class SettingsForm(NounForm):
    class Meta:
        model = Nursery
        fields = (
            "name",
            "latitude_deg",
            "longitude_deg",
            "altitude_m",
            "time_zone",
            "length_unit",
            "temperature_unit",
            "paper",
            "bench_hours_a_week",
            "skill",
        )
        labels = {
            "name": later("Name"),
            "time_zone": later("Time zone"),
            "paper": later("Paper"),
            "latitude_deg": later("Latitude, degrees"),
            "longitude_deg": later("Longitude, degrees"),
            "altitude_m": later("Height above the sea, metres"),
            "length_unit": later("Lengths in"),
            "temperature_unit": later("Temperatures in"),
            "bench_hours_a_week": later("Hours at the bench in a week"),
            "skill": later("Whose hand grafts, for advice on joining"),
        }
        help_texts = {
            "latitude_deg": later(
                "North 47.2, south -33.9. Seasons and day length follow from it; the north is assumed while it is empty."
            ),
            "time_zone": later("Type the nearest large town and choose: Melbourne finds Australia/Melbourne."),
        }

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["time_zone"].widget = Offering(zone_names())

    def clean_time_zone(self) -> str:
        return zone_meant(str(self.cleaned_data["time_zone"]))


class StepForm(forms.Form):
    """One step of after-care."""

    step = forms.ChoiceField(choices=lambda: list(STEP_KINDS.items()), label=later("What kind of step"))
    say = forms.CharField(max_length=200, label=later("What to do"))
    why = forms.CharField(max_length=400, label=later("Why"))
    day = forms.IntegerField(min_value=0, max_value=1500, label=later("On day"))
    every = forms.IntegerField(min_value=1, max_value=365, required=False, label=later("Again every so many days"))
    until = forms.IntegerField(min_value=0, max_value=1500, required=False, label=later("Until day"))
    open_pct = forms.FloatField(min_value=0, max_value=100, required=False, label=later("Vents open, %"), help_text=later("For vents."))
    practice = forms.CharField(max_length=80, required=False, label=later("Only under the practice"))
    source = forms.CharField(max_length=200, label=later("Where this comes from"), initial=later("my own practice"))
    was = forms.CharField(required=False, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("step") == "vent" and data.get("open_pct") is None:
            self.add_error("open_pct", say("Say how far the vents are opened: 33."))
        if data.get("every") and data.get("until") is not None and data.get("day") is not None and data["until"] < data["day"]:
            self.add_error("until", say("The last day must not come before the first."))
        return data

    def values(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name != "was"}


class PracticeForm(forms.Form):
    """A practice beside others of its topic."""

    topic = forms.CharField(max_length=80, label=later("Topic"), help_text=later("Such as: Water in the tray"))
    name = forms.CharField(max_length=80, label=later("Name of the practice"))
    says = forms.CharField(max_length=400, label=later("What it says"), widget=forms.Textarea(attrs={"rows": 2}))
    source = forms.CharField(max_length=200, label=later("Where it comes from"), initial=later("my own practice"))
