"""The weather around a dome, hour by hour: recorded, foretold, or that of the same days of past years; what is guessed is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from scionary.answers.held import held
from scionary.answers.weather import SiteWeather, longitude_of, site_weather
from scionary.book.models import Nursery
from scionary.book.weather import COLUMNS, load_weather
from scionary.dome import OutsideAir
from scionary.language import mark, say
from scionary.season import clear_sky_radiation, extraterrestrial_radiation, hours_from_extremes, sun_height

Floats = npt.NDArray[np.float64]
HOUR_S, DAY_S = 3600.0, 86_400.0
STEP_S = 1800.0  # an hour's means stand at its middle
PAST_YEARS = 3  # years back that stand in for a forecast; project default, unsourced
SHELTER = 0.3  # wind at a dome over that of the station; project default, unsourced
CALM_M_S = 0.5  # wind at a dome where nobody measured any; project default, unsourced
HOURS_OF_A_DAY = 20  # from so many a day is made (`days_of_hours`)
KNOWN_SHARE = 0.9  # of the hours to come, before they are called foretold; project default, unsourced
ROOM_WIND_M_S = 0.1  # air moving past a dome in a closed room; project default, unsourced
_NIGHT_DEG = -3.0  # height of a sun that gives nothing, measured or not
_SUN_BY_RANGE = 0.16  # Hargreaves and Samani's factor inland, FAO-56 eq. 50
_QUANTITIES = ("temperature_c", "relative_humidity_pct", "wind_m_s", "solar")
FROM_DAYS = mark("hours made from the day's extremes")
SUN_GUESSED = mark("sun guessed from the day's warmest and coldest hour (FAO-56, eq. 50)")
WIND_GUESSED = mark("no wind was measured: 0.5 m/s at the dome (project default, unsourced)")
WIND_SHELTERED = mark("wind at the dome three tenths of the station's (project default, unsourced)")
HOURS_READ = mark("an hour's sun as the mean of the hour that ends with it, its air as it stood then or as its file was read in to mean")
LAST_YEARS = mark("days that nobody foretells: those of last year")


@dataclass(frozen=True, eq=False)
class Around:
    """Half hours of weather at the nursery, NaN where nothing is known, and what of it was guessed."""

    time_s: Floats
    temperature_c: Floats
    humidity_pct: Floats
    wind_m_s: Floats
    solar_w_m2: Floats
    assumed: tuple[str, ...] = ()

    @property
    def known(self) -> npt.NDArray[np.bool_]:
        return np.asarray(~np.isnan(np.stack([self.temperature_c, self.humidity_pct, self.solar_w_m2])).any(axis=0))

    @property
    def hours_known(self) -> float:
        return float(self.known.sum()) * STEP_S / HOUR_S

    def outside(self, room_c: float | None = None) -> OutsideAir:
        """As the dome's physics takes it; in a room that is kept warm, outdoor air warmed to that, with the water it brought, and still."""
        if room_c is None:
            return OutsideAir(self.time_s, self.temperature_c, self.humidity_pct, self.solar_w_m2, self.wind_m_s)
        warm = np.maximum(self.temperature_c, room_c)
        moist = np.clip(self.humidity_pct * _saturated(self.temperature_c) / _saturated(warm), 0.0, 100.0)
        return OutsideAir(self.time_s, warm, moist, self.solar_w_m2, ROOM_WIND_M_S)


def around(nursery: Nursery, begin: datetime, end: datetime) -> Around | None:
    """The weather of the book from `begin` to `end`, recorded or foretold; None where it holds none at all."""
    site = site_weather(nursery)
    return _around(nursery, site, begin, end) if site is not None else None


def with_last_year(nursery: Nursery, begin: datetime, end: datetime) -> Around | None:
    """The same, with last year's weather where nothing is recorded or foretold; None where that leaves a gap of a day."""
    here = around(nursery, begin, end)
    if here is None or here.known.all():
        return here
    before = _years_before(nursery, begin, end, 1)
    if before is None:
        return None
    air, moist, wind, sun = (np.where(here.known, mine, past) for mine, past in zip(_columns(here), _columns(before), strict=True))
    filled = Around(here.time_s, air, moist, wind, sun, (*here.assumed, say(LAST_YEARS)))
    return filled if (~filled.known).sum() * STEP_S < DAY_S else None


