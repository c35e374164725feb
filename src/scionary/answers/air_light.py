"""The light of a logger's file as plants count it: the integral of its whole days, and what that rests on."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from scionary.answers.air_edges import midnight
from scionary.answers.air_facts import Fact
from scionary.answers.words import plural
from scionary.book.models import Nursery
from scionary.dome import AirLimits
from scionary.errors import Refused
from scionary.files.logger_light import LUX, PAR, SUN
from scionary.files.loggers import LoggerFile
from scionary.language import Words, mark, say
from scionary.season import LightSource, light_of_days, ppfd_from_lux, ppfd_from_par, ppfd_from_solar

LIGHT_SOURCES = tuple(each.name.casefold() for each in LightSource)
WHOLE_H = 1.0  # a day of which more is unknown is not told; project default, unsourced
_SOURCES = Words(
    {
        "SUN": mark("sun and sky"),
        "BLUE_SKY": mark("blue sky without sun"),
        "HIGH_PRESSURE_SODIUM": mark("a high-pressure sodium lamp"),
        "METAL_HALIDE": mark("a metal halide lamp"),
        "COOL_WHITE_TUBE": mark("a cool white tube"),
        "INCANDESCENT": mark("an incandescent bulb"),
    }
)


@dataclass(frozen=True)
class DayLight:
    """Daily light integrals of a file's whole days [mol/m²/d]; NaN where no day is whole."""

    column: str
    unit: str
    source: str
    mean: float
    low: float
    high: float
    whole_days: int
    days: int

    def to_dict(self) -> dict[str, Any]:
        return {name: None if value != value else value for name, value in asdict(self).items()}


def daylight_of(read: LoggerFile, nursery: Nursery, shines: str = LIGHT_SOURCES[0]) -> DayLight | None:
    """The light of a file's days at the nursery's clock, under one of `LIGHT_SOURCES`; None where no column of it holds light."""
    unit, source = read.understood.light_unit, LightSource[shines.upper()]
    if not unit or len(read.time_s) < 2:
        return None
    if unit == SUN and source is not LightSource.SUN:
        raise Refused(
            say("the column {column} counts all of the sun's energy.", column=repr(read.understood.light_column)),
            where="--light",
            remedy=say("How much of a lamp's is light for plants is not known: leave --light out."),
        )
    last = datetime.fromtimestamp(float(read.time_s[-1]), nursery.zone)
    first = datetime.fromtimestamp(float(read.time_s[0]), nursery.zone)
    count = (last.date() - first.date()).days + 1
    edges = [midnight(first, nursery, days=day).timestamp() for day in range(count + 1)]
    hold_s = AirLimits().hold_s(read.interval_s)
    dli, unknown = light_of_days(read.time_s, _photons(read.light, unit, source), edges, hold_s=hold_s)
    whole = dli[unknown <= WHOLE_H]
    mean, low, high = (float(each) for each in (whole.mean(), whole.min(), whole.max())) if whole.size else (float("nan"),) * 3
    return DayLight(read.understood.light_column or "", unit, source.name, mean, low, high, int(whole.size), count)


def light_facts(light: DayLight | None) -> list[Fact]:
    """One line of a report, or none where there is no light in the file."""
    if light is None:
        return []
    what = say("Light of a day (DLI)")
    if not light.whole_days:
        return [Fact(what, say("not known"), say("No day of the log is known from midnight to midnight."))]
    told = {"mean": light.mean, "low": light.low, "high": light.high, "days": plural(light.whole_days, "whole day")}
    return [Fact(what, say("{mean:.1f} mol/m² on the mean of {days}, {low:.1f} to {high:.1f}", **told), _rests_on(light))]


def light_words(read: LoggerFile, nursery: Nursery) -> str:
    """What a file's column of light says, where it is read into the book, which keeps none; empty where there is none."""
    found = light_facts(daylight_of(read, nursery))
    return "".join(say("{what}: {value}. {why} The book keeps no light.", what=each.what, value=each.value, why=each.why) for each in found)


def _photons(light: Any, unit: str, source: LightSource) -> Any:
    if unit == LUX:
        return ppfd_from_lux(light, source)
    if unit == PAR:
        return ppfd_from_par(light, source)
    return ppfd_from_solar(light) if unit == SUN else light


def _rests_on(light: DayLight) -> str:
    """What turned the reading into photons."""
    source = LightSource[light.source]
    told = {"source": _SOURCES[light.source], "factor": source.lux_per_umol, "more": source.umol_per_joule}
    if light.unit == LUX:
        return say("Taken as light of {source}: {factor:g} lux to 1 µmol/m²/s (Thimijan & Heins 1983); an assumption.", **told)
    if light.unit == PAR:
        return say("Taken as light of {source}: {more:g} µmol to a joule (Thimijan & Heins 1983); an assumption.", **told)
    if light.unit == SUN:
        return say("Taken as sunshine of all wavelengths, 0.45 of it light for plants (project default); an assumption.")
    return say("As the logger counts photons.")
