"""Small pictures of a year and of some weeks: bands, lines and bars in classes of the stylesheet, each with its table beside it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from html import escape

import numpy as np
import numpy.typing as npt
from django.utils.safestring import SafeString, mark_safe

from scionary.answers.method_season import KindWindow, SiteMap
from scionary.answers.weather_report import HeatYear, WaterReport
from scionary.answers.words import date_soon, day_soon
from scionary.book.models import Nursery
from scionary.language import say
from scionary.units import MM_PER_INCH

Floats = npt.NDArray[np.float64]
_WIDTH, _HEIGHT, _LEFT, _RIGHT, _TOP, _BOTTOM = 360.0, 200.0, 42.0, 8.0, 20.0, 24.0


class Plot:
    """A frame with days below and numbers at the left; parts are drawn in the order in which they are added."""

    def __init__(self, days: int, top: float, *, bottom: float = 0.0) -> None:
        self.days, self.low, self.high = max(days - 1, 1), bottom, max(top, bottom + 1e-9)
        self.parts: list[str] = []

    def x(self, day: float) -> float:
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * day / self.days

    def y(self, value: float) -> float:
        return _HEIGHT - _BOTTOM - (_HEIGHT - _TOP - _BOTTOM) * (value - self.low) / (self.high - self.low)

    def band(self, low: Floats, high: Floats, classes: str) -> None:
        """The space between two lines, wherever both are known."""
        for begin, end in _runs(~(np.isnan(low) | np.isnan(high))):
            there = [f"{self.x(at):.1f} {self.y(high[at]):.1f}" for at in range(begin, end)]
            back = [f"{self.x(at):.1f} {self.y(low[at]):.1f}" for at in reversed(range(begin, end))]
            self.parts.append(f'<path class="{classes}" d="M{" L".join([*there, *back])}Z"/>')

    def line(self, values: Floats, classes: str, *, first: int = 0, dashed: bool = False, width: float = 2.0) -> None:
        """A line with gaps where nothing is known."""
        dashes = ' stroke-dasharray="5 4"' if dashed else ""
        for begin, end in _runs(~np.isnan(values)):
            points = " L".join(f"{self.x(first + at):.1f} {self.y(values[at]):.1f}" for at in range(begin, end))
            self.parts.append(f'<path class="fill-none {classes}" stroke-width="{width:g}"{dashes} d="M{points}"/>')

    def bars(self, values: Floats, classes: str) -> None:
        """One bar a day."""
        width = max((self.x(1) - self.x(0)) * 0.8, 0.8)
        for at in np.flatnonzero(np.nan_to_num(values) > 0.0).tolist():
            top = self.y(min(values[at], self.high))
            left = self.x(at) - width / 2.0
            box = f'x="{left:.1f}" y="{top:.1f}" width="{width:.1f}" height="{_HEIGHT - _BOTTOM - top:.1f}"'
            self.parts.append(f'<rect class="{classes}" {box}/>')

    def level(self, value: float, classes: str) -> None:
        """A dashed line across."""
        at = self.y(value)
        self.parts.append(
            f'<path class="fill-none {classes}" stroke-dasharray="2 4" d="M{_LEFT:g} {at:.1f} H{_WIDTH - _RIGHT:g}" stroke-width="1.5"/>'
        )

    def upright(self, day: float, words: str) -> None:
        """Where a day stands, with its word above."""
        at = self.x(day)
        self.parts.append(f'<path class="fill-none stroke-ink-soft" d="M{at:.1f} {_TOP:g} V{_HEIGHT - _BOTTOM:g}" stroke-width="1"/>')
        side = "end" if at > _WIDTH - 70 else ""
        self.parts.append(f'<text class="soft small {side}" x="{at:.1f}" y="{_TOP - 6:g}">{escape(words)}</text>')

    def drawn(self, words: str, below: Sequence[tuple[int, str]], left: Callable[[float], str], *, steps: int = 4) -> SafeString:
        """The picture; `words` is read aloud in its place."""
        frame = [f'<svg class="chart" viewBox="0 0 {_WIDTH:g} {_HEIGHT:g}" role="img" aria-label="{escape(words)}">']
        for number in np.arange(self.low, self.high + 1e-9, _step((self.high - self.low) / steps)):
            at = self.y(float(number))
            frame.append(f'<path class="grid-line" d="M{_LEFT:g} {at:.1f} H{_WIDTH - _RIGHT:g}"/>')
            frame.append(f'<text class="soft small end" x="{_LEFT - 5:g}" y="{at + 3.5:.1f}">{escape(left(float(number)))}</text>')
        texts = [f'<text class="soft small middle" x="{self.x(at):.1f}" y="{_HEIGHT - 7:g}">{escape(text)}</text>' for at, text in below]
        return mark_safe("".join([*frame, *self.parts, *texts, "</svg>"]))  # built from our own numbers; words are escaped


def heat_picture(heat: HeatYear) -> SafeString:
    """This year's heat beside the range of the others."""
    plot = Plot(365, _round_up(float(np.nanmax([np.nanmax(heat.this, initial=0.0), np.nanmax(heat.high, initial=100.0)]))))
    plot.band(heat.low, heat.high, "fill-living-soft")
    plot.line(heat.middle, "stroke-living", width=1.5)
    plot.line(heat.this[: heat.today + 1], "stroke-ink")
    plot.line(heat.this[heat.today :], "stroke-ink", first=heat.today, dashed=True)
    plot.upright(heat.today, say("today"))
    return plot.drawn(say("Heat of the growing year. {words}", words=heat.words), _months(heat.begins, 365), lambda value: f"{value:.0f}")