def as_far_as_known(nursery: Nursery, begin: datetime, end: datetime) -> Around | None:
    """The same, ending where nothing more is known; None where that is no day."""
    found = with_last_year(nursery, begin, end) or around(nursery, begin, end)
    known = np.flatnonzero(found.known) if found is not None else np.empty(0, dtype=np.int64)
    if found is None or known.size * STEP_S < DAY_S:
        return None
    time_s, air, moist, wind, sun = (column[: int(known[-1]) + 1] for column in (found.time_s, *_columns(found)))
    return Around(time_s, air, moist, wind, sun, found.assumed)


def coming(nursery: Nursery, begin: datetime, end: datetime) -> tuple[list[Around], bool]:
    """The weather to come: one stretch that is foretold, and True; else those of past years, and False; empty where there is none.

    A stretch may lack hours still: what they hide the dome's outlook has to say.
    """
    here = around(nursery, begin, end)
    if here is not None and here.known.mean() > KNOWN_SHARE:
        return [here], True
    years = [each for back in range(1, PAST_YEARS + 1) if (each := _years_before(nursery, begin, end, back)) is not None]
    return [each for each in years if each.known.mean() > KNOWN_SHARE], False


def _years_before(nursery: Nursery, begin: datetime, end: datetime, years: int) -> Around | None:
    """The hours so many years back, at the times of now."""
    shift = timedelta(days=round(365.2425 * years))
    past = around(nursery, begin - shift, end - shift)
    if past is None:
        return None
    return Around(past.time_s + shift.total_seconds(), *_columns(past), assumed=past.assumed)


def _columns(weather: Around) -> tuple[Floats, Floats, Floats, Floats]:
    return weather.temperature_c, weather.humidity_pct, weather.wind_m_s, weather.solar_w_m2


def _around(nursery: Nursery, site: SiteWeather, begin: datetime, end: datetime) -> Around:
    first = np.floor(begin.timestamp() / HOUR_S) * HOUR_S
    time_s = np.arange(first, end.timestamp() + 1.0, STEP_S)
    whole = np.arange(first, time_s[-1] + HOUR_S, HOUR_S)
    hourly, daily = _hours(site, begin, time_s), _halved(_of_days(nursery, site, whole), time_s.size)
    holed = _with_holes(site, begin, time_s)
    temperature, humidity, wind, solar = (
        np.where(np.isnan(mine) & ~hole, days, mine) for mine, days, hole in zip(hourly, daily[:4], holed, strict=True)
    )
    assumed = [FROM_DAYS] if (np.isnan(hourly[0]) & ~np.isnan(temperature)).any() else []
    if (np.isnan(hourly[3]) & ~np.isnan(solar) & daily[4]).any():
        assumed.append(SUN_GUESSED)
    if not np.isnan(np.stack(hourly)).all():
        assumed.append(HOURS_READ)
    assumed.append(WIND_GUESSED if np.isnan(wind).any() else WIND_SHELTERED)
    height = sun_height(nursery.latitude_deg or 0.0, longitude_of(nursery), time_s)
    solar = np.where(np.isnan(solar) & (height < _NIGHT_DEG), 0.0, solar)
    at_dome = np.where(np.isnan(wind), CALM_M_S, SHELTER * wind)
    return Around(time_s, temperature, humidity, at_dome, np.clip(solar, 0.0, 1500.0), tuple(map(say, assumed)))


def _written(site: SiteWeather, begin: datetime) -> list[Floats]:
    """Rows by the hour of the forecast and of the record, of the months from two days before `begin` on."""
    since = (begin - timedelta(days=2)).date()

    def read() -> list[Floats]:
        return [load_weather(site.station, "hour", forecast=forecast, since=since) for forecast in (True, False)]

    return held("dome_hours", (site.station.pk, site.station.read_at, since), read)


