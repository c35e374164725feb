"""Forms of the bench: setting it, the next graft, what already stands in a dome."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import forms

from scionary.answers.bench_correcting import DayChange
from scionary.answers.bench_day import Label
from scionary.answers.bench_setting import FIRST_DOME, BenchSetting
from scionary.answers.cuttings import bags_held, cutting_undone
from scionary.answers.held import held
from scionary.answers.label_media import label_media
from scionary.answers.standing import Grafted, StandingLine, read_standing, read_when
from scionary.answers.usual_method import method_for
from scionary.answers.words import listed, plural
from scionary.book import queries
from scionary.book.models import BenchDay, Dome, Graft, Method, MotherTree, Nursery, PotKind, RootstockLot
from scionary.book.texts import later
from scionary.errors import Refused
from scionary.language import say
from scionary.limits import LIMITS
from scionary.web.typing_in import DayField, LengthField, NamesACultivar, Offering, known_names


def _grafters() -> list[str]:
    """Everybody who ever grafted."""
    return list(Graft.objects.exclude(grafter="").order_by("grafter").values_list("grafter", flat=True).distinct())


def _cleaned(text: str) -> str:
    return " ".join(text.split())


def thickness_fields(nursery: Nursery) -> dict[str, forms.Field]:
    """Stock and scion thickness, in the person's unit."""
    names = {"stock": say("Stock thickness"), "scion": say("Scion thickness")}
    return {name: LengthField(unit=nursery.length_unit, low_mm=0.5, label=label, about=name) for name, label in names.items()}


def cut_fields(nursery: Nursery) -> dict[str, forms.Field]:
    """Length of the cut and how far the scion was leaned, for whoever writes them down."""
    return {
        "cut": LengthField(unit=nursery.length_unit, low_mm=1.0, label=say("Length of the cut")),
        "lean": LengthField(
            unit=nursery.length_unit,
            low_mm=0.0,
            high_mm=100.0,
            label=say("Leaned by, at its top"),
            help_text=say("0 where it stands straight."),
        ),
    }


def label_fields(nursery: Nursery) -> dict[str, forms.Field]:
    """What labels are written with, of the media that the book knows or another, and where they hang."""
    media = Offering(label_media(nursery).names)
    return {
        "label_medium": forms.CharField(max_length=30, required=False, label=say("Label written with"), widget=media),
        "label_light": forms.ChoiceField(
            choices=[("", say("not said")), ("sun", say("the sun")), ("shade", say("the shade"))],
            required=False,
            label=say("Labels hang in"),
        ),
    }


def label_typed(data: Mapping[str, Any]) -> Label:
    return Label(_cleaned(data.get("label_medium", "")), data.get("label_light", ""))