def water_picture(water: WaterReport, nursery: Nursery) -> SafeString:
    """Rain as bars, and how much water the soil lacks, as far as it is known."""
    balance = water.balance
    top = _round_up(max(balance.available_mm, float(np.nanmax(water.rain_mm, initial=0.0))))
    plot = Plot(water.dates.size, top)
    plot.bars(water.rain_mm + water.given_mm, "fill-air")
    plot.band(balance.deficit_low_mm, balance.deficit_high_mm, "fill-doubt-soft")
    plot.line(balance.deficit_high_mm, "stroke-doubt", width=1.6)
    plot.line(balance.deficit_low_mm, "stroke-doubt", width=1.6)
    plot.level(balance.readily_available_mm, "stroke-scion")
    if water.recorded < water.dates.size:
        plot.upright(water.recorded, say("foretold"))
    first = water.dates[0].astype(date)
    weeks = [(at, date_soon(first + timedelta(days=at))) for at in range(5, water.dates.size, 14)]
    inches = nursery.length_unit == "in"
    return plot.drawn(
        say("Rain and the water that the soil lacks."), weeks, lambda mm: f"{mm / MM_PER_INCH:.1f}" if inches else f"{mm:.0f}"
    )


def window_picture(found: KindWindow) -> SafeString:
    """The share of years in which each day was open."""
    plot = Plot(365, 1.0)
    nothing = np.zeros_like(found.window.chance)
    plot.band(np.where(np.isnan(found.window.chance), np.nan, nothing), found.window.chance, "fill-living-soft")
    plot.line(found.window.chance, "stroke-living")
    plot.level(0.5, "stroke-ink-soft")
    return plot.drawn(found.words, _months(found.begins, 365), lambda share: f"{share * 100:.0f} %", steps=2)


def map_picture(found: SiteMap) -> SafeString:
    """The share of years that went well by the day of the start, with the range that so few years allow."""
    plot = Plot(365, 1.0)
    plot.band(found.turned(found.map.low), found.turned(found.map.high), "fill-living-soft")
    plot.line(found.turned(found.map.share), "stroke-living")
    return plot.drawn(found.words, _months(found.begins, 365), lambda share: f"{share * 100:.0f} %", steps=4)


def _months(first: date, days: int) -> list[tuple[int, str]]:
    """The first of every second month, with its name."""
    found = [(at, first + timedelta(days=at)) for at in range(days)]
    firsts = [(at, day) for at, day in found if day.day == 1]
    return [(at, day_soon(day).partition(" ")[2][:3]) for at, day in firsts[::2]]


def _runs(known: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], known, [False]]).astype(int))).reshape(-1, 2)
    return [(int(begin), int(end)) for begin, end in edges]


def _step(wanted: float) -> float:
    """A round step of at least so much: 1, 2, 2.5 or 5 times a power of ten."""
    power = 10.0 ** np.floor(np.log10(max(wanted, 1e-9)))
    return float(next(each * power for each in (1.0, 2.0, 2.5, 5.0, 10.0) if each * power >= wanted * (1.0 - 1e-9)))


def _round_up(value: float) -> float:
    """A round number at or above."""
    step = _step(max(value, 1.0) / 5.0)
    return float(np.ceil(value / step) * step)