def _hours(site: SiteWeather, begin: datetime, time_s: Floats) -> list[Floats]:
    """What was written by the hour, the record before the forecast."""
    found = [np.full(time_s.size, np.nan) for _ in _QUANTITIES]
    for part in _written(site, begin):
        for column, name in zip(found, _QUANTITIES, strict=True):
            laid = _laid(part[:, 0], part[:, COLUMNS.index(name)], time_s, of_time_before=name == "solar")
            column[~np.isnan(laid)] = laid[~np.isnan(laid)]
    return found


def _laid(moments: Floats, values: Floats, time_s: Floats, *, of_time_before: bool) -> Floats:
    """Values on half hours: by straight lines between rows an hour apart; of more rows their mean; a mean at its middle."""
    there = ~np.isnan(values)
    moments, values = moments[there], values[there]
    near = slice(*np.searchsorted(moments, [time_s[0] - 2 * HOUR_S, time_s[-1] + 2 * HOUR_S]).tolist())
    moments, values = moments[near], values[near]
    if not moments.size:
        return np.full(time_s.size, np.nan)
    usual = float(np.median(np.diff(moments))) if moments.size > 1 else HOUR_S
    if of_time_before:
        moments = moments - min(usual, HOUR_S) / 2.0
    if usual < STEP_S:
        moments, values = _means(moments, values)
    after = np.searchsorted(moments, time_s)
    before = np.searchsorted(moments, time_s, side="right") - 1
    after, before = np.minimum(after, moments.size - 1), np.maximum(before, 0)
    since, until = time_s - moments[before], moments[after] - time_s
    between = (since >= 0.0) & (until >= 0.0) & (since + until <= 1.5 * HOUR_S)
    nearest = np.where(np.abs(since) <= np.abs(until), before, after)
    beside = np.abs(time_s - moments[nearest]) <= STEP_S  # beside a gap a row stands for its own hour
    return np.where(between, np.interp(time_s, moments, values), np.where(beside, values[nearest], np.nan))


def _means(moments: Floats, values: Floats) -> tuple[Floats, Floats]:
    """The mean of the rows around each half hour, at their mean moment."""
    half = np.floor(moments / STEP_S + 0.5)
    _, at, counts = np.unique(half, return_index=True, return_counts=True)
    return np.add.reduceat(moments, at) / counts, np.add.reduceat(values, at) / counts


def _with_holes(site: SiteWeather, begin: datetime, time_s: Floats) -> list[npt.NDArray[np.bool_]]:
    """Where a day was made of its hours and lacks some: its extremes and its sun lack what those held, and must not fill them."""
    hours = np.arange(time_s[0] - DAY_S, time_s[-1] + DAY_S + 1.0, HOUR_S)
    rows = np.concatenate(_written(site, begin))
    day_of_hour, day = _places(site, hours)[0], _places(site, time_s)[0]
    first = int(day_of_hour.min())
    found = []
    for name in _QUANTITIES:
        known = rows[~np.isnan(rows[:, COLUMNS.index(name)]), 0] - (1.0 if name == "solar" else 0.0)
        there = np.isin(np.floor(hours / HOUR_S), np.floor(known / HOUR_S))
        count = np.bincount(day_of_hour - first, there)[day - first]
        found.append((count >= HOURS_OF_A_DAY) & (count < 24))
    return found


def _halved(
    hourly: tuple[Floats, Floats, Floats, Floats, npt.NDArray[np.bool_]], size: int
) -> tuple[Floats, Floats, Floats, Floats, npt.NDArray[np.bool_]]:
    """Whole hours as half hours: between two the middle."""

    def halves(row: Floats) -> Floats:
        out = np.empty(2 * row.size)
        out[::2], out[1:-1:2], out[-1] = row, (row[:-1] + row[1:]) / 2.0, row[-1]
        return out[:size]

    warm, moist, wind, sun, guessed = hourly
    return halves(warm), halves(moist), halves(wind), halves(sun), np.repeat(guessed, 2)[:size]


