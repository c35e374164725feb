"""The report on a dome's air on paper, from the same answer that the page and the terminal show."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from scionary.answers.air import AirAnswer, EpisodeWords, limits_said
from scionary.answers.air_callus import healing_facts
from scionary.answers.air_edges import midnight
from scionary.answers.air_facts import Fact, air_facts, callus_facts
from scionary.answers.air_light import light_facts
from scionary.answers.air_moisture import moisture_facts
from scionary.answers.air_stood import Stood, stood_by_stretch
from scionary.answers.domes import dome_answer
from scionary.answers.words import date_soon, day_words
from scionary.book.models import Nursery
from scionary.errors import BadFile
from scionary.files.air_sheet import AirSheetText, Panel, air_sheet
from scionary.language import say
from scionary.units import fahrenheit_from_celsius, temperature_words

_MOST_DAYS = 8
Floats = npt.NDArray[np.float64]


def air_pdf(air: AirAnswer, nursery: Nursery, *, notes: Sequence[str] = (), today: datetime) -> bytes:
    """The report as a PDF; refused where nothing was written."""
    if air.report is None:
        raise BadFile(say("nothing was written, so there is nothing to report."), where=air.sensors, remedy=say("Choose another time."))
    times, temperature, humidity = _with_gaps(air)
    stood = stood_by_stretch(air.dome, [(each.begin, each.end) for each in air.episodes])
    text = AirSheetText(
        title=say("Air by {name}, {begin} to {end}", name=air.sensors, begin=day_words(air.begin), end=day_words(air.end)),
        sentence=air.sentence,
        why=" ".join([air.why, *(air.beside.sentences if air.beside else ())]),
        times=times,
        panels=[_temperature(temperature, air, nursery), _humidity(humidity, air)],
        shaded=[(e.begin.timestamp(), e.end.timestamp(), e.kind == "gap") for e in air.episodes if e.kind in ("heat", "dry", "gap")],
        days=_days(air, nursery),
        facts=[(f.what, f.value, f.why) for f in facts_of(air, nursery, now=today)],
        stretches=[_with_plants(each, stood.get(number)) for number, each in enumerate(air.episodes)],
        notes=list(notes),
        limits=limits_said(air, nursery),
        printed=say("Printed {day}", day=day_words(today)),
        page=nursery.paper,
    )
    return air_sheet(text)


def facts_of(air: AirAnswer, nursery: Nursery, *, now: datetime) -> list[Fact]:
    """All facts; the callus clock runs since what stands in the dome was grafted, of a file since the log began."""
    if air.report is None:
        return []
    facts = [
        *air_facts(air.report, air.limits, nursery, hours_unknown=air.hours_unknown),
        *moisture_facts(air, nursery),
        *light_facts(air.light),
    ]
    if air.dome is None:
        return [*facts, *callus_facts(air.report, nursery, grafted=False)]
    grafted = dome_answer(air.dome.pk, today=now.astimezone(nursery.zone).date()).grafted
    return [*facts, *healing_facts(air.sensor, grafted, nursery, end=air.end)]


def _with_plants(stretch: EpisodeWords, stood: Stood | None) -> str:
    return f"{stretch.sentence}. {stood.words} {stood.names}".rstrip() if stood and stood.plants else stretch.sentence


def _with_gaps(air: AirAnswer) -> tuple[Floats, Floats, Floats]:
    """Times and values, with an unknown value behind each reading that a gap follows."""
    rows = air.readings
    step = air.limits.hold_s(air.report.interval_s) if air.report else np.inf
    holes = np.flatnonzero(np.diff(rows[:, 0]) > step) + 1
    times = np.insert(rows[:, 0], holes, rows[holes - 1, 0] + 1.0)
    return times, np.insert(rows[:, 1], holes, np.nan), np.insert(rows[:, 2], holes, np.nan)


def _temperature(values: Floats, air: AirAnswer, nursery: Nursery) -> Panel:
    unit, limits = nursery.temperature_unit, air.limits
    shown = fahrenheit_from_celsius if unit == "F" else float
    known = values[~np.isnan(values)]
    low, high = min(known.min(initial=15.0), 15.0) - 1.0, max(known.max(initial=31.0), 31.0) + 1.0
    lines = [
        (shown(limits.heat_limit_c), say("harm above {limit}", limit=temperature_words(limits.heat_limit_c, unit))),
        (shown(limits.callus_high_c), say("callus band up to {limit}", limit=temperature_words(limits.callus_high_c, unit))),
        (shown(limits.callus_low_c), say("callus band from {limit}", limit=temperature_words(limits.callus_low_c, unit))),
    ]
    drawn = values * 1.8 + 32.0 if unit == "F" else values
    return Panel(say("Temperature"), drawn, lines, shown(float(low)), shown(float(high)), f"°{unit}")


def _humidity(values: Floats, air: AirAnswer) -> Panel:
    limit, known = air.limits.humidity_low_pct, values[~np.isnan(values)]
    low = min(float(known.min(initial=80.0)), 80.0) - 2.0
    return Panel(say("Humidity"), values, [(limit, say("too dry below {limit:.0f} %", limit=limit))], low, 100.0, "%")


def _days(air: AirAnswer, nursery: Nursery) -> list[tuple[float, str]]:
    """Some midnights of the time, with their dates."""
    first = midnight(air.begin, nursery)
    count = max((air.end - first).days + 1, 1)
    step = -(-count // _MOST_DAYS)
    marks = [midnight(first + timedelta(hours=12), nursery, days=day) for day in range(0, count + 1, step)]
    return [(mark.timestamp(), date_soon(mark)) for mark in marks if air.begin <= mark <= air.end]
