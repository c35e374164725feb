"""Drawings that carry our own meaning, as SVG: the ring and the tray from above."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from scionary.answers.chances import Ring
from scionary.answers.domes import DomeAnswer, Pot
from scionary.files.ring import TICK_PER_RADIUS, WIDTH_PER_RADIUS, WOOD_PER_RADIUS, ring_arcs
from scionary.language import say

register = template.Library()

_PHONE = 306.0  # pixels that a drawing has on a small phone
_LETTER_WIDTH = 0.6  # of a letter's height, in the widest of the usual system fonts
_PLACE_LETTERS = 9.5  # height of the number of a place
_LEAST_POT = 54.0  # pixels that a pot needs for a thumb and its name


def ring_marks(ring: Ring, x: float, y: float, radius: float) -> SafeString:
    """A ring about a point, in drawing units: wood, ring, what is sure and possible, best guess; a dead or unknown plant has no arc.

    Written out here and not in a template: a large tray has hundreds. All that goes in are numbers and paths made of numbers.
    """
    bare = ring.mark == "cross" or (ring.low, ring.mid, ring.high) == (0, 0, 0)
    arcs = None if bare else ring_arcs(ring.low, ring.mid, ring.high, radius=radius, centre=(x, y))
    wide, at = round(radius * WIDTH_PER_RADIUS, 2), f'cx="{round(x, 2)}" cy="{round(y, 2)}"'
    parts = [
        f'<circle class="wood{" dead" if ring.mark == "cross" else ""}" {at} r="{round(radius * WOOD_PER_RADIUS, 2)}"/>',
        f'<circle class="ring-bare" {at} r="{round(radius, 2)}" stroke-width="{wide}"/>',
    ]
    if arcs and arcs.possible:
        parts.append(f'<path class="ring-possible" d="{arcs.possible}" stroke-width="{wide}"/>')
    if arcs and arcs.sure:
        parts.append(f'<path class="ring-sure" d="{arcs.sure}" stroke-width="{wide}"/>')
    if arcs:
        parts.append(f'<path class="ring-best" d="{arcs.best}" stroke-width="{round(radius * 0.13, 2)}"/>')
    if ring.mark == "cross":
        arm = round(radius * 0.45, 2)
        path = f"M-{arm} -{arm}L{arm} {arm}M{arm} -{arm}L-{arm} {arm}"
        parts.append(f'<g transform="translate({round(x, 2)} {round(y, 2)})"><path class="cross" stroke-width="2.4" d="{path}"/></g>')
    elif ring.mark == "question":
        letter = round(radius * 0.8, 1)
        parts.append(
            f'<text class="ring-question" x="{round(x, 2)}" y="{round(round(y, 2) + letter * 0.36, 2)}" font-size="{letter}">?</text>'
        )
    return mark_safe("".join(parts))


@register.simple_tag(name="ring")
def ring_tag(ring: Ring, size: int = 40) -> SafeString:
    """One ring, `size` pixels wide, with its words for a screen reader."""
    radius = size / 2.0 / (TICK_PER_RADIUS[1] + 0.02)
    return format_html(
        '<svg class="ring" width="{0}" height="{0}" viewBox="0 0 {0} {0}" role="img"><title>{1}</title>{2}</svg>',
        size,
        ring.words,
        ring_marks(ring, size / 2.0, size / 2.0, radius),
    )


@register.inclusion_tag("drawings/tray.html", name="tray")
def tray_tag(answer: DomeAnswer) -> dict[str, Any]:
    """The tray from above at true proportions; pots that do not fit are listed under it."""
    length, width = answer.dome.length_mm, answer.dome.width_mm
    natural = max(_PHONE, length / max(answer.pot_size_mm, 1.0) * _LEAST_POT)
    per_mm = (natural - 12.0) / length
    size = answer.pot_size_mm * per_mm
    letters = _letters(answer, size)
    placed = [pot for pot in answer.pots if pot.x_mm >= 0]
    return {
        "answer": answer,
        "pots": mark_safe("".join(_drawn_pot(pot, answer, per_mm, size, letters) for pot in placed)),
        "beyond": [pot for pot in answer.pots if pot.x_mm < 0],
        "view_width": round(natural, 1),
        "view_height": round(width * per_mm + 28.0, 1),
        "tray_width": round(natural - 4.0, 1),
        "tray_height": round(width * per_mm + 8.0, 1),
        "scrolls": natural > _PHONE,
    }


def _drawn_pot(pot: Pot, answer: DomeAnswer, per_mm: float, size: float, letters: float) -> SafeString:
    """A pot in drawing units; the near side of the tray is drawn at the bottom. Written out here for the same reason as a ring."""
    x = 6.0 + pot.x_mm * per_mm
    y = 6.0 + (answer.dome.width_mm - pot.y_mm) * per_mm
    if pot.plant is None or pot.ring is None:
        edge = _edge(answer, "pot-empty", x, y, size)
        free = say("place {place}: free", place=pot.place)
        number = _number(pot, "soft middle place", round(x, 1), round(y + _PLACE_LETTERS * 0.36, 1))
        return format_html("{}<title>{}</title></{}>{}\n", mark_safe(f"<{edge}>"), free, edge.split()[0], number)
    words = _name_lines(pot.plant.spoken, max(5, int(_room(answer, size) / (letters * _LETTER_WIDTH) + 0.01)))
    room = size - len(words) * letters * 1.08 - 6.0
    radius = max(6.0, min(room / 2.0 / TICK_PER_RADIUS[1], size * 0.25))
    block = 2 * radius * TICK_PER_RADIUS[1] + len(words) * letters * 1.08
    top = y - block / 2.0
    centre = top + radius * TICK_PER_RADIUS[1]
    first = top + 2 * radius * TICK_PER_RADIUS[1] + letters * 0.9
    lines = ((round(x, 1), round(first + i * letters * 1.08, 1), round(letters, 1), word) for i, word in enumerate(words))
    return format_html(
        '<a href="/plants/{}/"><title>{}</title>{}{}{}{}</a>\n',
        pot.plant.pk,
        "; ".join([pot.ring.words, *map(str, pot.plant.cautions)]),
        mark_safe(f"<{_edge(answer, 'pot unsure' if pot.plant.cautions else 'pot', x, y, size)}/>"),
        ring_marks(pot.ring, x, centre, radius),
        _number(pot, "soft place", *_number_at(answer, x, y, size)),
        format_html_join("", '<text class="soft middle" x="{}" y="{}" font-size="{}">{}</text>', lines),
    )


def _edge(answer: DomeAnswer, classes: str, x: float, y: float, size: float) -> str:
    """The name and attributes of a pot's outline."""
    if answer.round_pots:
        return f'circle class="{classes}" cx="{round(x, 1)}" cy="{round(y, 1)}" r="{round(size / 2 - 1.5, 1)}"'
    side, left, top = (round(each, 1) for each in (size - 3.0, x - size / 2 + 1.5, y - size / 2 + 1.5))
    return f'rect class="{classes}" x="{left}" y="{top}" width="{side}" height="{side}" rx="6"'


