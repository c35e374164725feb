"""The air in the demo's domes: sun, weather and a heated bench in a few plain formulas, with an afternoon and a weekend gone wrong."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from scionary.demo.chance import stream
from scionary.demo.tarn_bridge import BENCH_C, NURSERY

Floats = npt.NDArray[np.float64]

_SOLAR_HOURS_AHEAD = 0.6  # of UTC, at the nursery's longitude
_YEAR_MEAN_C, _YEAR_SWING_C, _DAY_SWING_C, _WEATHER_SD_C = 8.5, 9.5, 4.0, 2.0
_SUN_GAIN_C, _BARE_SUN_GAIN_C = 4.0, 16.0  # shaded, and with the shade cloth slipped
_DRY_FALL_PCT = 38.0


@dataclass(frozen=True)
class Spell:
    """A time in which the air went wrong."""

    kind: str  # "overheated" or "dry"
    begin: datetime
    end: datetime


@dataclass(frozen=True)
class Air:
    """Readings at even steps: seconds since 1970, °C, % relative humidity."""

    time_s: Floats
    temperature_c: Floats
    relative_humidity_pct: Floats


def dome_air(begin: datetime, end: datetime, step_min: int, *, opened: datetime | None, spells: list[Spell], seed: int, word: str) -> Air:
    """The air of one dome from `begin` up to but without `end`; from `opened` on the vents are set wider day by day."""
    time_s = np.arange(begin.timestamp(), end.timestamp(), step_min * 60.0)
    rng = stream(seed, f"air {word}")
    sun = _sun(time_s) * _by_day(time_s, begin, np.clip(stream(seed, f"sky {begin.date()}").normal(0.6, 0.3, 80), 0.1, 1.0))
    bare = _inside(time_s, spells, "overheated")
    outside = _outside_c(time_s, begin, seed)
    sheltered = BENCH_C + np.log1p(np.exp(outside + 1.0 - BENCH_C))
    temperature = sheltered + sun * _SUN_GAIN_C + bare * _BARE_SUN_GAIN_C + rng.normal(0.0, 0.12, time_s.size)
    vents = np.clip((time_s - opened.timestamp()) / (10 * 86_400.0), 0.0, 1.0) if opened else np.zeros_like(time_s)
    humidity = 98.6 - 5.0 * sun - 22.0 * bare - 24.0 * vents - _DRY_FALL_PCT * _ramp(time_s, spells) + rng.normal(0.0, 0.5, time_s.size)
    clipped = np.clip(humidity, 5.0, 100.0)
    return Air(time_s, np.asarray(np.round(temperature, 1), dtype=np.float64), np.asarray(np.round(clipped, 1), dtype=np.float64))


def _sun(time_s: Floats) -> Floats:
    """Sine of the sun's height, zero at night; declination after Cooper 1969."""
    latitude = np.radians(NURSERY["latitude_deg"])
    day = (time_s / 86_400.0) % 365.2425
    declination = np.radians(23.45) * np.sin(2 * np.pi * (284 + day + 1) / 365.0)
    hour_angle = np.radians(15.0) * (((time_s / 3600.0) + _SOLAR_HOURS_AHEAD) % 24.0 - 12.0)
    height = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(hour_angle)
    return np.asarray(np.maximum(height, 0.0))


def _outside_c(time_s: Floats, begin: datetime, seed: int) -> Floats:
    """The year's wave, the day's wave, and weather that lasts some days."""
    day = (time_s / 86_400.0) % 365.2425
    hour = (time_s / 3600.0 + _SOLAR_HOURS_AHEAD) % 24.0
    shocks = stream(seed, f"weather {begin.date()}").normal(0.0, _WEATHER_SD_C, 80)
    weather = np.zeros(80)
    for at in range(1, 80):
        weather[at] = 0.7 * weather[at - 1] + 0.7 * shocks[at]
    wave = _YEAR_SWING_C * np.cos(2 * np.pi * (day - 200.0) / 365.25) + _DAY_SWING_C * np.cos(2 * np.pi * (hour - 15.0) / 24.0)
    return np.asarray(_YEAR_MEAN_C + wave + _by_day(time_s, begin, weather))


def _by_day(time_s: Floats, begin: datetime, values: Floats) -> Floats:
    """One value a day, joined by straight lines."""
    return np.interp((time_s - begin.timestamp()) / 86_400.0, np.arange(values.size), values)


def _inside(time_s: Floats, spells: list[Spell], kind: str) -> Floats:
    """0 to 1: how far into such a spell, rising to its middle."""
    found = np.zeros_like(time_s)
    for spell in (s for s in spells if s.kind == kind):
        share = (time_s - spell.begin.timestamp()) / (spell.end - spell.begin).total_seconds()
        found += np.where((share > 0) & (share < 1), np.sin(np.pi * share), 0.0)
    return found


def _ramp(time_s: Floats, spells: list[Spell]) -> Floats:
    """0 to 1 over a dry spell; then somebody tops up and the air is moist again within three hours."""
    found = np.zeros_like(time_s)
    recovery_s = timedelta(hours=3).total_seconds()
    for spell in (s for s in spells if s.kind == "dry"):
        begin, end = spell.begin.timestamp(), spell.end.timestamp()
        found += np.interp(time_s, [begin, end, end + recovery_s], [0.0, 1.0, 0.0], left=0.0, right=0.0)
    return found
