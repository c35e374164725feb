"""Charts by the plotting library, made fit for a page that allows no inline style: colours become classes of the stylesheet."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ElementTree
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
from django.utils.safestring import SafeString, mark_safe

from scionary.answers.air import AirAnswer
from scionary.answers.air_edges import midnight
from scionary.answers.air_table import air_rows
from scionary.answers.words import date_soon, short_day, weekday_number
from scionary.book.models import Nursery
from scionary.language import say
from scionary.units import fahrenheit_from_celsius, temperature_words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_SVG = "http://www.w3.org/2000/svg"
_WIDTH, _HEIGHT = 330.0, 250.0  # drawing units; text keeps its size on a small phone
_LEFT, _WIDE = 0.115, 0.865  # where the curves begin, and how wide they are, of the whole width
_MOST_POINTS = 700
# Colours that stand for tokens of the stylesheet until the drawing is done.
INK, SOFT, EDGE, LIVING, DOUBT, SCION, AIR, DEAD = (f"#0000{n:02x}" for n in range(1, 9))
_CLASSES = dict(
    zip(
        (INK, SOFT, EDGE, LIVING, DOUBT, SCION, AIR, DEAD),
        ("ink", "ink-soft", "edge", "living-soft", "doubt-soft", "scion", "air", "dead-soft"),
        strict=True,
    )
)
_KEPT = {
    "stroke-width",
    "stroke-dasharray",
    "stroke-dashoffset",
    "stroke-linecap",
    "stroke-linejoin",
    "opacity",
    "fill-opacity",
    "stroke-opacity",
    "text-anchor",
}

Times = npt.NDArray[np.float64]


def air_chart(air: AirAnswer, nursery: Nursery) -> SafeString:
    """Temperature with its band and limit, humidity with its low limit; bad stretches shaded, gaps left open; '' without readings."""
    if air.report is None or not len(air.readings):
        return SafeString("")
    from matplotlib import rc_context
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    settings: dict[Any, Any] = {"svg.fonttype": "none", "svg.hashsalt": str(air.sensor.pk), "font.size": 10.0, "path.simplify": True}
    with rc_context(settings):
        figure = Figure(figsize=(_WIDTH / 72.0, _HEIGHT / 72.0))
        figure.patch.set_visible(False)
        above = figure.add_axes((_LEFT, 0.41, _WIDE, 0.52))
        below = figure.add_axes((_LEFT, 0.1, _WIDE, 0.22))
        _temperature(above, air, nursery)
        _humidity(below, air)
        for axes in (above, below):
            _frame(axes, air, nursery)
        above.set_xticklabels([])
        drawn = io.StringIO()
        FigureCanvasSVG(figure).print_svg(drawn, metadata={"Date": None, "Creator": None})
    return plain_svg(
        drawn.getvalue(),
        say(
            "Air by {sensor}, {begin} to {end}. {air}",
            sensor=air.sensors,
            begin=date_soon(air.begin),
            end=short_day(air.end),
            air=air.sentence,
        ),
        above=_readouts(air, nursery),
    )


def _readouts(air: AirAnswer, nursery: Nursery) -> list[ElementTree.Element]:
    """Clear strips over the drawing, each with what was read in it: shown by a pointer, and beside the drawing by a script."""
    day_over = midnight(air.end - timedelta(microseconds=1), nursery, days=1).timestamp()
    begin, days = air.begin.timestamp(), (day_over - air.begin.timestamp()) / 86_400
    found = []
    for row in air_rows(air, nursery, hours=1 if days <= 1.1 else 3 if days <= 8 else 24):
        left, right = (_LEFT + (at.timestamp() - begin) / (day_over - begin) * _WIDE for at in (row.begin, row.end))
        place = {"x": f"{left * _WIDTH:.2f}", "width": f"{(right - left) * _WIDTH:.2f}", "y": "0", "height": f"{_HEIGHT:.0f}"}
        strip = ElementTree.Element("rect", {"class": "readout", **place})
        title = ElementTree.SubElement(strip, "title")
        title.text = row.words
        found.append(strip)
    return found


def _temperature(axes: Axes, air: AirAnswer, nursery: Nursery) -> None:
    limits, unit = air.limits, nursery.temperature_unit
    shown = fahrenheit_from_celsius if unit == "F" else float
    times, values = _line(air, 1)
    low, high = min(np.nanmin(values, initial=15.0), 15.0), max(np.nanmax(values, initial=31.0), 31.0)
    axes.set_ylim(shown(low - 1.0), shown(high + 1.5))
    axes.axhspan(shown(limits.callus_low_c), shown(limits.callus_high_c), color=LIVING, linewidth=0)
    axes.axhline(shown(limits.heat_limit_c), color=SCION, linewidth=1.4, dashes=(5, 4))
    axes.plot(times, [shown(v) for v in values], color=INK, linewidth=1.6)
    _above(axes, say("harm above {temperature}", temperature=temperature_words(limits.heat_limit_c, unit)), SCION)
    _above(
        axes,
        say(
            "callus band {low:.0f}–{high}",
            low=shown(limits.callus_low_c),
            high=temperature_words(limits.callus_high_c, unit),
        ),
        SOFT,
        right=True,
    )
    step = 10 if unit == "F" else 5
    ticks = np.arange(np.ceil(axes.get_ylim()[0] / step) * step, axes.get_ylim()[1], step)
    axes.set_yticks(ticks, [f"{tick:.0f}°" for tick in ticks])


def _humidity(axes: Axes, air: AirAnswer) -> None:
    times, values = _line(air, 2)
    floor = min(np.nanmin(values, initial=80.0), 80.0)
    axes.set_ylim(floor - 3.0, 103.0)
    axes.axhline(air.limits.humidity_low_pct, color=AIR, linewidth=1.4, dashes=(5, 4))
    axes.plot(times, values, color=INK, linewidth=1.4)
    _above(axes, say("too dry below {humidity:.0f} %", humidity=air.limits.humidity_low_pct), AIR)
    ticks = [tick for tick in (20, 40, 60, 80, 100) if tick > floor - 3.0]
    axes.set_yticks(ticks, [f"{tick} %" for tick in ticks])


def _above(axes: Axes, text: str, colour: str, *, right: bool = False) -> None:
    """What a line or band means, over the drawing, where no curve runs through it."""
    at, side = (1.0, "right") if right else (0.0, "left")
    axes.annotate(text, (at, 1.0), (0, 4), xycoords="axes fraction", textcoords="offset points", color=colour, ha=side)


def _frame(axes: Axes, air: AirAnswer, nursery: Nursery) -> None:
    """Whole days below, nothing else round it; stretches outside the limits and gaps are shaded behind the lines."""
    begin, end = air.begin.timestamp(), air.end.timestamp()
    day_over = midnight(air.end - timedelta(microseconds=1), nursery, days=1)
    axes.set_xlim(begin, day_over.timestamp())
    axes.patch.set_visible(False)
    for spine in axes.spines.values():
        spine.set_visible(False)
    axes.spines["bottom"].set(visible=True, color=EDGE)
    axes.tick_params(length=0, pad=3, labelcolor=SOFT)
    for episode in air.episodes:
        colour = DEAD if episode.kind in ("gap", "stuck") else DOUBT
        axes.axvspan(max(episode.begin.timestamp(), begin), min(episode.end.timestamp(), end), color=colour, linewidth=0, zorder=0)
    if (day_over - air.begin) < timedelta(hours=30):
        hours = [air.begin + timedelta(hours=hour) for hour in (0, 6, 12, 18)]
        axes.set_xticks([hour.timestamp() for hour in hours], [f"{hour.astimezone(nursery.zone):%H:%M}" for hour in hours])
        return
    noons = _noons(air.begin, day_over, nursery)
    axes.set_xticks([noon.timestamp() for noon in noons], [weekday_number(noon) for noon in noons])


def _noons(begin: datetime, end: datetime, nursery: Nursery) -> list[datetime]:
    """Noon of every day between, thinned to at most six, which a phone has room for."""
    first = begin.astimezone(nursery.zone).replace(hour=12, minute=0, second=0, microsecond=0)
    days = [first + timedelta(days=i) for i in range((end - begin).days + 2)]
    inside = [day for day in days if begin <= day <= end]
    return inside[:: max(1, -(-len(inside) // 6))]


def _line(air: AirAnswer, column: int) -> tuple[Times, Times]:
    """Times and values of one quantity, thinned to its extremes, with an unknown value wherever the sensor was silent."""
    rows = air.readings
    times, values = _thinned(rows[:, 0], rows[:, column])
    longest = air.limits.hold_s(air.report.interval_s if air.report and np.isfinite(air.report.interval_s) else 3600.0)
    step = max(longest, 2.5 * float(np.median(np.diff(times))) if len(times) > 2 else longest)
    holes = np.flatnonzero(np.diff(times) > step)
    return np.insert(times, holes + 1, times[holes] + 1.0), np.insert(values, holes + 1, np.nan)


def _thinned(times: Times, values: Times) -> tuple[Times, Times]:
    """At most some hundred points: of each bucket its lowest and its highest, so that no peak is lost."""
    if len(times) <= _MOST_POINTS:
        return times, values
    kept: set[int] = {0, len(times) - 1}
    for bucket in np.array_split(np.arange(len(times)), _MOST_POINTS // 2):
        known = bucket[np.isfinite(values[bucket])]
        if len(known):
            kept |= {int(known[np.argmin(values[known])]), int(known[np.argmax(values[known])])}
    order = np.array(sorted(kept))
    return times[order], values[order]


def plain_svg(text: str, words: str, *, above: Sequence[ElementTree.Element] = ()) -> SafeString:
    """An SVG that needs no style: style attributes become presentation attributes and classes, everything unused goes.

    What lies `above` the drawing comes as it is.
    """
    root = ElementTree.fromstring(text)  # noqa: S314 - our own drawing, made a moment ago
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in (f"{{{_SVG}}}style", f"{{{_SVG}}}metadata") or not isinstance(child.tag, str):
                parent.remove(child)
    referred = {value[5:-1] for element in root.iter() for value in element.attrib.values() if value.startswith("url(#")}
    for element in root.iter():
        _unstyle(element)
        if element.get("id") not in referred:
            element.attrib.pop("id", None)
        element.tag = element.tag.removeprefix(f"{{{_SVG}}}")
    root.attrib = {"class": "chart", "viewBox": root.get("viewBox", ""), "role": "img", "aria-label": words}
    title = ElementTree.Element("title")
    title.text = words
    root.insert(0, title)
    root.extend(above)
    return mark_safe(ElementTree.tostring(root, encoding="unicode"))  # built from our own numbers; names are escaped by the tree


def _unstyle(element: ElementTree.Element) -> None:
    classes = []
    for declaration in element.attrib.pop("style", "").split(";"):
        name, _, value = (part.strip() for part in declaration.partition(":"))
        if name in ("fill", "stroke"):
            token = _CLASSES.get(value)
            if token:
                classes.append(f"{name}-{token}")
            else:
                element.set(name, value)
        elif name in _KEPT:
            element.set(name, value)
    if classes:
        element.set("class", " ".join(classes))