def _of_days(nursery: Nursery, site: SiteWeather, time_s: Floats) -> tuple[Floats, Floats, Floats, Floats, npt.NDArray[np.bool_]]:
    """Hours made from days: the usual run of a day between its extremes, its water kept, its sun along the sun's height."""
    row, hour = _places(site, time_s)
    first, last = int(row.min()), int(row.max()) + 1
    cut = site.rows(max(first, 0), min(max(last, 1), site.dates.size))
    nothing = np.full(time_s.size, np.nan)
    if not cut.dates.size:
        return nothing, nothing, nothing, nothing, np.zeros(time_s.size, dtype=bool)
    at = row - max(first, 0)
    inside = (at >= 0) & (at < cut.dates.size)
    at = np.where(inside, at, 0)
    latitude = nursery.latitude_deg or 0.0
    warm = hours_from_extremes(latitude, cut.day_of_year, cut.temperature_max_c, cut.temperature_min_c)[at, hour]
    mean_humidity = (cut.humidity_max_pct + cut.humidity_min_pct) / 2.0
    held_kpa = mean_humidity / 100.0 * _saturated((cut.temperature_max_c + cut.temperature_min_c) / 2.0)
    moist = np.clip(100.0 * held_kpa[at] / _saturated(warm), 0.0, 100.0)
    sun, guessed = _sun(cut, latitude)
    shape = clear_sky_radiation(sun_height(latitude, longitude_of(nursery), time_s))
    columns = (warm, moist, cut.wind_m_s[at], sun[at] * shape)
    laid = [np.where(inside, column, np.nan) for column in columns]
    return laid[0], laid[1], laid[2], laid[3] * _to_day(cut, nursery, latitude)[at], guessed[at] & inside


def _places(site: SiteWeather, time_s: Floats) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """The row of the day and the hour of each moment, by the site's standard time."""
    local = time_s + site.utc_offset_h * HOUR_S
    begins = float(site.dates[0].astype("datetime64[s]").astype(np.float64))
    row = np.floor((local - begins) / DAY_S).astype(np.int64)
    return row, np.clip(((local - begins - row * DAY_S) / HOUR_S).astype(np.int64), 0, 23)


def _sun(cut: SiteWeather, latitude: float) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Sun of each day in MJ/m²; where it was not measured, from the extremes."""
    spread = np.maximum(cut.temperature_max_c - cut.temperature_min_c, 0.0)
    guess = _SUN_BY_RANGE * np.sqrt(spread) * np.asarray(extraterrestrial_radiation(latitude, cut.day_of_year))
    unknown = np.isnan(cut.solar_mj_m2)
    return np.where(unknown, guess, cut.solar_mj_m2), unknown


def _to_day(cut: SiteWeather, nursery: Nursery, latitude: float) -> Floats:
    """What turns the sun's clear shape into one MJ/m² of each day."""
    moments = cut.dates.astype("datetime64[s]").astype(np.float64)[:, None] - cut.utc_offset_h * HOUR_S + np.arange(24) * HOUR_S
    clear = np.asarray(clear_sky_radiation(sun_height(latitude, longitude_of(nursery), moments)))
    total = clear.sum(axis=1) * HOUR_S / 1e6
    return np.where(total > 0.1, 1.0 / np.maximum(total, 0.1), 0.0)


def _saturated(temperature_c: Floats) -> Floats:
    return np.asarray(0.6108 * np.exp(17.27 * temperature_c / (temperature_c + 237.3)))


def midnight_of(day: date, nursery: Nursery) -> datetime:
    return datetime.combine(day, time(), nursery.zone)


def assumed_of(stretches: Sequence[Around], *, in_room: bool = False) -> tuple[str, ...]:
    """What was guessed in any of several stretches, each once; of wind nothing for a dome in a room."""
    left_out = {say(WIND_GUESSED), say(WIND_SHELTERED)} if in_room else set()
    return tuple(dict.fromkeys(words for each in stretches for words in each.assumed if words not in left_out))
