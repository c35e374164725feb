"""Filters that say numbers of the weather as people read them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import template
from django.utils.html import format_html

from scionary.answers.words import date_soon, day_soon
from scionary.language import Words, mark, say
from scionary.units import MM_PER_INCH, temperature_words

register = template.Library()
_ASSUMED = Words(
    {
        "stages": mark("the wood is"),
        "days_falling": mark("days grow shorter"),
        "day_low_h": mark("shortest day"),
        "day_high_h": mark("longest day"),
        "warmth_low_c": mark("healing month at least"),
        "warmth_high_c": mark("healing month at most"),
        "healing_days": mark("days of healing"),
        "setpoint_c": mark("heated to"),
        "bud_break": mark("buds break at"),
        "half_ripe": mark("half-ripe at"),
        "ripe": mark("ripe at"),
        "rest_day_h": mark("wood rests when days are at most"),
        "rest_mean_c": mark("and a fortnight is at most"),
    }
)


@register.filter
def whole(value: float | None) -> str:
    """1 234; a dash where it is not known."""
    return "–" if value is None or value != value else f"{value:.0f}"


@register.filter
def water(value_mm: float | None, nursery: Any) -> str:
    """Rain in the person's unit: 12 mm or 0.5 in; a dash where it is not known."""
    if value_mm is None or value_mm != value_mm:
        return "–"
    return f"{value_mm / MM_PER_INCH:.1f} in" if nursery.length_unit == "in" else f"{value_mm:.0f} mm"


@register.filter
def subtract(value: float, less: float) -> float:
    return value - less


@register.filter
def day_of_year(day: date) -> str:
    """14 February."""
    return day_soon(day)


@register.filter
def about(dates: tuple[date, date, date] | None) -> str:
    """14 Apr, below it 2 Apr to 28 Apr; a dash where it never comes."""
    if dates is None:
        return "–"
    early, middle, late = (date_soon(day).replace(" ", "\u00a0") for day in dates)
    return format_html('{}<br><span class="why">{}</span>', middle, say("{early} to {late}", early=early, late=late))


@register.filter
def assumed(name: str) -> str:
    """What an assumption is about."""
    return _ASSUMED[name]


@register.filter
def assumed_value(each: Mapping[str, Any], nursery: Any) -> str:
    """Its value with its unit."""
    value = each["value"]
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if isinstance(value, str):
        return value
    if each["unit"] == "°C":
        return temperature_words(value, nursery.temperature_unit)
    return f"{value:.4g} {each['unit']}".strip()