class BenchForm(NamesACultivar):
    """The bench for a run of grafts; only the cultivar is needed."""

    first = ("cultivar", "anyway", "count", "method")

    count = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=LIMITS["batch_grafts"],
        label=later("How many are made already?"),
        help_text=later("Empty: write each one down as you make it."),
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    method = forms.ModelChoiceField(Method.objects.none(), required=False, label=later("Method"), empty_label=later("not said"))
    day = DayField(label=later("Grafted on"))
    ahead = forms.BooleanField(required=False, label=later("Yes, the date is right"), widget=forms.HiddenInput)
    dome = forms.CharField(
        max_length=60, required=False, label=later("Dome"), help_text=later("A new name makes a new dome of the usual size.")
    )
    lot = forms.CharField(max_length=60, required=False, label=later("Stock lot"), help_text=later("A new name makes a new lot."))
    tree = forms.CharField(max_length=80, required=False, label=later("Mother tree"))
    bag = forms.CharField(
        max_length=80, required=False, label=later("Bag of scions"), help_text=later("The code on it, or its name; it knows its tree.")
    )
    pot_kind = forms.ModelChoiceField(PotKind.objects.none(), required=False, label=later("Pot"), empty_label=later("not said"))
    grafter = forms.CharField(max_length=60, required=False, label=later("Who grafts"))

    def __init__(self, *args: Any, nursery: Nursery, today: date, changing: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = today
        self.fields["method"].queryset = Method.objects.filter(retired=False)  # type: ignore[attr-defined]
        self.fields["pot_kind"].queryset = PotKind.objects.filter(retired=False)  # type: ignore[attr-defined]
        offers = {"dome": known_names(Dome, "name"), "lot": known_names(RootstockLot, "name")}
        offers |= {"tree": known_names(MotherTree, "name"), "bag": [bag.name for bag, _ in bags_held(nursery, today=today)]}
        for field, known in {**offers, "grafter": held("grafters", queries.stamp(), _grafters)}.items():
            self.fields[field].widget = Offering(known)
        if changing:
            del self.fields["count"]
        else:
            self.fields |= thickness_fields(nursery) | cut_fields(nursery) | label_fields(nursery)

    def clean(self) -> dict[str, Any]:
        """A day ahead is asked about once, and then taken: what really happened is never refused."""
        data = super().clean() or self.cleaned_data
        told = ahead_words(data["day"], self.today) if data.get("day") else ""
        if told:
            self.fields["ahead"].widget = forms.CheckboxInput()
            if not data.get("ahead"):
                self.add_error("day", say("{told} If it is, tick the box below.", told=told))
        return data

    def setting(self) -> BenchSetting:
        data = self.cleaned_data
        text = {name: _cleaned(data[name]) for name in ("dome", "lot", "tree", "bag", "grafter")}
        return BenchSetting(
            data["cultivar"],
            data["day"],
            method=data["method"],
            pot_kind=data["pot_kind"],
            stock_mm=data.get("stock"),
            scion_mm=data.get("scion"),
            cut_mm=data.get("cut"),
            lean_mm=data.get("lean"),
            label=label_typed(data),
            **text,
        )


def ahead_words(day: date, today: date) -> str:
    """A question about a day that lies ahead; empty for any other."""
    days = (day - today).days
    return say("That is {days} ahead: is the year right?", days=plural(days, "day")) if days > 0 else ""


def begin_with(last: BenchDay | None, today: date, nursery: Nursery) -> dict[str, Any]:
    """What a new bench begins with: the last one's setup, else the first dome; the method of the season."""
    usual = {"day": today, "method": method_for(today, nursery)}
    if last is None:
        dome = Dome.objects.filter(retired=False).order_by("name").first()
        return {"dome": dome.name if dome else FIRST_DOME, **usual}
    return {**setup_as_typed(last), "cultivar": "", "tree": "", "bag": "", **usual}


def setup_as_typed(bench: BenchDay) -> dict[str, Any]:
    names = {name: str(getattr(bench, name) or "") for name in ("cultivar", "dome", "lot", "tree", "bag", "grafter")}
    if bench.bag and cutting_undone(bench.bag):
        names["bag"] = ""
    return {**names, "day": bench.day, "method": bench.method_id, "pot_kind": bench.pot_kind_id}


class CorrectDayForm(NamesACultivar):
    """What was wrong with all grafts of a bench day; what stays empty stays as it is."""

    day = DayField(required=False, label=later("Grafted on"))
    dome = forms.CharField(max_length=60, required=False, label=later("Dome"))
    method = forms.ModelChoiceField(Method.objects.none(), required=False, label=later("Method"), empty_label=later("as it is"))
    lot = forms.CharField(max_length=60, required=False, label=later("Stock lot"))
    tree = forms.CharField(max_length=80, required=False, label=later("Mother tree"))

    def __init__(self, *args: Any, now: Mapping[str, Sequence[str]], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["cultivar"].required = False
        self.fields["cultivar"].label = say("Cultivar")
        self.fields["method"].queryset = Method.objects.filter(retired=False)  # type: ignore[attr-defined]
        for name, model in (("dome", Dome), ("lot", RootstockLot), ("tree", MotherTree)):
            self.fields[name].widget = Offering(known_names(model, "name"))
        for name, values in now.items():
            self.fields[name].help_text = say("now: {values}", values=listed([each or say("not said") for each in values]))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.errors and not any(value for name, value in data.items() if name != "anyway"):
            raise forms.ValidationError(say("Fill in what was wrong."))
        return data

    def change(self) -> DayChange:
        data = self.cleaned_data
        text = {name: _cleaned(data[name]) for name in ("dome", "lot", "tree")}
        return DayChange(data["day"], data["cultivar"], method=data["method"], **text)


class GraftForm(forms.Form):
    """The next graft, or so many alike."""

    count = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=LIMITS["batch_grafts"],
        label=later("How many alike?"),
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    codes = forms.CharField(
        required=False,
        max_length=8_000,
        label=later("Codes on labels printed ahead"),
        help_text=later("Commas between them; the grafts take these codes."),
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields |= thickness_fields(nursery) | cut_fields(nursery) | label_fields(nursery)

    def cut(self) -> dict[str, float | None]:
        """Length of the cut and lean in mm, as they were typed."""
        return {"cut_mm": self.cleaned_data["cut"], "lean_mm": self.cleaned_data["lean"]}

    def label_here(self) -> Label:
        """What the labels are written with, and where they hang."""
        return label_typed(self.cleaned_data)

    def thickness(self) -> tuple[float | None, float | None]:
        """(stock, scion) in mm as they stand in the form; None where empty or no length."""
        found: list[float | None] = []
        for name in ("stock", "scion"):
            value = self.data.get(name) if self.is_bound else self.initial.get(name)
            try:
                found.append(value if isinstance(value, float) else self.fields[name].clean(value))
            except forms.ValidationError:
                found.append(None)
        return found[0], found[1]


class StandingForm(forms.Form):
    """Plants that already stand somewhere, in one line of text."""

    plants = forms.CharField(
        max_length=4000,
        label=later("What stands there?"),
        help_text=later("Like: 3 Red Tarn, 2 Ash Gill"),
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": later("Write what stands there, like: 3 Red Tarn, 2 Ash Gill.")},
    )
    grafted = forms.CharField(
        max_length=40,
        label=later("Grafted on, or about"),
        help_text=later("2026-06-14, 2026-06 for some day of a month, or 5 weeks ago"),
        error_messages={"required": later("Give a day, a month, or '5 weeks ago'.")},
    )
    dome = forms.CharField(
        max_length=60, required=False, label=later("In which dome?"), help_text=later("A new name makes a new dome of the usual size.")
    )
    method = forms.ModelChoiceField(Method.objects.none(), required=False, label=later("Method"), empty_label=later("not said"))

    def __init__(self, *args: Any, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = today
        self.lines: list[StandingLine] = []
        self.fields["method"].queryset = Method.objects.filter(retired=False)  # type: ignore[attr-defined]
        self.fields["dome"].widget = Offering(known_names(Dome, "name"))

    def given(self) -> dict[str, Any]:
        """What `write_standing` needs."""
        data = self.cleaned_data
        return {"dome": _cleaned(data["dome"]), "lines": self.lines, "grafted": data["grafted"], "method": data["method"]}

    def clean_plants(self) -> str:
        try:
            self.lines = read_standing(self.cleaned_data["plants"])
        except Refused as refusal:
            raise forms.ValidationError(f"{say(refusal.where)}: {refusal.message} {refusal.remedy}") from refusal
        return str(self.cleaned_data["plants"])

    def clean_grafted(self) -> Grafted:
        try:
            return read_when(self.cleaned_data["grafted"], today=self.today)
        except Refused as refusal:
            raise forms.ValidationError(f"{refusal.message} {refusal.remedy}") from refusal
