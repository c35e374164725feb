"""Drawings that carry our own meaning, as SVG: the ring and the tray from above."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import template

from scionary.answers.chances import Ring
from scionary.answers.domes import DomeAnswer, Pot
from scionary.files.ring import TICK_PER_RADIUS, WIDTH_PER_RADIUS, WOOD_PER_RADIUS, ring_arcs

register = template.Library()

_PHONE = 306.0  # pixels that a drawing has on a small phone
_LETTER_WIDTH = 0.6  # of a letter's height, in the widest of the usual system fonts
_PLACE_LETTERS = 9.5  # height of the number of a place
_LEAST_POT = 54.0  # pixels that a pot needs for a thumb and its name


@dataclass(frozen=True)
class RingMarks:
    """A ring's parts as numbers and paths for the template."""

    x: float
    y: float
    radius: float
    width: float
    wood: float
    tick: float
    cross: float
    letter: float
    sure: str
    possible: str
    best: str
    mark: str

    @property
    def baseline(self) -> float:
        return round(self.y + self.letter * 0.36, 2)


def ring_marks(ring: Ring, x: float, y: float, radius: float) -> RingMarks:
    """What a ring's template draws; a dead or unknown plant has no arc."""
    arcs = ring_arcs(ring.low, ring.mid, ring.high, radius=radius, centre=(x, y))
    bare = ring.mark == "cross" or (ring.low, ring.mid, ring.high) == (0, 0, 0)
    return RingMarks(
        x=round(x, 2),
        y=round(y, 2),
        radius=round(radius, 2),
        width=round(radius * WIDTH_PER_RADIUS, 2),
        wood=round(radius * WOOD_PER_RADIUS, 2),
        tick=round(radius * 0.13, 2),
        cross=round(radius * 0.45, 2),
        letter=round(radius * 0.8, 1),
        sure="" if bare else arcs.sure,
        possible="" if bare else arcs.possible,
        best="" if bare else arcs.best,
        mark=ring.mark,
    )


@register.inclusion_tag("drawings/ring.html", name="ring")
def ring_tag(ring: Ring, size: int = 40) -> dict[str, Any]:
    """One ring, `size` pixels wide, with its words for a screen reader."""
    radius = size / 2.0 / (TICK_PER_RADIUS[1] + 0.02)
    return {"size": size, "ring": ring, "marks": ring_marks(ring, size / 2.0, size / 2.0, radius)}


@dataclass(frozen=True)
class DrawnPot:
    """One place on the drawn tray."""

    pot: Pot
    left: float
    top: float
    x: float
    y: float
    lines: list[tuple[float, str]]
    marks: RingMarks | None
    number_x: float
    number_y: float


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
        "pots": [_drawn_pot(pot, answer, per_mm, size, letters) for pot in placed],
        "beyond": [pot for pot in answer.pots if pot.x_mm < 0],
        "size": round(size - 3.0, 1),
        "half": round(size / 2.0 - 1.5, 1),
        "letters": round(letters, 1),
        "place_letters": _PLACE_LETTERS,
        "view_width": round(natural, 1),
        "view_height": round(width * per_mm + 28.0, 1),
        "tray_width": round(natural - 4.0, 1),
        "tray_height": round(width * per_mm + 8.0, 1),
        "scrolls": natural > _PHONE,
    }


def _drawn_pot(pot: Pot, answer: DomeAnswer, per_mm: float, size: float, letters: float) -> DrawnPot:
    """A pot in drawing units; the near side of the tray is drawn at the bottom."""
    x = 6.0 + pot.x_mm * per_mm
    y = 6.0 + (answer.dome.width_mm - pot.y_mm) * per_mm
    if pot.plant is None or pot.ring is None:
        middle = (round(x, 1), round(y + _PLACE_LETTERS * 0.36, 1))
        return DrawnPot(pot, round(x - size / 2 + 1.5, 1), round(y - size / 2 + 1.5, 1), round(x, 1), round(y, 1), [], None, *middle)
    words = _name_lines(pot.plant.spoken, max(5, int(_room(answer, size) / (letters * _LETTER_WIDTH) + 0.01)))
    room = size - len(words) * letters * 1.08 - 6.0
    radius = max(6.0, min(room / 2.0 / TICK_PER_RADIUS[1], size * 0.25))
    block = 2 * radius * TICK_PER_RADIUS[1] + len(words) * letters * 1.08
    top = y - block / 2.0
    centre = top + radius * TICK_PER_RADIUS[1]
    first = top + 2 * radius * TICK_PER_RADIUS[1] + letters * 0.9
    lines = [(round(first + i * letters * 1.08, 1), word) for i, word in enumerate(words)]
    marks = ring_marks(pot.ring, x, centre, radius)
    return DrawnPot(
        pot,
        round(x - size / 2 + 1.5, 1),
        round(y - size / 2 + 1.5, 1),
        round(x, 1),
        round(y, 1),
        lines,
        marks,
        *_number_at(answer, x, y, size),
    )


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
