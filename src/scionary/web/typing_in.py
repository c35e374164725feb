"""Form fields for what a person types: names with what the book knows offered, lengths in the person's unit."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from typing import Any, TypeVar
from uuid import UUID

from django import forms
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from scionary.answers.called import called
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Noun
from scionary.book.texts import later
from scionary.errors import BadValue, Busy, Refused
from scionary.language import either, say
from scionary.limits import LIMITS
from scionary.names import Trait
from scionary.units import MM_PER_INCH, length_words, read_length_mm

T = TypeVar("T")
_NEAR_A_SIXTEENTH_MM = 0.02
_NOT_SAID = ("csrfmiddlewaretoken", "event_id")  # what a form holds that nobody typed or tapped
_DRAWN = ~((1 << 62) - 1)  # in an id: when it was made, and its place among others of that moment
_EXAMPLES = {
    "": ("16", "5/8"),
    "stock": ("6.8", "1/4"),
    "stock_low": ("4", "5/32"),
    "stock_high": ("12", "1/2"),
    "diameter": ("6.8", "1/4"),
    "scion": ("3.1", "1/8"),
    "lean": ("1.6", "1/16"),
    "height": ("300", "12"),
    "water": ("10", "3/8"),
    "across": ("98", "3 7/8"),
    "tray_length": ("520", "20 1/2"),
    "tray_width": ("267", "10 1/2"),
    "root_depth": ("600", "24"),
    "mouth": ("300", "12"),
    "crown": ("2400", "96"),
}


class Offering(forms.TextInput):
    """A text box that offers names; any other name may be typed."""

    def __init__(self, names: Iterable[str] = (), attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"autocomplete": "off", **(attrs or {})})
        self.names = list(names)

    def render(self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None) -> SafeString:
        listed = f"offered_{name}"
        box = super().render(name, value, {**(attrs or {}), "list": listed}, renderer)
        options = format_html_join("", '<option value="{}"></option>', ((known,) for known in self.names))
        return format_html('{}<datalist id="{}">{}</datalist>', box, listed, options)


class NamesACultivar(forms.Form):
    """A form that names a cultivar: one in the book, or a new one; a name that is nearly one in the book is asked about once."""

    first: tuple[str, ...] = ("cultivar", "anyway")
    kept_as = ""  # what must be said where it was called by another name

    cultivar = forms.CharField(
        max_length=60, label=later("Which cultivar?"), error_messages={"required": later("Name the cultivar: Red Tarn.")}
    )
    anyway = forms.BooleanField(required=False, label=later("It is a new cultivar: add it"), widget=forms.HiddenInput)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["cultivar"].widget = Offering(known_names(Cultivar, "spoken"))
        if self.data.get("anyway"):
            self.fields["anyway"].widget = forms.CheckboxInput()

    def clean_cultivar(self) -> str:
        typed = " ".join(self.cleaned_data["cultivar"].split())
        if not typed:
            return ""
        found = called(typed)
        if found.near and not self.data.get("anyway"):
            self.fields["anyway"].widget = forms.CheckboxInput()
            meant = either(found.near)
            raise forms.ValidationError(
                say("The book holds no {typed}. Did you mean {meant}? If it is a new one, tick the box.", typed=found.typed, meant=meant)
            )
        self.kept_as = found.words
        return found.kept

    @property
    def first_fields(self) -> list[forms.BoundField]:
        """What is asked at once, in this order."""
        return [self[name] for name in self.first if name in self.fields and not self[name].is_hidden]

    @property
    def more_fields(self) -> list[forms.BoundField]:
        """What may stay as it is."""
        return [field for field in self.visible_fields() if field.name not in self.first]

    @property
    def more_is_wrong(self) -> bool:
        return any(field.errors for field in self.more_fields)


class LengthField(forms.CharField):
    """A length typed as people say it; gives millimetres, or None when left empty. `about` chooses the example beside it."""

    def __init__(self, *, unit: str = "mm", low_mm: float = 0.1, high_mm: float = 500.0, about: str = "", **options: Any) -> None:
        options.setdefault("required", False)
        self.unit, self.low_mm, self.high_mm = unit, low_mm, high_mm
        in_mm, in_inches = _EXAMPLES.get(about, _EXAMPLES[""])
        options.setdefault(
            "help_text",
            later("{in_inches} or {in_mm} mm", in_inches=in_inches, in_mm=in_mm)
            if unit == "in"
            else later("{in_mm} or {in_inches} in", in_mm=in_mm, in_inches=in_inches),
        )
        super().__init__(max_length=40, **options)

    def prepare_value(self, value: Any) -> Any:
        return typed_length(value, self.unit) if isinstance(value, float) else value

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            found = read_length_mm(text, self.unit)
        except BadValue as error:
            raise forms.ValidationError(
                say("{typed!r} is no length; write it like {example}.", typed=text[:40], example=self.help_text)
            ) from error
        if not self.low_mm <= found <= self.high_mm:
            low, high = length_words(self.low_mm, self.unit), length_words(self.high_mm, self.unit)
            raise forms.ValidationError(
                say("{length} is out of range: give {low} to {high}.", length=length_words(found, self.unit), low=low, high=high)
            )
        return found


class DayField(forms.DateField):
    """A day, picked or typed."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        options.setdefault("error_messages", {"invalid": later("That is no day that exists; write it like 2026-06-14.")})
        super().__init__(input_formats=["%Y-%m-%d", "%d.%m.%Y"], **options)


