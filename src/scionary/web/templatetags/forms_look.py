"""Marks of forms that templates need."""

from __future__ import annotations

from django import template
from django.forms import BoundField, CheckboxInput
from django.utils.html import format_html
from django.utils.safestring import SafeString

from scionary.book.ids import uuid7

register = template.Library()


@register.filter
def is_check(field: BoundField) -> bool:
    return isinstance(field.field.widget, CheckboxInput)


@register.simple_tag
def once() -> SafeString:
    """A hidden id made when the form is drawn: the same form sent twice is written once."""
    return format_html('<input type="hidden" name="event_id" value="{}">', uuid7())
