"""What a report on a dome's air says, one fact a line: hours, day against night, wet leaves, the callus clock and its date."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from scionary.answers.air_edges import hours_words
from scionary.answers.words import day_soon, plural, weekday_words
from scionary.book.models import Nursery
from scionary.dome import AirLimits, AirReport, CallusClock, PartOfDay
from scionary.language import say
from scionary.units import temperature_words

FEWEST_HOURS = 72.0  # project default, unsourced: from fewer hours of readings no date is foretold


@dataclass(frozen=True)
class Fact:
    """One line: what, how much, and what to think of it."""

    what: str
    value: str
    why: str = ""


def air_facts(report: AirReport, limits: AirLimits, nursery: Nursery, *, hours_unknown: float) -> list[Fact]:
    """The lines of a report, in the order in which a grower asks; unknown hours are those of the whole span that is shown."""
    unit = nursery.temperature_unit
    band = say("{low} to {high}", low=temperature_words(limits.callus_low_c, unit), high=temperature_words(limits.callus_high_c, unit))
    facts = [
        Fact(say("In the callus band, {band}", band=band), _of(report.hours_in_callus_band, report.hours_temperature_known)),
        Fact(
            say("Above {limit}", limit=temperature_words(limits.heat_limit_c, unit)),
            _known(report.hours_above_heat_limit, report.hours_temperature_known),
        ),
        Fact(
            say("Below {limit:.0f} %", limit=limits.humidity_low_pct),
            _known(report.hours_below_humidity_limit, report.hours_humidity_known),
        ),
        Fact(say("By day"), _part(report.day, unit)),
        Fact(say("By night"), _part(report.night, unit)),
        _deficit(report),
        Fact(say("Leaves wet"), _of(report.wetness.hours_wet, report.hours_humidity_known), say("A closed dome is wet nearly always.")),
        _mould(report),
    ]
    if report.hours_full:
        why = say("Wet, and how wet is not known.")
        facts.append(Fact(say("Humidity sensor at its end"), _hours(report.hours_full), why))
    if report.hours_stuck:
        facts.append(Fact(say("A sensor stood still"), _hours(report.hours_stuck), say("Counted as read; do not rely on it.")))
    only_warmth = report.hours_temperature_known and not report.hours_humidity_known
    why = say("Humidity was not measured: unknown is not fine.") if only_warmth else say("Unknown is not fine.") if hours_unknown else ""
    facts.append(Fact(say("Not known"), _hours(hours_unknown), why))
    return facts


def callus_facts(report: AirReport, nursery: Nursery, *, grafted: bool) -> list[Fact]:
    """The callus clock and the first look that it implies; `grafted` tells that it began with a graft, not with the log."""
    clock = report.callus
    if np.isnan(clock.from_s):
        return []
    begin = day_soon(datetime.fromtimestamp(clock.from_s, nursery.zone))
    since = say("since the graft of {day}", day=begin) if grafted else say("as if grafted on {day}, when the log began", day=begin)
    low, high = clock.days_low, clock.days_high
    days = say("{days:.1f} days", days=low) if f"{low:.1f}" == f"{high:.1f}" else say("{low:.1f} to {high:.1f} days", low=low, high=high)
    why = say("Counted at the best temperature, {since}; an assumption, and never by itself a reason to open.", since=since)
    look = check_words(clock, nursery) if report.hours_temperature_known >= FEWEST_HOURS else _too_short()
    return [Fact(say("Callus clock"), days, why), Fact(say("First look worth while"), *look)]


def _too_short() -> tuple[str, str]:
    return say("no date"), say("It takes three days of readings to foretell one.")


def check_words(clock: CallusClock, nursery: Nursery) -> tuple[str, str]:
    """The date of the first look, and its range."""

    def day(moment_s: float) -> str:
        return weekday_words(datetime.fromtimestamp(moment_s, nursery.zone))

    if np.isnan(clock.check_s):
        return say("no date"), say("At the temperature of the last days the clock stands nearly still.")
    latest = day(clock.check_latest_s) if np.isfinite(clock.check_latest_s) else say("not foreseen")
    earliest = day(clock.check_earliest_s) if np.isfinite(clock.check_earliest_s) else say("not foreseen")
    return day(clock.check_s), say("Between {earliest} and {latest}.", earliest=earliest, latest=latest)


def _of(hours: float, known: float) -> str:
    if not known:
        return say("not known")
    return say("{hours} of {known} known", hours=_hours(hours), known=_hours(known))


def _known(hours: float, known: float) -> str:
    return _hours(hours) if known else say("not known")


def _part(part: PartOfDay, unit: str) -> str:
    if not part.hours:
        return say("not known")
    temperature = say("not known") if np.isnan(part.temperature_c) else temperature_words(part.temperature_c, unit)
    humidity = say("not known") if np.isnan(part.relative_humidity_pct) else f"{part.relative_humidity_pct:.0f} %"
    return say("{temperature}, {humidity} on the mean", temperature=temperature, humidity=humidity)


def _deficit(report: AirReport) -> Fact:
    found = report.vapour_pressure_deficit_kpa
    what, why = say("The air lacked"), say("Vapour pressure deficit: what draws water out of leaves.")
    if np.isnan(found.mean):
        return Fact(what, say("not known"), why)
    return Fact(what, say("{mean:.2f} kPa on the mean, {high:.2f} at most", mean=found.mean, high=found.high), why)


def _mould(report: AirReport) -> Fact:
    found, what = report.wetness, say("Grey mould could germinate")
    if not found.mould_spells:
        return Fact(what, say("never long enough") if report.hours_covered else say("not known"))
    value = say("{hours} in {spells}", hours=_hours(found.hours_mould), spells=plural(found.mould_spells, "spell"))
    return Fact(
        what,
        value,
        say(
            "The longest {hours}. Take out dead leaves; air in the morning where the method allows it.",
            hours=_hours(found.longest_mould_h),
        ),
    )


def _hours(hours: float) -> str:
    if hours <= 0:
        return say("none")
    return f"{max(hours, 0.1):.1f} h" if hours < 10 else hours_words(hours)
