"""The demo's weather station: thirty invented years by the day, the last weeks and the coming one by the hour, as files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from scionary.demo.chance import stream
from scionary.demo.seasons import past_fillings, present_fillings
from scionary.demo.tarn_bridge import NURSERY
from scionary.demo.truth import air_faults
from scionary.season import extraterrestrial_radiation, hours_from_extremes

STATION = "Tarn Bridge, by the beck"
YEARS, HOURLY_DAYS, AHEAD_DAYS = 30, 24, 7
_MEAN_C, _SWING_C, _WEATHER_SD_C = 9.0, 9.5, 3.2
_KEEPS = 0.75  # of a day's departure from the season that the next day keeps
_WET_AFTER = (0.24, 0.58)  # chance of rain after a dry and after a wet day
_RAIN_MM, _SHAPE = 7.0, 0.8
_BRIGHT = 0.74  # of the sun above the air, on a cloudless day
_GAP = (2_500, 9)  # days after the first: the station was struck by lightning
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Days:
    """Invented days."""

    dates: npt.NDArray[np.datetime64]
    highest_c: Floats
    lowest_c: Floats
    humidity_pct: Floats
    rain_mm: Floats
    wind_m_s: Floats
    solar_mj_m2: Floats


@dataclass(frozen=True)
class StationText:
    """One file of the station."""

    name: str
    data: bytes


def station_texts(today: date, seed: int) -> Iterator[StationText]:
    """The file of days until yesterday, and that of hours with the forecast."""
    days = invented_days(today, seed)
    yield StationText("tarn-bridge_days.csv", _daily(days, (today - timedelta(days=1))))
    yield StationText("tarn-bridge_hours.csv", _hourly(days, today))


def invented_days(today: date, seed: int) -> Days:
    """Thirty years and the coming week: a wave of the year, weather that lasts some days, wet spells."""
    dates = np.arange(np.datetime64(today, "D") - 365 * YEARS - 8, np.datetime64(today, "D") + AHEAD_DAYS + 1)
    day_of_year = (dates - dates.astype("datetime64[Y]").astype("datetime64[D]")).astype(int) + 1
    rng = stream(seed, "weather station")
    wet = _wet(rng.random(dates.size))
    weather = _lasting(rng.normal(0.0, _WEATHER_SD_C, dates.size))
    season = np.cos(2.0 * np.pi * (day_of_year - 200) / 365.25)
    clear = np.clip(np.where(wet, rng.normal(0.3, 0.12, dates.size), rng.normal(0.66, 0.12, dates.size)), 0.12, 0.78)
    bright = np.isin(dates, _overheated_days(today, seed))
    wet, clear = wet & ~bright, np.where(bright, _BRIGHT, clear)
    spread = (3.0 + 8.0 * clear) * (0.8 + 0.2 * season)
    mean = _MEAN_C + _SWING_C * season + weather - np.where(wet, 1.5, 0.0) * season
    rain = np.where(wet, rng.gamma(_SHAPE, _RAIN_MM / _SHAPE, dates.size), 0.0)
    humidity = np.clip(np.where(wet, 86.0, 72.0) - 6.0 * season + rng.normal(0.0, 4.0, dates.size), 35.0, 99.0)
    sun = np.asarray(extraterrestrial_radiation(NURSERY["latitude_deg"], day_of_year)) * clear
    wind = np.clip(rng.gamma(4.0, 0.6, dates.size), 0.3, 12.0)
    columns = (mean + spread / 2.0, mean - spread / 2.0, humidity, rain, wind, sun)
    return Days(dates, *(np.asarray(np.round(column, 1), dtype=np.float64) for column in columns))


def _overheated_days(today: date, seed: int) -> list[np.datetime64]:
    """Days on which a dome whose shade had slipped overheated: bright ones."""
    faults = air_faults(past_fillings(today, seed), present_fillings(today, seed), today)
    return [np.datetime64(fault.begin, "D") for fault in faults if fault.kind == "overheated"]


def _wet(dice: Floats) -> npt.NDArray[np.bool_]:
    wet, here = np.zeros(dice.size, dtype=bool), False
    for at, die in enumerate(dice.tolist()):
        here = die < _WET_AFTER[here]
        wet[at] = here
    return wet


def _lasting(shocks: Floats) -> Floats:
    found, here = np.empty(shocks.size), 0.0
    for at, shock in enumerate((shocks * np.sqrt(1.0 - _KEEPS**2)).tolist()):
        here = _KEEPS * here + shock
        found[at] = here
    return found


def _daily(days: Days, until: date) -> bytes:
    lines = ["Station;Tarn Bridge, by the beck", "date;tmax (°C);tmin (°C);humidity (%);rain (mm);wind (m/s);solar (MJ/m²)"]
    last = int((np.datetime64(until, "D") - days.dates[0]) / np.timedelta64(1, "D")) + 1
    columns = (days.highest_c, days.lowest_c, days.humidity_pct, days.rain_mm, days.wind_m_s, days.solar_mj_m2)
    rows = np.column_stack([column[:last] for column in columns]).tolist()
    for at, (day, row) in enumerate(zip(days.dates[:last].tolist(), rows, strict=True)):
        if not _GAP[0] <= at < sum(_GAP):
            lines.append(f"{day:%d.%m.%Y};" + ";".join(f"{value:.1f}" for value in row))
    return ("\r\n".join(lines[1:]) + "\r\n").encode()


def _hourly(days: Days, today: date) -> bytes:
    """Hours in UTC: the air keeps its water through a day, rain falls before noon."""
    end = days.dates.size
    part = slice(end - HOURLY_DAYS - AHEAD_DAYS - 1, end)
    dates, highest, lowest = days.dates[part], days.highest_c[part], days.lowest_c[part]
    day_of_year = (dates - dates.astype("datetime64[Y]").astype("datetime64[D]")).astype(int) + 1
    warm = np.asarray(hours_from_extremes(NURSERY["latitude_deg"], day_of_year, highest, lowest)).reshape(-1, 24)
    held = days.humidity_pct[part] / 100.0 * _saturated((highest + lowest) / 2.0)
    moist = np.clip(100.0 * held[:, None] / _saturated(warm), 20.0, 100.0)
    rain = np.where(np.arange(24) < 12, days.rain_mm[part][:, None] / 12.0, 0.0)
    lines = ["time (UTC),temperature (°C),humidity (%),rain (mm)"]
    for at, day in enumerate(dates.tolist()):
        midnight = datetime.combine(day, time())
        for hour in range(24):
            stamp = f"{midnight + timedelta(hours=hour):%Y-%m-%dT%H:%M}Z"
            lines.append(f"{stamp},{warm[at, hour]:.1f},{moist[at, hour]:.0f},{rain[at, hour]:.2f}")
    return ("\n".join(lines) + "\n").encode()


def _saturated(temperature_c: Floats) -> Floats:
    return np.asarray(0.6108 * np.exp(17.27 * temperature_c / (temperature_c + 237.3)))
