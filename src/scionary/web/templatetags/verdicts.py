"""The verdict on a morning: a ring that tells it by its form, and its word."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from scionary.answers.cutting import RATING_WORDS, RankedMorning, Rating, Reason, morning_day, reason_words, value_words

register = template.Library()
_STEM = '<circle class="wood" cx="12" cy="12" r="5.5"/>'
_FORMS = {
    Rating.GOOD: ("living", _STEM + '<circle class="ring-sure" cx="12" cy="12" r="9" stroke-width="3.4"/>'),
    Rating.DOUBT: (
        "doubt",
        _STEM + '<circle class="fill-none stroke-doubt" cx="12" cy="12" r="9" stroke-width="2.6" stroke-dasharray="4 3"/>',
    ),
    Rating.BAD: (
        "dead",
        '<circle class="wood dead" cx="12" cy="12" r="5.5"/><circle class="ring-bare" cx="12" cy="12" r="9" stroke-width="2"/>'
        '<path class="cross" d="M6 6 18 18M18 6 6 18" stroke-width="2.6"/>',
    ),
}


@register.simple_tag
def verdict(rating: Rating) -> SafeString:
    """Whole ring: good; dashed: in doubt; crossed out: not this morning. The word stands beside it."""
    kind, form = _FORMS[rating]
    sign = format_html('<svg class="ring" viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">{}</svg>', SafeString(form))
    return format_html('<span class="verdict {}">{} {}</span>', kind, sign, RATING_WORDS[rating])


@register.filter
def said_in(words: str, nursery: Any) -> str:
    """A reason in the person's units."""
    return reason_words(words, nursery)


@register.simple_tag
def held_against(reason: Reason, nursery: Any) -> str:
    """What a reason's value was held against."""
    return value_words(reason.limit, reason.unit, nursery)


@register.simple_tag
def value_of(reason: Reason, nursery: Any) -> str:
    """A reason's value."""
    return value_words(reason.value, reason.unit, nursery)


@register.filter
def morning(each: RankedMorning) -> str:
    """Saturday 14 February."""
    return morning_day(each)
