"""The report on a dome's air as a PDF: what matters, the curve with bad stretches shaded, facts, stretches, assumptions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from scionary.files.paper import BOLD, ITALIC, LINE, MM, PLAIN, Run, draw_block, fit, open_canvas, page_size_mm
from scionary.files.sheet_parts import draw_words
from scionary.language import say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_MARGIN_MM = 14.0
_PANEL_MM = 38.0
_MOST_STRETCHES = 60
_MOST_POINTS = 1200
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Panel:
    """One quantity over time; `values` are as the person reads them, NaN where nothing is known. Limits are (value, words)."""

    title: str
    values: Floats
    limits: Sequence[tuple[float, str]]
    low: float
    high: float
    unit: str


@dataclass(frozen=True)
class AirSheetText:
    """What the report says; `shaded` are stretches as (from, to, unknown) and `days` marks (at, words) along the time."""

    title: str
    sentence: str
    why: str
    times: Floats
    panels: Sequence[Panel]
    shaded: Sequence[tuple[float, float, bool]]
    days: Sequence[tuple[float, str]]
    facts: Sequence[tuple[str, str, str]]
    stretches: Sequence[str]
    notes: Sequence[str]
    limits: Sequence[tuple[str, str, str]]
    printed: str = ""
    page: str = "A4"


class _Sheet:
    """A canvas, the place reached on it, and a new page where there is no more room."""

    def __init__(self, text: AirSheetText) -> None:
        self.canvas, self.out = open_canvas(text.page, text.title)
        width, height = page_size_mm(text.page)
        self.left, self.right = _MARGIN_MM * MM, (width - _MARGIN_MM) * MM
        self.top, self.foot = (height - _MARGIN_MM) * MM, _MARGIN_MM * MM
        self.y = self.top
        self.printed = text.printed

    def room(self, height: float) -> None:
        if self.y - height < self.foot:
            self.turn()

    def turn(self) -> None:
        draw_words(self.canvas, self.printed, self.right, self.foot - 5.0 * MM, self.right - self.left, 7.0, align=1.0)
        self.canvas.showPage()
        self.y = self.top

    def write(self, runs: Sequence[Run], *, size: float = 9.0, lines: int = 3, gap_mm: float = 0.6, indent_mm: float = 0.0) -> None:
        wide = self.right - self.left - indent_mm * MM
        block = fit(runs, wide, lines * size * LINE + 0.1, largest=size, smallest=max(size - 2.0, 6.0), lines=lines)
        self.room(block.height)
        self.y = draw_block(self.canvas, block, self.left + indent_mm * MM, self.y) - gap_mm * MM

    def heading(self, words: str) -> None:
        self.room(14.0 * MM)
        self.y -= 3.0 * MM
        self.write([(words, BOLD)], size=11.0, lines=1, gap_mm=1.0)

    def done(self) -> bytes:
        self.turn()
        self.canvas.save()
        return self.out.getvalue()


def air_sheet(text: AirSheetText) -> bytes:
    """The report as a PDF of as many pages as it needs; black on white."""
    sheet = _Sheet(text)
    sheet.write([(text.title, BOLD)], size=16.0, lines=2, gap_mm=1.5)
    sheet.write([(text.sentence, BOLD)], size=12.0, gap_mm=1.0)
    sheet.write([(text.why, PLAIN)], lines=4)
    for panel in text.panels:
        _panel(sheet, text, panel)
    sheet.heading(say("What the log says"))
    for what, value, why in text.facts:
        sheet.write([(f"{what}: ", PLAIN), (value, BOLD), (f"  {why}" if why else "", ITALIC)], lines=2)
    _stretches(sheet, text.stretches)
    if text.notes:
        sheet.heading(say("How the file was read"))
        for note in text.notes:
            sheet.write([(note, PLAIN)])
    sheet.heading(say("Limits, and where they come from"))
    for words, value, source in text.limits:
        sheet.write([(f"{words} {value} ", PLAIN), (f"({source})", ITALIC)], size=7.5, lines=2, gap_mm=0.3)
    return sheet.done()


def _stretches(sheet: _Sheet, stretches: Sequence[str]) -> None:
    sheet.heading(say("Stretches outside the limits or not known"))
    if not stretches:
        sheet.write([(say("None."), PLAIN)])
    for stretch in stretches[:_MOST_STRETCHES]:
        sheet.write([(stretch, PLAIN)], size=8.5, lines=2, gap_mm=0.3)
    if len(stretches) > _MOST_STRETCHES:
        sheet.write([(say("{more} more; in the terminal --json has all.", more=len(stretches) - _MOST_STRETCHES), PLAIN)])


def _panel(sheet: _Sheet, text: AirSheetText, panel: Panel) -> None:
    high = _PANEL_MM * MM
    sheet.room(high + 12.0 * MM)
    sheet.y -= 3.0 * MM
    sheet.write([(panel.title, BOLD)], size=9.0, lines=1, gap_mm=2.5)
    box = _Box(sheet.left + 12.0 * MM, sheet.y - high, sheet.right, sheet.y, text, panel)
    canvas = sheet.canvas
    _shade(canvas, box, text.shaded)
    _scale(canvas, box, panel, text.days)
    _curve(canvas, box, text.times, panel.values)
    sheet.y -= high + 5.0 * MM


@dataclass(frozen=True)
class _Box:
    left: float
    foot: float
    right: float
    top: float
    text: AirSheetText
    panel: Panel

    def x(self, at: float | Floats) -> Floats:
        begin, end = self.text.times[0], max(self.text.times[-1], self.text.times[0] + 1.0)
        return np.clip(self.left + (np.asarray(at) - begin) / (end - begin) * (self.right - self.left), self.left, self.right)

    def y(self, value: float | Floats) -> Floats:
        share = (np.asarray(value) - self.panel.low) / (self.panel.high - self.panel.low)
        return self.foot + np.clip(share, 0.0, 1.0) * (self.top - self.foot)


def _shade(canvas: Canvas, box: _Box, shaded: Sequence[tuple[float, float, bool]]) -> None:
    """Bad stretches grey; unknown ones hatched, so that they are told apart without colour."""
    for begin, end, unknown in shaded:
        left, right = float(box.x(begin)), float(box.x(end))
        if unknown:
            canvas.setLineWidth(0.3)
            for step in np.arange(left, right, 2.0):
                canvas.line(float(step), box.foot, min(float(step) + 4.0, right), box.top)
        else:
            canvas.setFillGray(0.8)
            canvas.rect(left, box.foot, max(right - left, 0.7), box.top - box.foot, stroke=0, fill=1)
            canvas.setFillGray(0.0)


def _scale(canvas: Canvas, box: _Box, panel: Panel, days: Sequence[tuple[float, str]]) -> None:
    canvas.setLineWidth(0.5)
    canvas.line(box.left, box.foot, box.right, box.foot)
    for value in np.linspace(panel.low, panel.high, 4):
        draw_words(canvas, f"{value:.0f} {panel.unit}", box.left - 1.5 * MM, float(box.y(float(value))) - 2.0, 12.0 * MM, 7.0, align=1.0)
    for value, words in panel.limits:
        y = float(box.y(value))
        canvas.setDash(3, 2)
        canvas.line(box.left, y, box.right, y)
        canvas.setDash()
        draw_words(canvas, words, box.right, y + 1.5, 60.0 * MM, 6.5, align=1.0)
    for at, words in days:
        draw_words(canvas, words, float(box.x(at)), box.foot - 3.5 * MM, 24.0 * MM, 7.0, align=0.5)


def _curve(canvas: Canvas, box: _Box, times: Floats, values: Floats) -> None:
    """A line, broken where nothing is known."""
    canvas.setLineWidth(0.7)
    path, pen = canvas.beginPath(), False
    for at in _kept(values):
        if np.isnan(values[at]):
            pen = False
            continue
        x, y = float(box.x(times[at])), float(box.y(values[at]))
        (path.lineTo if pen else path.moveTo)(x, y)
        pen = True
    canvas.drawPath(path)


def _kept(values: Floats) -> Sequence[int]:
    """Places of the lowest and the highest of each bit of the time, and of where a gap begins."""
    if len(values) <= _MOST_POINTS:
        return range(len(values))
    kept = {int(at) for at in np.flatnonzero(np.isnan(values)) if at == 0 or not np.isnan(values[at - 1])}
    for bucket in np.array_split(np.arange(len(values)), _MOST_POINTS // 3):
        known = bucket[~np.isnan(values[bucket])]
        if len(known):
            kept |= {int(known[np.argmin(values[known])]), int(known[np.argmax(values[known])])}
    return sorted(kept)
