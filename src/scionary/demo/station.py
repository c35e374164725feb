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
from scionary.season import clear_sky_radiation, extraterrestrial_radiation, hours_from_extremes, sun_height

STATION = "Tarn Bridge, by the beck"
YEARS, HOURLY_DAYS, AHEAD_DAYS = 30, 24, 7
_MEAN_C, _SWING_C, _WEATHER_SD_C = 8.0, 9.0, 3.2
_STEADIER = 0.3  # by how much less the weather varies at midsummer, and more at midwinter
_CLOCK_S = 3600.0  # the station's standard time, ahead of UTC
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


@dataclass(frozen=True, eq=False)
class Hours:
    """Invented hours."""

    time_s: Floats
    temperature_c: Floats
    humidity_pct: Floats
    wind_m_s: Floats


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
    day_of_year = _day_of_year(dates)
    rng = stream(seed, "weather station")
    wet = _wet(rng.random(dates.size))
    weather = _lasting(rng.normal(0.0, _WEATHER_SD_C, dates.size))
    season = np.cos(2.0 * np.pi * (day_of_year - 200) / 365.25)
    clear = np.clip(np.where(wet, rng.normal(0.3, 0.12, dates.size), rng.normal(0.66, 0.12, dates.size)), 0.12, 0.78)
    bright = np.isin(dates, _overheated_days(today, seed))
    wet, clear = wet & ~bright, np.where(bright, _BRIGHT, clear)
    spread = (3.0 + 8.0 * clear) * (0.8 + 0.2 * season)
    mean = _MEAN_C + _SWING_C * season + weather * (1.0 - _STEADIER * season) - np.where(wet, 1.5, 0.0) * season
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
    warm, moist = _by_the_hour(dates, highest, lowest, days.humidity_pct[part])
    rain = np.where(np.arange(24) < 12, days.rain_mm[part][:, None] / 12.0, 0.0)
    lines = ["time (UTC),temperature (°C),humidity (%),rain (mm)"]
    for at, day in enumerate(dates.tolist()):
        midnight = datetime.combine(day, time()) - timedelta(seconds=_CLOCK_S)
        for hour in range(24):
            stamp = f"{midnight + timedelta(hours=hour):%Y-%m-%dT%H:%M}Z"
            lines.append(f"{stamp},{warm[at, hour]:.1f},{moist[at, hour]:.0f},{rain[at, hour]:.2f}")
    return ("\n".join(lines) + "\n").encode()


def _by_the_hour(dates: npt.NDArray[np.datetime64], highest: Floats, lowest: Floats, humidity: Floats) -> tuple[Floats, Floats]:
    """Warmth and humidity of each hour of days, shape (days, 24)."""
    warm = np.asarray(hours_from_extremes(NURSERY["latitude_deg"], _day_of_year(dates), highest, lowest)).reshape(-1, 24)
    held = humidity / 100.0 * _saturated((highest + lowest) / 2.0)
    return warm, np.clip(100.0 * held[:, None] / _saturated(warm), 20.0, 100.0)


def _day_of_year(dates: npt.NDArray[np.datetime64]) -> npt.NDArray[np.int64]:
    return np.asarray((dates - dates.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.int64) + 1)


def hours_of_days(days: Days, begin_s: float, end_s: float) -> Hours:
    """The hours of the days that hold these moments, as the station's file of hours gives them."""
    part = _days_between(days, begin_s, end_s)
    dates = days.dates[part]
    warm, moist = _by_the_hour(dates, days.highest_c[part], days.lowest_c[part], days.humidity_pct[part])
    time_s = _midnight_s(dates[0]) + 3600.0 * np.arange(24 * dates.size, dtype=np.float64)
    return Hours(time_s, warm.ravel(), moist.ravel(), np.repeat(days.wind_m_s[part], 24))


def sun_of_days(days: Days, time_s: Floats) -> Floats:
    """Sun in W/m² at moments that lie close together: each day's, laid along the height of a clear sky's."""
    part = _days_between(days, time_s[0], time_s[-1])
    hours = _midnight_s(days.dates[part][0]) + 3600.0 * np.arange(24 * (part.stop - part.start))
    day_total = _clear(hours).reshape(-1, 24).sum(axis=1) * 3600.0 / 1e6
    share = days.solar_mj_m2[part] / day_total
    return np.asarray(_clear(time_s) * share[np.clip((time_s - hours[0]) // 86_400.0, 0, share.size - 1).astype(np.int64)])


def _clear(time_s: Floats) -> Floats:
    return np.asarray(clear_sky_radiation(sun_height(NURSERY["latitude_deg"], NURSERY["longitude_deg"], time_s)))


def _days_between(days: Days, begin_s: float, end_s: float) -> slice:
    first = _midnight_s(days.dates[0])
    return slice(int((begin_s - first) // 86_400.0), int((end_s - first) // 86_400.0) + 1)


def _midnight_s(day: np.datetime64) -> float:
    return float(day.astype("datetime64[s]").astype(np.float64)) - _CLOCK_S


def _saturated(temperature_c: Floats) -> Floats:
    return np.asarray(0.6108 * np.exp(17.27 * temperature_c / (temperature_c + 237.3)))
