"""How two stems meet, drawn to scale: cut across, and the face with the living lines."""

from __future__ import annotations

from typing import Any

from django import template

from scionary.files.union_drawing import PHONE, DrawnUnion

register = template.Library()


@register.inclusion_tag("drawings/union_cross.html")
def union_cross(drawn: DrawnUnion) -> dict[str, Any]:
    """The stems cut across alone: the small drawing beside a line of advice."""
    return {"cross": drawn.cross, "width": PHONE}


@register.inclusion_tag("drawings/union.html")
def union_drawing(drawn: DrawnUnion) -> dict[str, Any]:
    """Both drawings with their key and the caution that belongs to every cut."""
    return {"drawn": drawn, "width": PHONE}
