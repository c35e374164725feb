"""Drawings of trials: the tray with the arm of each place and what became of it, and the arms' shares as bars."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from django import template

from scionary.answers.trial_places import Fate, TrialPlace
from scionary.answers.trial_trays import DrawnPlace, DrawnTray, trial_trays
from scionary.answers.trials import LETTERS, ArmCount, TrialAnswer
from scionary.files.hatching import hatch_lines
from scionary.language import say

register = template.Library()

_PHONE = 306.0  # pixels that a drawing has on a small phone
_LEAST_POT = 48.0  # pixels that a pot needs for a thumb and its letter
_GAP = 6.0
_MARKS = {Fate.TOOK: "✓", Fate.FAILED: "✕", Fate.WAITING: "?", Fate.TO_COME: ""}
_MISSING_MARK = "–"
_BAR_ROW, _LEFT, _RIGHT = 46.0, 14.0, 252.0


@dataclass(frozen=True)
class ArmPot:
    """A place in drawing units, with the lines of its hatching as one path."""

    place: int
    x: float
    y: float
    left: float
    top: float
    letter: str
    hatch: str
    mark: str
    words: str
    plant: str


@dataclass(frozen=True)
class ArmTray:
    """A tray in drawing units."""

    name: str
    stands: str
    width: float
    height: float
    wall_width: float
    wall_height: float
    size: float
    half: float
    letters: float
    is_round: bool
    scrolls: bool
    pots: list[ArmPot]
    beyond: list[str]

    @property
    def ground(self) -> float:
        """A side of the ground on which the letter stands."""
        return round(2 * self.letters, 1)


@register.inclusion_tag("drawings/trial_trays.html", name="trial_trays")
def trial_trays_tag(answer: TrialAnswer) -> dict[str, Any]:
    """Each filling of a dome from above: letter and hatching say the arm, a mark says what became of it."""
    by_block: list[dict[int, TrialPlace]] = [{} for _ in answer.trial.layout]
    for place in answer.places:
        by_block[place.block][place.place] = place
    trays = [_tray(tray, by_block[at], answer) for at, tray in enumerate(trial_trays(answer.trial))]
    keys = [(LETTERS[at], name, _hatch(at, 13.0, is_round=False)) for at, name in enumerate(answer.layout.arms)]
    return {"trays": trays, "keys": keys, "begun": answer.begun}


def _tray(tray: DrawnTray, places: dict[int, TrialPlace], answer: TrialAnswer) -> ArmTray:
    natural = max(_PHONE, tray.length_mm / max(tray.pot_mm, 1.0) * _LEAST_POT)
    per_mm = (natural - 12.0) / tray.length_mm
    size = tray.pot_mm * per_mm
    return ArmTray(
        name=tray.name,
        stands=tray.stands,
        width=round(natural, 1),
        height=round(tray.width_mm * per_mm + 28.0, 1),
        wall_width=round(natural - 4.0, 1),
        wall_height=round(tray.width_mm * per_mm + 8.0, 1),
        size=round(size - 3.0, 1),
        half=round(size / 2.0 - 1.5, 1),
        letters=round(max(11.0, min(24.0, size * 0.34)), 1),
        is_round=tray.round_pots,
        scrolls=natural > _PHONE,
        pots=[_pot(pot, tray, places.get(pot.place), answer, per_mm, size) for pot in tray.pots],
        beyond=[say("place {place}: {arm}", place=place, arm=answer.layout.arms[arm]) for place, arm in tray.beyond],
    )


def _pot(pot: DrawnPlace, tray: DrawnTray, place: TrialPlace | None, answer: TrialAnswer, per_mm: float, size: float) -> ArmPot:
    """The near side of the tray is drawn at the bottom."""
    x, y = 6.0 + pot.x_mm * per_mm, 6.0 + (tray.width_mm - pot.y_mm) * per_mm
    arm = place.arm if place else None
    return ArmPot(
        place=pot.place,
        x=round(x, 1),
        y=round(y, 1),
        left=round(x - size / 2 + 1.5, 1),
        top=round(y - size / 2 + 1.5, 1),
        letter="" if arm is None else LETTERS[arm],
        hatch="" if arm is None else _hatch(arm, size / 2 - 1.5, is_round=tray.round_pots, x=x, y=y),
        mark=_MARKS.get(place.fate, _MISSING_MARK) if place else "",
        words=place_words(place, answer) if place else say("place {place}: takes no part", place=pot.place),
        plant=str(place.plant.pk) if place and place.plant else "",
    )


def place_words(place: TrialPlace, answer: TrialAnswer) -> str:
    """place 3: B, rubber strip; Red Tarn 4 took."""
    arm = say("place {place}: {letter}, {arm}", place=place.place, letter=LETTERS[place.arm], arm=answer.layout.arms[place.arm])
    became = f"{place.plant.spoken}, {say(place.fate)}" if place.plant else say(place.fate)
    return f"{arm}; {became}{f' ({place.why})' if place.why else ''}"


@register.filter
def fate_words(place: TrialPlace) -> str:
    """What became of a place, for a table."""
    return f"{say(place.fate)}{f': {place.why}' if place.why else ''}"


def _hatch(arm: int, half: float, *, is_round: bool, x: float = 0.0, y: float = 0.0) -> str:
    """The lines as one path; the screen counts downwards, so that they slant as on paper."""
    lines = hatch_lines(arm, half, _GAP, is_round=is_round)
    return "".join(f"M{x + x1:.1f} {y - y1:.1f}L{x + x2:.1f} {y - y2:.1f}" for x1, y1, x2, y2 in lines)


@dataclass(frozen=True)
class ArmBar:
    """One arm's share as a bar; `known` is False where nothing is counted yet."""

    arm: ArmCount
    name_y: float
    y: float
    low: float
    mid: float
    high: float
    known: bool

    @property
    def top(self) -> float:
        return self.y - 8.0

    @property
    def bottom(self) -> float:
        return self.y + 8.0

    @property
    def text_y(self) -> float:
        return self.y + 4.0


@register.inclusion_tag("drawings/arm_bars.html", name="arm_bars")
def arm_bars_tag(answer: TrialAnswer) -> dict[str, Any]:
    """Each arm's share of takes, with the range of its plain count."""
    bars = [_bar(arm, at) for at, arm in enumerate(answer.arms)]
    foot = len(bars) * _BAR_ROW + 2.0
    ticks = [(_across(share / 100), f"{share} %") for share in (0, 25, 50, 75, 100)]
    return {"answer": answer, "bars": bars, "ticks": ticks, "foot": foot, "label_y": foot + 13.0, "height": foot + 20.0}


def _bar(arm: ArmCount, at: int) -> ArmBar:
    known = not math.isnan(arm.share)
    low, mid, high = (arm.low, arm.share, arm.high) if known else (0.0, 0.0, 0.0)
    return ArmBar(arm, at * _BAR_ROW + 14.0, at * _BAR_ROW + 32.0, _across(low), _across(mid), _across(high), known)


def _across(share: float) -> float:
    return round(_LEFT + share * (_RIGHT - _LEFT), 1)
