"""Bars with their ranges, as SVG, each with a table behind it: rates, shares, a difference."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Any

from django import template

from scionary.answers.difference import DifferenceAnswer
from scionary.answers.importance import ImportanceAnswer
from scionary.answers.rates import Rate, RatesAnswer
from scionary.answers.stage_chain import ChainAnswer
from scionary.answers.words import percent
from scionary.language import say

register = template.Library()

_ROW = 33.0  # height of one bar's row
_LEFT, _RIGHT = 98.0, 258.0  # where the scale begins and ends
_LONGEST_NAME = 13  # letters of a name beside its bar; a longer one stands above it
_LONGEST_LINE, _LINE = 40, 15.0
_MOST_BARS = 40  # more are not told apart in a picture; the table has them all


@dataclass(frozen=True)
class Told:
    """What one bar shows: a name, its range and best guess, the words for a hint, what stands at its right, and what was counted."""

    name: str
    low: float
    mid: float
    high: float
    words: str
    right: str = ""
    counted: float | None = None


@dataclass(frozen=True)
class Bar:
    """One bar in drawing units; a name too long to stand beside it is in `above`, line by line with its height."""

    told: Told
    y: float
    low: float
    mid: float
    high: float
    dot: float | None
    beside: str
    above: list[tuple[float, str]]

    @property
    def text_y(self) -> float:
        return self.y + 4.0

    @property
    def top(self) -> float:
        return self.y - 8.0

    @property
    def bottom(self) -> float:
        return self.y + 8.0


@register.inclusion_tag("drawings/rate_bars.html", name="rate_bars")
def rate_bars_tag(answer: RatesAnswer) -> dict[str, Any]:
    """Each level's chance as a bar with its best guess and the share that was counted; at the right the count."""
    most = {row.key for row in sorted(answer.rows, key=lambda row: -row.grafts)[:_MOST_BARS]}
    drawn = [_of_rate(row) for row in answer.rows if row.key in most]
    words = say("{title}, grafts {stage}: the table below has the numbers", title=answer.title, stage=answer.stage_words)
    return {"answer": answer, "beyond": len(answer.rows) - len(drawn), "most": _MOST_BARS, **_drawing(drawn, words, _per_cent())}


@register.inclusion_tag("drawings/difference_bars.html", name="difference_bars")
def difference_bars_tag(answer: DifferenceAnswer) -> dict[str, Any]:
    """Both rates as bars, and how far the first lies above the second on a scale with 0 in the middle."""
    both = [answer.first, answer.second]
    reach = max(abs(answer.points_low), abs(answer.points_high), 0.1)
    end = next(step for step in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0) if step >= reach)
    apart = [Told(say("difference"), answer.points_low, answer.points, answer.points_high, answer.sentence)]
    ticks = [(at * end, f"{round(100 * at * end):+d}".replace("-", "\N{MINUS SIGN}") if at else "0") for at in (-1, -0.5, 0, 0.5, 1)]
    return {
        "answer": answer,
        "both": both,
        "rates": _drawing([_of_rate(row) for row in both], say("Both rates, all else alike: the table below has the numbers"), _per_cent()),
        "apart": _drawing(apart, say("{answer} The table below has the numbers", answer=answer.sentence), ticks, -end, end),
    }


@register.inclusion_tag("drawings/importance_bars.html", name="importance_bars")
def importance_bars_tag(answer: ImportanceAnswer) -> dict[str, Any]:
    """Each factor's share of what makes grafts differ."""
    drawn = [
        Told(each.words, each.low, each.mean, each.high, f"{each.words}: {each.share_words}", percent(each.mean)) for each in answer.weights
    ]
    return {"answer": answer, **_drawing(drawn, say("Shares of what makes grafts differ: the table below has the numbers"), _per_cent())}


@register.inclusion_tag("drawings/chain_bars.html", name="chain_bars")
def chain_bars_tag(answer: ChainAnswer) -> dict[str, Any]:
    """The share of each stage's grafts that went on to the next."""
    drawn = [
        Told(step.name, step.low, step.share, step.high, step.words, say("{reached} of {known}", reached=step.reached, known=step.known))
        for step in answer.steps
        if step.share is not None
    ]
    return {
        "answer": answer,
        **_drawing(drawn, say("Shares that went on from stage to stage: the table below has the numbers"), _per_cent()),
    }


def _of_rate(rate: Rate) -> Told:
    words = say("{name}: {rate}; counted: {counted}", name=rate.name, rate=rate.words, counted=rate.counted)
    return Told(rate.name, rate.low, rate.mean, rate.high, words, rate.counted, rate.takes / rate.grafts if rate.grafts else None)


def _per_cent() -> list[tuple[float, str]]:
    return [(share / 100, f"{share} %") for share in (0, 25, 50, 75, 100)]


def _drawing(rows: Sequence[Told], words: str, ticks: Iterable[tuple[float, str]], low: float = 0.0, high: float = 1.0) -> dict[str, Any]:
    """What the template of bars draws, on a scale from `low` to `high`."""

    def across(value: float) -> float:
        return round(_LEFT + (value - low) / (high - low) * (_RIGHT - _LEFT), 1)

    bars: list[Bar] = []
    top = 8.0
    for row in rows:
        lines = wrap(row.name, _LONGEST_LINE) if len(row.name) > _LONGEST_NAME else []
        above = [(top + 11.0 + at * _LINE, line) for at, line in enumerate(lines)]
        y = top + 16.0 + len(lines) * _LINE
        dot = None if row.counted is None else across(row.counted)
        bars.append(Bar(row, y, across(row.low), across(row.mid), across(row.high), dot, "" if above else row.name, above))
        top = y + _ROW - 16.0
    foot = top + 3.0
    marks = [(across(value), label) for value, label in ticks]
    return {"bars": bars, "words": words, "ticks": marks, "foot": foot, "label_y": foot + 15.0, "height": foot + 24.0}
