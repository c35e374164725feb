"""Photos on the page of what they show."""

from __future__ import annotations

from django import template

from scionary.answers.photos import ShownPhoto, photos_of

register = template.Library()


@register.simple_tag(name="photos_of")
def photos_here(key: str) -> list[ShownPhoto]:
    """The photos of this thing, the last taken first."""
    return photos_of(key)