def trait_field(trait: Trait, **options: Any) -> forms.ChoiceField:
    """One thing to look at, with its few answers; empty says nothing."""
    options = {"help_text": f"{say(trait.look)}.", **options}
    words = say(trait.words)
    label = f"{words[:1].upper()}{words[1:]}"
    return forms.ChoiceField(required=False, choices=[("", say("not known")), *trait.values.items()], label=label, **options)


class SentFile(forms.FileField):
    """A file of a size that is read; a larger one is refused before any of it is."""

    def clean(self, data: Any, initial: Any = None) -> Any:
        most = LIMITS["file_bytes"]
        if data is not None and data is not False and data.size > most:
            raise forms.ValidationError(
                say(
                    "The file has {size:,.1f} MB; at most {most:,.1f} MB are read. Split it.",
                    size=data.size / 1000000.0,
                    most=most / 1000000.0,
                )
            )
        return super().clean(data, initial)


def typed_length(length_mm: float, unit: str) -> str:
    """A length as a person would type it, without losing any of it."""
    if unit == "in":
        sixteenths = length_mm / MM_PER_INCH * 16
        if abs(sixteenths - round(sixteenths)) * MM_PER_INCH / 16 <= _NEAR_A_SIXTEENTH_MM:
            return length_words(length_mm, "in")
        return f"{length_mm / MM_PER_INCH:.4g} in"
    return f"{length_mm:.5g} mm"


def show_refusal(form: forms.BaseForm, refusal: Refused) -> None:
    """Put a refusal at the field that it names, else above the form, which keeps what was typed."""
    form.others_wrote = isinstance(refusal, Busy)  # type: ignore[attr-defined]
    words = refusal.where.replace(",", " ").split()
    field = next((word for word in reversed(words) if word in form.fields), None)
    told = " ".join(part for part in (refusal.message, refusal.remedy) if part)
    form.add_error(field, f"{told[:1].upper()}{told[1:]}")


def who(request: Any) -> str:
    """The account that writes, where accounts are asked for."""
    return request.user.get_username() if request.user.is_authenticated else ""


def sent_id(request: Any) -> UUID:
    """The id that the form was drawn with, so that the same form sent twice is written once; a new one without it."""
    try:
        return UUID(str(request.POST.get("event_id", "")))
    except ValueError:
        return uuid7()


def said_id(request: Any) -> UUID:
    """The id of what is said with a form: the same sent twice is one record, another button or value from the same page is another.

    Two buttons share a page, and the browser's way back shows a page that was sent: what is said then is not said yet.
    """
    drawn = sent_id(request)
    typed = sorted((name, values) for name, values in request.POST.lists() if name not in _NOT_SAID)
    files = sorted((name, file.name, file.size) for name, file in request.FILES.items())
    said = hashlib.sha256(repr((drawn.hex, typed, files)).encode()).digest()
    return UUID(int=drawn.int & _DRAWN | int.from_bytes(said) & ~_DRAWN)


def known_names(model: type[Noun], column: str = "name") -> list[str]:
    """The names of all rows that are still offered."""
    return list(model._default_manager.filter(retired=False).values_list(column, flat=True))


def attempt(form: forms.BaseForm, write: Callable[[], T]) -> T | None:
    """What `write` gives; None when it was refused: the form then says why, beside the field."""
    try:
        return write()
    except Refused as refusal:
        show_refusal(form, refusal)
    except BadValue as refusal:
        form.add_error(refusal.name if refusal.name in form.fields else None, f"{str(refusal)[:1].upper()}{str(refusal)[1:]}.")
    return None
