"""The weather of the site: the record of its station with the forecast joined on, day by day without a gap, and the hours beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from scionary.answers.held import held
from scionary.book.models import Nursery, WeatherStation
from scionary.book.one_page import once
from scionary.book.weather import COLUMNS, load_weather
from scionary.season import DailyDemand, daily_evapotranspiration, days_of_hours, vapour_pressure_of_day, wind_at_2m

Floats = npt.NDArray[np.float64]
Dates = npt.NDArray[np.datetime64]
Integers = npt.NDArray[np.int64]
DAY = np.timedelta64(1, "D")
QUANTITIES = ("temperature_max_c", "temperature_min_c", "humidity_max_pct", "humidity_min_pct", "rain_mm", "wind_m_s", "solar_mj_m2")
_AT = {name: at for at, name in enumerate(COLUMNS)} | {"solar_mj_m2": COLUMNS.index("solar")}
_MJ_OF_A_DAY = 0.0864  # MJ/m² that one W/m² gives in a day


@dataclass(frozen=True, eq=False)
class SiteHours:
    """Hours recorded and forecast, in order of time; rain stands for the hour that ends with its moment."""

    time_s: Floats
    temperature_c: Floats
    relative_humidity_pct: Floats
    rain_mm: Floats


@dataclass(frozen=True, eq=False)
class SiteWeather:
    """Days that follow one another, NaN where nothing is known; the first `recorded` of them are no forecast."""

    station: WeatherStation
    dates: Dates
    temperature_max_c: Floats
    temperature_min_c: Floats
    humidity_max_pct: Floats
    humidity_min_pct: Floats
    rain_mm: Floats
    wind_m_s: Floats
    solar_mj_m2: Floats
    recorded: int
    hours: SiteHours
    utc_offset_h: float

    def at(self, day: date) -> int | None:
        """The row of a day; None outside."""
        row = int((np.datetime64(day, "D") - self.dates[0]) / DAY)
        return row if 0 <= row < self.dates.size else None

    def rows(self, begin: int, end: int) -> SiteWeather:
        """The same of some rows alone."""
        cut = {name: getattr(self, name)[begin:end] for name in ("dates", *QUANTITIES)}
        return replace(self, **cut, recorded=min(max(self.recorded - begin, 0), end - begin))

    def record(self) -> SiteWeather | None:
        """The days that are no forecast; None where there is none."""
        return self.rows(0, self.recorded) if self.recorded else None

    @property
    def last_recorded(self) -> date | None:
        return self.dates[self.recorded - 1].astype(date) if self.recorded else None

    @property
    def last(self) -> date:
        found: date = self.dates[-1].astype(date)
        return found

    @property
    def day_of_year(self) -> Integers:
        return np.asarray((self.dates - self.dates.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.int64) + 1)


def station_in_use() -> WeatherStation | None:
    """The station whose file was read in last, of those still in use."""
    rows = WeatherStation.objects.filter(retired=False, months__isnull=False).distinct()
    return once("station", lambda: max(rows, key=lambda row: row.read_at.timestamp() if row.read_at else 0.0, default=None))


def site_weather(nursery: Nursery) -> SiteWeather | None:
    """The weather of the station in use, held until a file of it is read in; None where the book holds none."""
    station = station_in_use()
    if station is None:
        return None
    content = (station.pk, station.name, station.read_at, station.wind_height_m, nursery.time_zone)
    return held("site_weather", content, lambda: weather_of(station, nursery))


def weather_of(station: WeatherStation, nursery: Nursery) -> SiteWeather | None:
    """The weather of one station; None where it holds none."""
    days, hours = ([load_weather(station, step, forecast=kind) for kind in (False, True)] for step in ("day", "hour"))
    return joined_weather(station, days, hours, nursery)


def joined_weather(station: WeatherStation, days: Sequence[Floats], hours: Sequence[Floats], nursery: Nursery) -> SiteWeather | None:
    """Days and hours, each recorded and foretold, as one; None where nothing is known."""
    offset = standard_offset_h(nursery.zone)
    last_hour = hours[0][-1, 0] if len(hours[0]) else -np.inf
    joined = np.concatenate([hours[0], hours[1][hours[1][:, 0] > last_hour]])
    of_hours = _of_hours(joined, offset) if len(joined) else None
    written = [_dates(each) for each in days]
    last = max([*written[0][-1:], *_whole_days(hours[0], offset)[-1:]], default=None)
    told = written[1] > last if last is not None else np.ones(written[1].size, dtype=bool)
    layers = [(written[1][told], _written(days[1][told])), *([of_hours] if of_hours else []), (written[0], _written(days[0]))]
    every = np.concatenate([dates for dates, _ in layers])
    if not every.size:
        return None
    dates = np.arange(every.min(), every.max() + DAY)
    columns = {name: _laid(dates, [(when, values[name]) for when, values in layers]) for name in QUANTITIES}
    _uncross(columns)
    recorded = 0 if last is None else int((last - dates[0]) / DAY) + 1
    found = SiteWeather(station, dates, **columns, recorded=recorded, hours=_site_hours(joined), utc_offset_h=offset)
    known = np.flatnonzero(~np.isnan(np.stack(list(columns.values()))).all(axis=0))
    return found.rows(int(known[0]), int(known[-1]) + 1) if known.size else None


def standard_offset_h(zone: ZoneInfo, year: int = 2026) -> float:
    """The zone's standard time less UTC, in hours: the smaller of the offsets of two dates half a year apart."""
    offsets = [datetime(year, month, 1, tzinfo=zone).utcoffset() or timedelta() for month in (1, 7)]
    return min(offsets) / timedelta(hours=1)


