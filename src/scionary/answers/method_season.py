"""When each method has its window at this site, the share of years in which a healing month went well, and when stages usually come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.answers.held import held
from scionary.answers.stages import StageFits, season_begin, stage_fits
from scionary.answers.weather import Floats, SiteWeather, site_weather
from scionary.answers.words import day_soon, plural
from scionary.book.models import Cultivar, Method, Nursery
from scionary.errors import BadValue
from scionary.language import Words, mark, say
from scionary.season import (
    DORMANT_WINTER,
    LEAFY_SUMMER,
    MethodWindow,
    WindowMap,
    hours_by_year,
    hours_from_extremes,
    method_windows,
    window_map,
    with_heating,
)

FEW_YEARS = 10
LEAST_YEARS = 3  # whole years of hours; the last serves only for windows that run past the end of the one before
_CONDITIONS = Words(
    {
        "stage": mark("the wood's stage"),
        "days": mark("days that shorten or lengthen"),
        "day_length": mark("the length of the day"),
        "warmth": mark("the warmth of the healing month"),
    }
)


@dataclass(frozen=True)
class Healing:
    """What a healing month is to be like; `heated_to_c` None: no heating."""

    days: int = 31
    low_c: float = 15.0
    high_c: float = 25.0
    limit_c: float = 32.0
    share: float = 0.9
    heated_to_c: float | None = None


@dataclass(frozen=True, eq=False)
class KindWindow:
    """The window of all methods of one kind, in leaf or dormant."""

    leafy: bool
    methods: Sequence[str]
    window: MethodWindow
    begins: date
    words: str

    def day(self, column: int | None) -> date | None:
        return None if column is None else self.begins + timedelta(days=column)

    def table(self, step: int = 14) -> list[tuple[date, float]]:
        """A day and the share of the years in which it was open; a row a fortnight, none where no year is known."""
        chance = self.window.chance
        return [(self.begins + timedelta(days=at), float(chance[at])) for at in range(0, chance.size, step) if not np.isnan(chance[at])]


@dataclass(frozen=True, eq=False)
class SiteMap:
    """The window map, and whether its hours were measured or guessed from daily extremes; from the winter solstice on."""

    map: WindowMap
    measured: bool
    first_year: int
    words: str
    begins: date

    def turned(self, by_start: npt.NDArray[Any]) -> npt.NDArray[Any]:
        """A row of the map, which begins in January, from the winter solstice on."""
        return np.roll(by_start, 1 - self.begins.timetuple().tm_yday)

    def table(self, step: int = 14) -> list[tuple[date, int, int, float, float]]:
        """Start, good years, years known, and the range of the chance; a row a fortnight."""
        good, years, low, high = (self.turned(row) for row in (self.map.good, self.map.years, self.map.low, self.map.high))
        return [
            (self.begins + timedelta(days=at), int(good[at]), int(years[at]), float(low[at]), float(high[at]))
            for at in range(0, 365, step)
            if years[at]
        ]


@dataclass(frozen=True)
class StageDates:
    """When a stage usually comes to a cultivar: early, middle and late of eight years in ten."""

    cultivar: str
    looks: bool
    dates: dict[str, tuple[date, date, date] | None]


def kind_windows(nursery: Nursery, today: date, *, heated_to_c: float | None = None) -> list[KindWindow]:
    """The window of leafy and of dormant grafting; none without weather or a place."""
    weather = site_weather(nursery)
    record = weather.record() if weather else None
    if weather is None or record is None or nursery.latitude_deg is None:
        return []
    content = (weather.station.pk, weather.station.read_at, nursery.latitude_deg, heated_to_c, stage_fits(weather, nursery).looks)
    windows = held("kind_windows", content, lambda: _windows(record, nursery, heated_to_c, stage_fits(weather, nursery)))
    begins = season_begin(today, nursery)
    names: dict[bool, list[str]] = {True: [], False: []}
    for name, leafy in Method.objects.filter(retired=False).order_by("name").values_list("name", "leafy"):
        names[leafy].append(name)
    return [
        KindWindow(leafy, names[leafy], window, begins, _window_words(window, begins))
        for leafy, window in zip((True, False), windows, strict=True)
    ]


def _windows(record: SiteWeather, nursery: Nursery, heated_to_c: float | None, fits: StageFits) -> list[MethodWindow]:
    leafy = replace(LEAFY_SUMMER, setpoint_c=heated_to_c)
    return method_windows(
        record.dates,
        record.temperature_max_c,
        record.temperature_min_c,
        latitude_deg=nursery.latitude_deg or 0.0,
        rules=(leafy, DORMANT_WINTER),
        stages=fits.heat(),
    )


def _window_words(window: MethodWindow, begins: date) -> str:
    if window.opens is None or window.closes is None:
        return say("It has no window here in most years: shut by {condition}.", condition=_CONDITIONS[_shut_by(window)])
    first, last = (day_soon(begins + timedelta(days=column)) for column in (window.opens, window.closes))
    told = say("Open from {first} to {last} in at least half of {years}.", first=first, last=last, years=plural(window.years, "year"))
    if window.opens_range is None or window.closes_range is None or window.years < 2:
        return told
    opened, shut = (_between(pair, begins) for pair in (window.opens_range, window.closes_range))
    if window.opens_range[0] == window.opens_range[1]:
        return say("{told} In eight years of ten it shut {shut}.", told=told, shut=shut)
    return say("{told} In eight years of ten it opened {opened} and shut {shut}.", told=told, opened=opened, shut=shut)


def _between(columns: tuple[int, int], begins: date) -> str:
    """Between 2 March and 9 March, or: on 9 March."""
    first, last = (day_soon(begins + timedelta(days=column)) for column in columns)
    return say("on {day}", day=first) if first == last else say("between {first} and {last}", first=first, last=last)


def _shut_by(window: MethodWindow) -> str:
    """The condition that holds the least often even on its best day."""
    return max(window.shut_by, key=lambda name: float(np.nanmin(window.shut_by[name], initial=1.0)))


def site_map(nursery: Nursery, healing: Healing) -> SiteMap | None:
    """In what share of years a healing month begun on each day would have gone well; None where the record is too short."""
    if not healing.low_c < healing.high_c <= healing.limit_c:
        raise BadValue("high_c", healing.high_c, say("above the lowest and at most the limit"))
    weather = site_weather(nursery)
    if weather is None or nursery.latitude_deg is None:
        return None
    content = (weather.station.pk, weather.station.read_at, nursery.latitude_deg)
    hours, measured, first = held("site_hours", content, lambda: _whole_hours(weather, nursery.latitude_deg or 0.0))
    if hours is None:
        return None
    if healing.heated_to_c is not None:
        hours = with_heating(hours, setpoint_c=healing.heated_to_c, lift_c=100.0)
    shape: dict[str, Any] = {
        "days": healing.days,
        "low_c": healing.low_c,
        "high_c": healing.high_c,
        "limit_c": healing.limit_c,
        "share": healing.share,
    }
    found = window_map(hours, **shape)
    begins = season_begin(date(2026, 6, 30), nursery)  # of a year without a leap day, as in the map
    return SiteMap(found, measured, first, _map_words(found), begins) if found.years.any() else None


def _whole_hours(weather: SiteWeather, latitude_deg: float) -> tuple[Floats | None, bool, int]:
    """Hours of whole years in a row: as they were measured over enough years, else guessed from the days' extremes."""
    hours = weather.hours
    if hours.time_s.size and hours.time_s[-1] - hours.time_s[0] > LEAST_YEARS * 366 * 86_400:
        laid = hours_by_year(hours.time_s, hours.temperature_c, utc_offset_h=weather.utc_offset_h)
        return laid.in_a_row(), True, laid.first_year
    record = weather.record()
    if record is None or record.dates.size < LEAST_YEARS * 365:
        return None, False, 0
    guessed = hours_from_extremes(latitude_deg, record.day_of_year, record.temperature_max_c, record.temperature_min_c)
    time_s = record.dates.astype("datetime64[s]").astype(np.float64)[:, None] + 3600.0 * np.arange(24)
    laid = hours_by_year(time_s.ravel(), np.asarray(guessed).ravel(), utc_offset_h=0.0)
    return laid.in_a_row(), False, laid.first_year


