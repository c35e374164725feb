"""Forms of Plants: one form serves every kind of event, to write it down or to correct it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from django import forms

from scionary.book.commands import noon
from scionary.book.kinds import KINDS, SEEN, SIGNS
from scionary.book.models import NOUNS, Nursery
from scionary.book.practice import LABEL_MEDIA
from scionary.web.typing_in import DayField, LengthField, Offering

_SIGN_WORDS = {
    "stalk_drops": "leaf stalk drops at a touch",
    "bud_moving": "bud moving",
    "callus_seen": "callus seen",
    "firm": "firm",
    "growing": "growing",
    "in_leaf": "in leaf the next spring",
}
_LOST_SIGNS = ("shrivelled", "black", "mould", "dry", "no bud in spring", "broken off")
_LOST_CAUSES = ("dried out", "overheated", "mould", "cambium did not meet", "wet roots", "frost", "knocked")
_LENGTHS = {
    "scion_mm": ("Scion thickness", 500.0),
    "stock_mm": ("Stock thickness", 500.0),
    "height_mm": ("Height", 50_000.0),
    "water_mm": ("Water", 500.0),
}
_NOUN_LABELS = {"cultivar": "Cultivar", "method": "Method", "lot": "Stock lot", "tree": "Mother tree", "dome": "Dome", "pot": "Pot"}
_TEXTS = {
    "stands": ("Where", 120),
    "grafter": ("Who grafted", 60),
    "product": ("Product", 80),
    "reason": ("Against what", 120),
    "label_says": ("What its label says", 500),
    "cause": ("Suspected cause", 120),
}
_WHOLE = {
    "place": ("Place", 1, 10_000),
    "running_number": ("Number that is said", 1, 1_000_000),
    "nodes_left": ("Nodes left", 0, 50),
    "count": ("How many", 0, 1000),
}
_CHOICES = {
    "seen": ("What is seen", [(word, word.replace("_", " ")) for word in SEEN]),
    "answer": ("Yes or no?", [("yes", "yes"), ("no", "no"), ("unsure", "not sure")]),
    "how": ("How", [("sale", "sold"), ("gift", "given away"), ("other", "otherwise")]),
    "precision": ("The date is known to the", [("day", "day"), ("month", "month"), ("year", "year")]),
}
_HIDDEN = ("bag", "bench", "code_number")  # set where they are made, not typed here


class EventForm(forms.Form):
    """An event of one kind: the day, then the fields that this kind may hold."""

    on = DayField(label="On")

    def __init__(self, *args: Any, kind: str, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, **options)
        self.kind, self.nursery = kind, nursery
        spec = KINDS[kind]
        ordered = sorted(spec.fields, key=lambda name: (name not in spec.needed, name == "note"))
        for name in ordered:
            if name not in _HIDDEN:
                self.fields[name] = _field(name, kind, required=name in spec.needed, unit=nursery.length_unit)
        self.order_fields([*(name for name in ordered if name != "note"), "on", "note"])

    def payload(self) -> dict[str, Any]:
        """What was typed, as an event holds it; empty fields are None."""
        return {name: _plain(value) for name, value in self.cleaned_data.items() if name != "on"}

    def moment(self, now: datetime) -> datetime:
        """Now for today, else noon of the day."""
        day: date = self.cleaned_data["on"]
        return now if day == now.astimezone(self.nursery.zone).date() else noon(day, self.nursery)

    def changes(self, payload: dict[str, Any], at: datetime) -> dict[str, Any]:
        """The fields that differ from the event as it stands."""
        found = {name: value for name, value in self.payload().items() if not _same(value, payload.get(name))}
        if self.cleaned_data["on"] != at.astimezone(self.nursery.zone).date():
            found["happened_at"] = noon(self.cleaned_data["on"], self.nursery).isoformat()
        return found


_NOT_FOR_ALL = {"moved": ("place",), "name_confirmed": ("cultivar", "running_number"), "observed": ("seen", "height_mm")}


class SeveralForm(EventForm):
    """An event that is written about several plants: without what can only be true of one."""

    def __init__(self, *args: Any, kind: str, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, kind=kind, nursery=nursery, **options)
        for name in _NOT_FOR_ALL.get(kind, ()):
            del self.fields[name]
        if kind == "observed":
            self.fields["note"].required = True
        if kind == "moved":
            self.fields["dome"].help_text = "Each stands at the next free place."
            self.order_fields(["stands", "dome", "on", "note"])

    def payload(self) -> dict[str, Any]:
        """As for one plant; in a dome they begin at the first place, the next ones give way."""
        given = super().payload()
        return given | {"place": 1} if given.get("dome") else given


def _field(name: str, kind: str, *, required: bool, unit: str) -> forms.Field:
    maker = _MAKERS.get(name)
    if name == "sign":
        maker = _lost_sign if kind == "lost" else _scored_sign
    if maker is not None:
        return maker(required)
    if name in _LENGTHS:
        label, high = _LENGTHS[name]
        return LengthField(unit=unit, low_mm=0.0, high_mm=high, required=required, label=label, about=name.removesuffix("_mm"))
    if name in _NOUN_LABELS:
        rows = NOUNS[name]._default_manager.filter(retired=False)
        return forms.ModelChoiceField(rows, required=required, label=_NOUN_LABELS[name], empty_label="not said")
    if name in _WHOLE:
        label, low, high = _WHOLE[name]
        return forms.IntegerField(min_value=low, max_value=high, required=required, label=label)
    if name in _CHOICES:
        label, choices = _CHOICES[name]
        return forms.ChoiceField(choices=choices if required else [("", "not said"), *choices], required=required, label=label)
    label, longest = _TEXTS[name]
    return forms.CharField(max_length=longest, required=required, label=label)


def _scored_sign(required: bool) -> forms.Field:
    return forms.ChoiceField(choices=[(sign, _SIGN_WORDS[sign]) for sign in SIGNS], required=required, label="Which sign?")


def _lost_sign(required: bool) -> forms.Field:
    return forms.CharField(max_length=60, required=required, label="Sign seen", widget=Offering(_LOST_SIGNS))


_MAKERS: dict[str, Callable[[bool], forms.Field]] = {
    "note": lambda required: forms.CharField(max_length=2000, required=required, label="Note", widget=forms.Textarea(attrs={"rows": 2})),
    "cause": lambda required: forms.CharField(
        max_length=120, required=required, label="Suspected cause", help_text="Only if you have one.", widget=Offering(_LOST_CAUSES)
    ),
    "medium": lambda required: forms.CharField(max_length=30, required=required, label="Written with", widget=Offering(LABEL_MEDIA)),
    "label_medium": lambda required: forms.CharField(
        max_length=30, required=required, label="Label written with", widget=Offering(LABEL_MEDIA)
    ),
    "price": lambda required: forms.FloatField(min_value=0, max_value=1e6, required=required, label="Price"),
    "open_pct": lambda required: forms.FloatField(min_value=0, max_value=100, required=required, label="Open, in %"),
}


def _plain(value: Any) -> Any:
    if value is None or value == "":
        return None
    return str(value.pk) if hasattr(value, "pk") else value


def _same(first: Any, second: Any) -> bool:
    if isinstance(first, float) and isinstance(second, int | float):
        return abs(first - second) < 1e-3
    return bool((first or None) == (second or None))
