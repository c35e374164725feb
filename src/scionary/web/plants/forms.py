"""Forms of Plants: one form serves every kind of event, to write it down or to correct it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, datetime
from typing import Any

from django import forms

from scionary.answers.growing_year import in_leaf_season
from scionary.answers.label_media import label_media
from scionary.book.commands import noon
from scionary.book.kinds import KINDS, SEEN, SIGNS
from scionary.book.models import NOUNS, Cultivar, Nursery
from scionary.book.texts import later
from scionary.language import mark, say
from scionary.web.typing_in import DayField, LengthField, NamesACultivar, Offering

_SIGN_WORDS = {
    "stalk_drops": later("leaf stalk drops at a touch"),
    "bud_moving": later("bud moving"),
    "callus_seen": later("callus seen"),
    "firm": later("firm"),
    "growing": later("growing"),
    "in_leaf": later("in leaf the next spring"),
}
_LOST_SIGNS = (
    mark("shrivelled"), mark("black"), mark("mould"), mark("dry"), mark("no bud in spring"), mark("broken off"),
)  # fmt: skip
_LOST_CAUSES = (
    mark("dried out"), mark("overheated"), mark("mould"), mark("cambium did not meet"), mark("wet roots"), mark("frost"), mark("knocked"),
)  # fmt: skip
_LENGTHS = {
    "scion_mm": (later("Scion thickness"), 500.0),
    "stock_mm": (later("Stock thickness"), 500.0),
    "cut_mm": (later("Length of the cut"), 500.0),
    "lean_mm": (later("Scion leaned by, at its top"), 100.0),
    "height_mm": (later("Height"), 50_000.0),
    "water_mm": (later("Water"), 500.0),
}
_NOUN_LABELS = {
    "method": later("Method"),
    "lot": later("Stock lot"),
    "tree": later("Mother tree"),
    "dome": later("Dome"),
    "pot": later("Pot"),
}
_TEXTS = {
    "stands": (later("Where"), 120),
    "grafter": (later("Who grafted"), 60),
    "product": (later("Product"), 80),
    "reason": (later("Against what"), 120),
    "label_says": (later("What its label says"), 500),
    "cause": (later("Suspected cause"), 120),
}
_WHOLE = {
    "place": (later("Place"), 1, 10_000),
    "running_number": (later("Number that is said"), 1, 1_000_000),
    "nodes_left": (later("Nodes left"), 0, 50),
    "count": (later("How many"), 0, 1000),
}
_SEEN_WORDS = {
    "unchanged": later("unchanged"),
    "wilting": later("wilting"),
    "mould": later("mould"),
    "missing": later("missing"),
    "found": later("found"),
    "name_in_doubt": later("name in doubt"),
    "stalks_picked_out": later("stalks picked out"),
}
_CHOICES: dict[str, tuple[str, list[tuple[str, str]]]] = {
    "seen": (later("What is seen"), [(word, _SEEN_WORDS[word]) for word in SEEN]),
    "answer": (later("Yes or no?"), [("yes", later("yes")), ("no", later("no")), ("unsure", later("not sure"))]),
    "light": (later("It hangs in"), [("sun", later("the sun")), ("shade", later("the shade"))]),
    "label_light": (later("Its label hangs in"), [("sun", later("the sun")), ("shade", later("the shade"))]),
    "how": (later("How"), [("sale", later("sold")), ("gift", later("given away")), ("other", later("otherwise"))]),
    "precision": (later("The date is known to the"), [("day", later("day")), ("month", later("month")), ("year", later("year"))]),
}
_HIDDEN = ("bag", "bench", "code_number", "photo", "litres")  # set where they are made, or of trees alone: not typed here


def usual_day(kind: str, today: date, nursery: Nursery) -> date | None:
    """Today; none for a name confirmed in leaf while trees stand bare: that day is said."""
    return None if kind == "name_confirmed" and not in_leaf_season(today, nursery.latitude_deg) else today


class EventForm(NamesACultivar):
    """An event of one kind: the day, then the fields that this kind may hold. A cultivar is typed, and may be new to the book."""

    on = DayField(label=later("On"))

    def __init__(self, *args: Any, kind: str, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, **options)
        self.kind, self.nursery = kind, nursery
        spec = KINDS[kind]
        if kind == "name_confirmed":
            self.fields["on"].help_text = say("The day on which you saw it in leaf.")
        self._name_the_cultivar(required="cultivar" in spec.needed, held="cultivar" in spec.fields)
        ordered = sorted(spec.fields, key=lambda name: (name not in spec.needed, name == "note"))
        for name in ordered:
            if name not in (*_HIDDEN, "cultivar"):
                self.fields[name] = _field(name, kind, required=name in spec.needed, unit=nursery.length_unit)
        self.order_fields([*_after_cultivar(name for name in ordered if name != "note"), "on", "note"])

    def _name_the_cultivar(self, *, required: bool, held: bool) -> None:
        """The cultivar's field as this kind needs it, showing the name of the one that is written down."""
        if not held:
            del self.fields["cultivar"], self.fields["anyway"]
            return
        self.fields["cultivar"].required, self.fields["cultivar"].label = required, say("Cultivar")
        self.fields["cultivar"].help_text = say("Another name may be typed.")
        if ident := self.initial.get("cultivar"):
            row = Cultivar.objects.filter(pk=ident).first()
            self.initial = {**self.initial, "cultivar": row.spoken if row else ""}

    @property
    def new_cultivar(self) -> str:
        """The name that was typed, where the book holds none such; it is added with what is written."""
        typed = str(self.cleaned_data.get("cultivar") or "")
        return typed if typed and not Cultivar.objects.filter(spoken=typed).exists() else ""

    def payload(self) -> dict[str, Any]:
        """What was typed, as an event holds it; empty fields are None, and so is a cultivar that is new to the book."""
        values = {name: _plain(value) for name, value in self.cleaned_data.items() if name not in ("on", "anyway")}
        if values.get("cultivar"):
            values["cultivar"] = _plain(Cultivar.objects.filter(spoken=values["cultivar"]).first())
        return values

    def moment(self, now: datetime) -> datetime:
        """Now for today, else noon of the day."""
        day: date = self.cleaned_data["on"]
        return now if day == now.astimezone(self.nursery.zone).date() else noon(day, self.nursery)

    def changes(self, payload: dict[str, Any], at: datetime) -> dict[str, Any]:
        """The fields that differ from the event as it stands."""
        found = {name: value for name, value in self.payload().items() if not _same(value, payload.get(name))}
        if self.new_cultivar:
            found.pop("cultivar", None)
        if self.cleaned_data["on"] != at.astimezone(self.nursery.zone).date():
            found["happened_at"] = noon(self.cleaned_data["on"], self.nursery).isoformat()
        return found