def longitude_of(nursery: Nursery) -> float:
    """The nursery's longitude; without one that of its clock, which may be an hour of sun off."""
    return nursery.longitude_deg if nursery.longitude_deg is not None else standard_offset_h(nursery.zone) * 15.0


def demand_of(weather: SiteWeather, nursery: Nursery) -> DailyDemand:
    """Reference evapotranspiration of each day, by the full equation where all of it is known."""
    highest, lowest = weather.temperature_max_c, weather.temperature_min_c
    return daily_evapotranspiration(
        nursery.latitude_deg or 0.0,
        nursery.altitude_m,
        weather.day_of_year,
        highest,
        lowest,
        vapour_pressure_kpa=vapour_pressure_of_day(highest, lowest, weather.humidity_max_pct, weather.humidity_min_pct),
        wind_2m_m_s=wind_at_2m(weather.wind_m_s, weather.station.wind_height_m),
        solar_mj_m2=weather.solar_mj_m2,
    )


def _dates(daily: Floats) -> Dates:
    return np.asarray(daily[:, 0].astype("datetime64[s]").astype("datetime64[D]"))


def _written(daily: Floats) -> dict[str, Floats]:
    """The columns of days; a mean humidity stands for both extremes where only that was written."""
    values = {name: daily[:, _AT[name]] for name in QUANTITIES}
    wettest, driest = values["humidity_max_pct"], values["humidity_min_pct"]
    bare = np.isnan(wettest) & np.isnan(driest)
    mean = daily[:, _AT["relative_humidity_pct"]]
    return values | {"humidity_max_pct": np.where(bare, mean, wettest), "humidity_min_pct": np.where(bare, mean, driest)}


def _of_hours(hourly: Floats, offset_h: float) -> tuple[Dates, dict[str, Floats]]:
    """Days of local standard time from their hours; a day's rain is known only with all of its hours."""
    time = hourly[:, 0]
    ends = time - 1.0  # a sum stands for the hour that ends with its moment
    air = days_of_hours(time, hourly[:, _AT["temperature_c"]], utc_offset_h=offset_h)
    humidity = days_of_hours(time, hourly[:, _AT["relative_humidity_pct"]], utc_offset_h=offset_h)
    rain = days_of_hours(ends, hourly[:, _AT["rain_mm"]], utc_offset_h=offset_h, least_hours=24)
    wind = days_of_hours(time, hourly[:, _AT["wind_m_s"]], utc_offset_h=offset_h)
    solar = days_of_hours(ends, hourly[:, _AT["solar_mj_m2"]], utc_offset_h=offset_h)
    parts = {
        "temperature_max_c": (air.dates, air.highest),
        "temperature_min_c": (air.dates, air.lowest),
        "humidity_max_pct": (humidity.dates, humidity.highest),
        "humidity_min_pct": (humidity.dates, humidity.lowest),
        "rain_mm": (rain.dates, rain.mean * 24.0),
        "wind_m_s": (wind.dates, wind.mean),
        "solar_mj_m2": (solar.dates, solar.mean * _MJ_OF_A_DAY),
    }
    dates = np.arange(min(when[0] for when, _ in parts.values()), air.dates[-1] + DAY)
    return dates, {name: _laid(dates, [part]) for name, part in parts.items()}


def _whole_days(hourly: Floats, offset_h: float) -> Dates:
    """Days of which most hours are recorded."""
    if not len(hourly):
        return np.empty(0, dtype="datetime64[D]")
    air = days_of_hours(hourly[:, 0], hourly[:, _AT["temperature_c"]], utc_offset_h=offset_h)
    return np.asarray(air.dates[~np.isnan(air.highest)])


def _laid(dates: Dates, layers: list[tuple[Dates, Floats]]) -> Floats:
    """One column over all days; a later layer covers an earlier one wherever it knows a value."""
    column = np.full(dates.size, np.nan)
    for when, values in layers:
        rows = ((when - dates[0]) / DAY).astype(np.int64)
        inside = (rows >= 0) & (rows < dates.size) & ~np.isnan(values)
        column[rows[inside]] = values[inside]
    return column


def _uncross(columns: Mapping[str, Floats]) -> None:
    """Extremes that contradict each other, as one of a day's file and one of its hours may, are not known."""
    for high, low in (("temperature_max_c", "temperature_min_c"), ("humidity_max_pct", "humidity_min_pct")):
        crossed = columns[high] < columns[low]
        columns[high][crossed] = columns[low][crossed] = np.nan


def _site_hours(rows: Floats) -> SiteHours:
    return SiteHours(*(rows[:, _AT[name]] for name in ("time_s", "temperature_c", "relative_humidity_pct", "rain_mm")))
