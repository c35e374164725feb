"""A tray and a bench in drawing units, true to scale."""

from __future__ import annotations

from dataclasses import dataclass

from scionary.answers.tray import TrayAnswer, TrayPot
from scionary.language import say
from scionary.units import length_words

MOST_DRAWN = 400
_WIDTH, _TALLEST, _EDGE = 330.0, 420.0, 6.0
_LEAST_LETTERS = 7.0  # drawing units: smaller numbers cannot be read on a phone


@dataclass(frozen=True)
class TrayPlace:
    """A pot in drawing units, the near side below; `letters` is 0 where its number would be too small."""

    place: int
    x: float
    y: float
    half: float
    left: float
    top: float
    size: float
    round: bool
    low: bool
    stem: float
    letters: float
    number_y: float
    words: str


@dataclass(frozen=True)
class TrayPlan:
    """The drawing of a tray."""

    width: float
    height: float
    wall_width: float
    wall_height: float
    places: list[TrayPlace]
    length_words: str
    width_words: str
    middle: float
    side_x: float
    side_y: float
    foot: float
    some_low: bool


@dataclass(frozen=True)
class BenchTray:
    """A tray on the bench in drawing units."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class BenchPlan:
    """The drawing of a bench."""

    height: float
    wall_width: float
    wall_height: float
    trays: list[BenchTray]
    words: str


def tray_plan(answer: TrayAnswer) -> TrayPlan | None:
    """The drawing; None where there is nothing to draw, or too much."""
    if not 0 < answer.count <= MOST_DRAWN:
        return None
    ask = answer.ask
    scale = min((_WIDTH - 26.0 - 2 * _EDGE) / ask.length_mm, _TALLEST / ask.width_mm)
    length, width = ask.length_mm * scale, ask.width_mm * scale
    return TrayPlan(
        width=round(length + 2 * _EDGE + 22.0, 1),
        height=round(width + 2 * _EDGE + 20.0, 1),
        wall_width=round(length + 4.0, 1),
        wall_height=round(width + 4.0, 1),
        places=[_place(answer, pot, scale) for pot in answer.pots],
        length_words=length_words(ask.length_mm, answer.unit),
        width_words=length_words(ask.width_mm, answer.unit),
        middle=round(_EDGE + length / 2, 1),
        side_x=round(length + 2 * _EDGE + 8.0, 1),
        side_y=round(_EDGE + width / 2, 1),
        foot=round(width + 2 * _EDGE + 13.0, 1),
        some_low=any(pot.too_low for pot in answer.pots),
    )


def _place(answer: TrayAnswer, pot: TrayPot, scale: float) -> TrayPlace:
    half = answer.across_mm(pot) * scale / 2
    x, y = _EDGE + pot.x_mm * scale, _EDGE + (answer.ask.width_mm - pot.y_mm) * scale
    letters = min(half * 0.55, 13.0)
    stem = min(half * 0.18, 5.0)
    free = length_words(max(pot.free_mm, 0.0), answer.unit) if pot.free_mm is not None else ""
    words = say("place {place}", place=pot.place)
    if free:
        words = say("place {place}: {free} free above it", place=pot.place, free=free)
    return TrayPlace(
        place=pot.place,
        x=round(x, 1),
        y=round(y, 1),
        half=round(half - 0.5, 1),
        left=round(x - half + 0.5, 1),
        top=round(y - half + 0.5, 1),
        size=round(2 * half - 1.0, 1),
        round=answer.ask.pots[pot.kind].round,
        low=pot.too_low,
        stem=round(stem, 1),
        letters=round(letters, 1) if letters >= _LEAST_LETTERS else 0.0,
        number_y=round(y + stem + letters * 1.05, 1),
        words=words,
    )


def bench_plan(answer: TrayAnswer) -> BenchPlan | None:
    """The drawing of the bench; None where none was asked for."""
    bench = answer.bench
    if bench is None or not bench.count:
        return None
    scale = min((_WIDTH - 2 * _EDGE) / bench.length_mm, _TALLEST / bench.width_mm)
    trays = [
        BenchTray(round(_EDGE + x * scale, 1), round(_EDGE + y * scale, 1), round(along * scale, 1), round(across * scale, 1))
        for (x, y), (along, across) in zip(bench.corners.tolist(), bench.sizes.tolist(), strict=True)
    ]
    length, width = bench.length_mm * scale, bench.width_mm * scale
    words = say("The bench from above with {count} trays", count=bench.count)
    return BenchPlan(round(width + 2 * _EDGE, 1), round(length + 4.0, 1), round(width + 4.0, 1), trays, words)