def _map_words(found: WindowMap) -> str:
    best = int(np.nanargmax(found.share))
    day, good, years = day_soon(date(2025, 1, 1) + timedelta(days=best)), int(found.good[best]), int(found.years[best])
    words = say("Best begun about {day}: {good} of {years} years would have gone well", day=day, good=good, years=years)
    low, high = round(found.low[best] * 100), round(found.high[best] * 100)
    words = say("{words}; so few years allow a chance between {low} and {high} %.", words=words, low=low, high=high)
    if not found.good.any():
        words = say("No start went well in any of {years} years.", years=years)
    return f"{words} {say('These are few years.')}" if years < FEW_YEARS else words


def stage_dates(nursery: Nursery, today: date) -> list[StageDates]:
    """When buds break and wood hardens, cultivar by cultivar of those that were looked at, and for any other."""
    weather = site_weather(nursery)
    if weather is None or nursery.latitude_deg is None:
        return []
    fits = stage_fits(weather, nursery)
    looked = sorted({each for fit in fits.fits.values() for each in fit.cultivars})
    names = {str(pk): spoken for pk, spoken in Cultivar.objects.filter(pk__in=looked).values_list("pk", "spoken")}
    begins = season_begin(today, nursery)
    rows = [StageDates(names[each], True, _dates_of(fits, each, begins)) for each in looked if each in names]
    return [*sorted(rows, key=lambda row: row.cultivar), StageDates("", False, _dates_of(fits, None, begins))]


def _dates_of(fits: StageFits, cultivar: str | None, begins: date) -> dict[str, tuple[date, date, date] | None]:
    sums = (fits.course.low + fits.course.high) / 2.0
    whole = sums[~np.isnan(sums[:, 0])]
    found: dict[str, tuple[date, date, date] | None] = {}
    for stage, fit in fits.fits.items():
        drawn = fit.draws(100, rng=20, cultivar=cultivar)
        columns = [np.searchsorted(np.nan_to_num(row, nan=np.inf), drawn) for row in whole]
        flat = np.concatenate(columns) if columns else np.empty(0)
        late = np.quantile(flat, [0.1, 0.5, 0.9]) if flat.size else np.full(3, np.inf)
        days: Any = [begins + timedelta(days=round(float(each))) for each in late] if (late < 364).all() else None
        found[stage] = tuple(days) if days else None
    return found
