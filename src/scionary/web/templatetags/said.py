"""Filters that say codes, names, lengths and days as people read them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from django import template
from django.utils import timezone
from django.utils.html import conditional_escape, format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation.trans_real import catalog

from scionary.answers.chances import sign_words
from scionary.answers.full_name import full_name
from scionary.answers.labels import CODE_PENDING
from scionary.answers.rounds import KEYS
from scionary.answers.words import month_words, weekday_words
from scionary.language import mark, say
from scionary.names import code_of, grouped
from scionary.units import in_unit as lengths_in_unit
from scionary.units import length_words
from scionary.web.pages import nursery_of
from scionary.web.printing import SheetForm, sheet_form

register = template.Library()
_PLANT = "\0"  # in its place the id of a row's plant is put
_CHOSEN = mark_safe(' class="chosen" aria-pressed="true"')
_DISPUTED = {
    "state": mark("state"),
    "cultivar": mark("cultivar"),
    "name": mark("name"),
    "dome": mark("dome"),
    "place": mark("place"),
    "stands": mark("where it stands"),
    "label": mark("label"),
    "note": mark("note"),
    "running_number": mark("number"),
    "name_doubt": mark("doubt in the name"),
    "quarantine": mark("quarantine"),
    "pot": mark("pot"),
    "under_cover": mark("under cover"),
    "headed_back_at": mark("headed back"),
    "untied_at": mark("untied"),
    "firm": mark("firm"),
    "growing": mark("growing"),
    "in_leaf": mark("in leaf"),
}


@register.filter
def code(plant: Any) -> SafeString:
    """A plant's code in two groups, set apart as code."""
    if plant.code_number is None:
        return format_html('<span class="tag doubt">{}</span>', say(CODE_PENDING))
    return format_html('<span class="code">{}</span>', grouped(code_of(plant.code_number)))


@register.filter
def in_unit(text: str, nursery: Any) -> str:
    """A sentence with its lengths in the person's unit."""
    return lengths_in_unit(text, nursery.length_unit)


@register.simple_tag(takes_context=True)
def label_sheet_form(context: Any) -> SheetForm:
    """The form for a label sheet, filled in as the address says."""
    request = context["request"]
    return sheet_form(request, nursery_of(request))


@register.filter(name="full_name")
def cultivars_full_name(cultivar: Any) -> SafeString:
    """A cultivar's botanical name with the name it is sold under; empty where neither is written down."""
    name = full_name(cultivar or None)
    return mark_safe(name.html) if name else SafeString("")


@register.filter
def day(value: date | datetime | None, precision: str = "day") -> str:
    """Sat 14 Feb 2026, as exactly as it is known; nothing for no day."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        value = timezone.localtime(value).date()
    if precision == "year":
        return f"{value.year}"
    if precision == "month":
        return month_words(value)
    return weekday_words(value)


@register.filter
def sign(text: str) -> str:
    """What was last seen, in words."""
    return sign_words(text) if text else ""


@register.simple_tag
def sign_buttons(buttons: Iterable[tuple[str, str]], chosen: Iterable[str], plant: object = "") -> SafeString:
    """A button for each sign that can be tapped, with its key on a laptop; `plant` makes them findable by id."""
    listed, drawn = list(buttons), _drawn_buttons(catalog())
    which = tuple(said for said, _ in listed), frozenset(chosen), bool(plant)
    if which not in drawn:
        drawn[which] = _buttons(listed, *which[1:])
    return mark_safe(drawn[which].replace(_PLANT, conditional_escape(str(plant))))


@lru_cache(maxsize=20)
def _drawn_buttons(_catalogue: object) -> dict[tuple[tuple[str, ...], frozenset[str], bool], str]:
    """They are the same on row after row: written out once for each set of signs, in each language."""
    return {}


def _buttons(buttons: Iterable[tuple[str, str]], chosen: frozenset[str], named: bool) -> str:
    rows = (
        (said, format_html(' id="{}-{}"', said, _PLANT) if named else "", _CHOSEN if said in chosen else "", words, _key(said))
        for said, words in buttons
    )
    return str(format_html_join("", '<button name="saw" value="{}"{}{}>{}{}</button>', rows))


def _key(said: str) -> SafeString:
    return format_html('<kbd aria-hidden="true">{}</kbd>', KEYS[said].upper()) if said in KEYS else SafeString("")


@register.filter
def as_length(length_mm: float | None, nursery: Any) -> str:
    """A length in the person's unit."""
    return "" if length_mm is None else length_words(length_mm, nursery.length_unit)


@register.filter
def number(value: float) -> str:
    """12 for 12.0, 7.5 for 7.5."""
    return f"{value:.1f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


@register.filter
def percentage(share: float | None) -> str:
    """64 % for 0.64."""
    return "" if share is None else f"{share * 100:.0f} %"


@register.filter
def told(text: object) -> str:
    """A text of the program that the book holds in English, in the reader's language; any other as it is."""
    return say(str(text)) if text else ""


@register.filter
def field_words(name: str) -> str:
    """What a field on which records disagree is called."""
    return say(_DISPUTED.get(name, name.replace("_", " ")))