_NOT_FOR_ALL = {
    "moved": ("place",),
    "relabelled": ("running_number",),
    "name_confirmed": ("cultivar", "running_number"),
    "observed": ("seen", "height_mm"),
}


class SeveralForm(EventForm):
    """An event that is written about several plants: without what can only be true of one."""

    def __init__(self, *args: Any, kind: str, nursery: Nursery, **options: Any) -> None:
        super().__init__(*args, kind=kind, nursery=nursery, **options)
        for name in _NOT_FOR_ALL.get(kind, ()):
            del self.fields[name]
        if "cultivar" not in self.fields:
            self.fields.pop("anyway", None)
        if kind == "observed":
            self.fields["note"].required = True
        if kind == "moved":
            self.fields["dome"].help_text = say("Each stands at the next free place.")
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
        return forms.ModelChoiceField(rows, required=required, label=_NOUN_LABELS[name], empty_label=say("not said"))
    if name in _WHOLE:
        label, low, high = _WHOLE[name]
        return forms.IntegerField(min_value=low, max_value=high, required=required, label=label)
    if name in _CHOICES:
        label, choices = _CHOICES[name]
        return forms.ChoiceField(choices=choices if required else [("", say("not said")), *choices], required=required, label=label)
    label, longest = (later("Why"), 200) if name == "reason" and kind != "treated" else _TEXTS[name]
    return forms.CharField(max_length=longest, required=required, label=label)


def _scored_sign(required: bool) -> forms.Field:
    return forms.ChoiceField(choices=[(sign, _SIGN_WORDS[sign]) for sign in SIGNS], required=required, label=say("Which sign?"))


def _lost_sign(required: bool) -> forms.Field:
    return forms.CharField(max_length=60, required=required, label=say("Sign seen"), widget=Offering(_LOST_SIGNS))


_MAKERS: dict[str, Callable[[bool], forms.Field]] = {
    "note": lambda required: forms.CharField(
        max_length=2000, required=required, label=later("Note"), widget=forms.Textarea(attrs={"rows": 2})
    ),
    "cause": lambda required: forms.CharField(
        max_length=120,
        required=required,
        label=say("Suspected cause"),
        help_text=say("Only if you have one."),
        widget=Offering(_LOST_CAUSES),
    ),
    "medium": lambda required: forms.CharField(
        max_length=30, required=required, label=say("Written with"), widget=Offering(label_media().names)
    ),
    "label_medium": lambda required: forms.CharField(
        max_length=30, required=required, label=say("Label written with"), widget=Offering(label_media().names)
    ),
    "chance": lambda required: forms.FloatField(
        min_value=0, max_value=1, required=required, label=say("Chance that it is this one, 0 to 1")
    ),
    "price": lambda required: forms.FloatField(min_value=0, max_value=1e6, required=required, label=later("Price")),
    "open_pct": lambda required: forms.FloatField(min_value=0, max_value=100, required=required, label=say("Open, in %")),
}


def _after_cultivar(names: Iterable[str]) -> list[str]:
    """The question about a name that is nearly in the book stands right under it."""
    return [each for name in names for each in ((name, "anyway") if name == "cultivar" else (name,))]


def _plain(value: Any) -> Any:
    if value is None or value == "":
        return None
    return str(value.pk) if hasattr(value, "pk") else value


def _same(first: Any, second: Any) -> bool:
    if isinstance(first, float) and isinstance(second, int | float):
        return abs(first - second) < 1e-3
    return bool((first or None) == (second or None))
