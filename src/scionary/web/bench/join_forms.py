"""The form of two stems that are to be joined, and of what nobody knows."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms

from scionary.answers.join_ask import (
    LEAST_GAP_MM,
    LEAST_WANTED_MM,
    MOST_GAP_MM,
    MOST_WANTED_MM,
    SKILL_WORDS,
    STAGE_WORDS,
    assumed,
    hand_words,
    methods_offered,
)
from scionary.answers.join_usual import UNKNOWN
from scionary.answers.opened_unions import grafters
from scionary.book.models import Nursery
from scionary.book.texts import later
from scionary.language import say
from scionary.web.typing_in import Offering

_LONGEST = 80
_THUMB = {"inputmode": "decimal", "autocomplete": "off"}
UNITS = (("mm", "mm"), ("in", later("inches")), ("64ths", later("64ths of an inch")))


def _text(label: str, help_text: str = "", *, needed: str = "", **attrs: str) -> forms.CharField:
    """A length, or another word, as a thumb types it; `needed` is said where it is missing."""
    widget = forms.TextInput(attrs={**_THUMB, **attrs})
    told = {"required": needed} if needed else None
    return forms.CharField(required=bool(needed), max_length=_LONGEST, label=label, help_text=help_text, widget=widget, error_messages=told)


def _assumed(nursery: Nursery) -> dict[str, float]:
    return {name.removesuffix("_mm"): value for name, value in assumed(nursery).items()}


def stages_offered() -> list[tuple[str, str]]:
    """What a stock may be doing: by the warmth outside, not known, or as a person sees it."""
    begin = [("", say("as the warmth outside tells")), (UNKNOWN, say("not known"))]
    return [*begin, *((str(key), words) for key, words in STAGE_WORDS.items())]


class JoinForm(forms.Form):
    """Two stems, a method, whose hand, and what nobody knows; everything but the thicknesses may stay as it is."""

    stock = _text(later("Stock thickness"), later("Where the two will meet, over the bark."), needed=later("Measure it: 7, 9/32 in."))
    scion = _text(later("Scion thickness"), needed=later("Measure it: 3, 1/8 in."))
    unit = forms.ChoiceField(required=False, choices=UNITS, label=later("Measured in"))
    method = forms.CharField(required=False, max_length=_LONGEST, label=later("Method"))
    stage = forms.CharField(required=False, max_length=_LONGEST, label=later("The stock is"))
    grafter = forms.CharField(required=False, max_length=60, label=later("Who grafts"))
    skill = forms.CharField(required=False, max_length=_LONGEST, label=later("Hand"))
    tolerance = forms.CharField(required=False, max_length=20)
    wanted = forms.CharField(required=False, max_length=20)
    stock_bark = _text(later("Bark of the stock"), later("With the bast: peel a little and measure."))
    scion_bark = _text(later("Bark of the scion"))
    stock_across = _text(later("Stock, the other way round"), later("Of an oval stem, across the face."))
    scion_across = _text(later("Scion, the other way round"))
    stock_bend = _text(
        later("Radius of the stock's bend"),
        later("To the stem's middle; cut on its outer side, inner side with a minus."),
        inputmode="text",
    )
    stock_name = _text(later("Botanical name of the stock"), inputmode="text")
    scion_name = _text(later("Botanical name of the scion"), inputmode="text")

    asked, how = ("stock", "scion", "unit"), ("method", "stage", "grafter", "skill")
    more = ("stock_bark", "scion_bark", "stock_across", "scion_across", "stock_bend", "stock_name", "scion_name")

    def __init__(self, asked: Mapping[str, str] | None, *, nursery: Nursery, usual: Mapping[str, str], initial: Mapping[str, str]) -> None:
        begin = {"unit": nursery.length_unit, **usual, **{name: f"{value:g}" for name, value in _assumed(nursery).items()}}
        given = {name: value for name, value in (asked or {}).items() if value or name == "grafter" or name not in begin}
        super().__init__({**begin, **given} if asked is not None else None, initial={**begin, **initial})
        of_book, ways = methods_offered()
        groups = [*([(say("Methods of the book"), of_book)] if of_book else []), (say("Ways to join"), ways)]
        self.fields["method"].widget = forms.Select(choices=groups)
        self.fields["stage"].widget = forms.Select(choices=stages_offered())
        self.fields["grafter"].widget = Offering(grafters())
        presets = [(key, say("{hand} hand", hand=words)) for key, words in SKILL_WORDS.items()]
        self.fields["skill"].widget = forms.Select(choices=[("", hand_words(nursery, self._value("grafter"))), *presets])
        for name in ("unit", *self.how, "tolerance", "wanted"):
            self.fields[name].has_answer = True  # type: ignore[attr-defined]  # a label says nothing of leaving it empty
        self._sliders()

    def _value(self, name: str) -> str:
        return str((self.data if self.is_bound else self.initial).get(name) or "")

    def _sliders(self) -> None:
        ends = {"tolerance": (LEAST_GAP_MM, MOST_GAP_MM, 0.05), "wanted": (LEAST_WANTED_MM, MOST_WANTED_MM, 0.5)}
        words = {"tolerance": say("Gap that callus bridges"), "wanted": say("Contact wanted")}
        for name, (low, high, step) in ends.items():
            field = self.fields[name]
            field.label = f"{words[name]}: {self._value(name)[:20]} mm"
            field.help_text = say("Nobody knows it: {low:g} to {high:g} mm.", low=low, high=high)
            field.widget = forms.NumberInput(attrs={"type": "range", "min": f"{low:g}", "max": f"{high:g}", "step": f"{step:g}"})
            field.widget.input_type = "range"

    @property
    def asked_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.asked]

    @property
    def how_fields(self) -> list[forms.BoundField]:
        """Those whose choices are sentences."""
        return [self[name] for name in self.how]

    @property
    def more_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.more]

    @property
    def sliders(self) -> list[forms.BoundField]:
        return [self["tolerance"], self["wanted"]]

    @property
    def more_is_open(self) -> bool:
        return any(self[name].errors or self._value(name) for name in self.more)

    @property
    def typed(self) -> dict[str, str]:
        """All fields as they were typed."""
        return {name: str(self.cleaned_data.get(name) or "") for name in self.fields}