def _number(pot: Pot, classes: str, x: float, y: float) -> SafeString:
    return format_html('<text class="{}" x="{}" y="{}" font-size="{}">{}</text>', classes, x, y, _PLACE_LETTERS, pot.place)


def _number_at(answer: DomeAnswer, x: float, y: float, size: float) -> tuple[float, float]:
    """Where the number of a place begins: at the upper left of a square pot, beside the ring in a round one."""
    if answer.round_pots:
        return round(x - size * 0.38, 1), round(y - size * 0.18, 1)
    return round(x - size / 2 + 3.5, 1), round(y - size / 2 + 2.5 + _PLACE_LETTERS, 1)


def _room(answer: DomeAnswer, size: float) -> float:
    """Width that a name has in a pot."""
    return (size - 3.0) * (0.82 if answer.round_pots else 0.9)


def _letters(answer: DomeAnswer, size: float) -> float:
    """Height of letters with which the longest word in any pot still fits; never too small to read."""
    words = [word for pot in answer.pots if pot.plant for word in pot.plant.spoken.split()]
    longest = max((len(word) for word in words), default=6)
    return max(8.5, min(11.0, _room(answer, size) / (longest * _LETTER_WIDTH)))


def _name_lines(spoken: str, longest: int) -> list[str]:
    """A spoken name on at most two lines; the number always stays."""
    if len(spoken) <= longest:
        return [spoken]
    name, _, number = spoken.rpartition(" ")
    if not name:
        return [_shortened(spoken, longest)]
    words = name.split()
    last = f"{words[-1]} {number}"
    if len(words) > 1 and len(last) <= longest:
        return [_shortened(" ".join(words[:-1]), longest), last]
    return [_shortened(name, longest), number]


def _shortened(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[: longest - 1]}…"
