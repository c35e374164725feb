"""What a station's record says of the site: what it holds, heat and chill of each year, frosts with their chances, rain and water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np

from scionary.answers.held import held
from scionary.answers.stages import season_begin, southern
from scionary.answers.tree_looks import looks_of
from scionary.answers.tree_water import balance_of, lately, roots_of, roots_words, watering_mm
from scionary.answers.weather import QUANTITIES, Dates, Floats, SiteWeather, demand_of
from scionary.answers.words import day_soon, plural, short_day
from scionary.book.models import MotherTree, Nursery
from scionary.language import Words, mark, say
from scionary.season import (
    ChillRange,
    FrostChances,
    FrostDates,
    HeatCourse,
    WaterBalance,
    chill_range,
    frost_chances,
    frost_dates,
    heat_course,
    hours_from_extremes,
    warmest_day,
)

QUANTITY_WORDS = Words(
    {
        "temperature_max_c": mark("highest temperature"),
        "temperature_min_c": mark("lowest temperature"),
        "humidity_max_pct": mark("highest humidity"),
        "humidity_min_pct": mark("lowest humidity"),
        "rain_mm": mark("rain"),
        "wind_m_s": mark("wind"),
        "solar_mj_m2": mark("solar radiation"),
    }
)
HEAT_BASE_C = 5.0
_WINTERS, _FROST_YEARS = 10, 10
_CHILL_DAYS = 183  # from the autumn half-year's begin to the spring equinox or so: what a winter's chill is counted over
_WATER_DAYS = 60
_FREE_DAYS, _FREE_AT_ALL = 60, 7  # project default, unsourced: fewer days free of frost are told as frost nearly all summer, in any month


@dataclass(frozen=True, eq=False)
class Holding:
    """What a station holds, in words, and what is missing."""

    words: str
    gaps: Sequence[tuple[date, date, int]]
    missing: Sequence[tuple[str, int]]
    years: float


@dataclass(frozen=True, eq=False)
class HeatYear:
    """Heat of this growing year beside that of the years before."""

    course: HeatCourse
    begins: date
    this: Floats
    low: Floats
    middle: Floats
    high: Floats
    years: int
    today: int
    words: str

    def table(self, step: int = 30) -> list[tuple[date, float | None, float | None, float | None, float | None]]:
        """Day, this year, and the low, middle and high of the others; a row a month."""
        rows = [self.this, self.low, self.middle, self.high]
        return [(self.begins + timedelta(days=at), *(_plain(row[at]) for row in rows)) for at in range(0, 365, step)]  # type: ignore[misc]


@dataclass(frozen=True, eq=False)
class FrostReport:
    """Frost dates and the chance that one still comes, or has come."""

    dates: FrostDates
    chances: FrostChances
    years: Sequence[tuple[int, date | None, date | None, int | None]]
    spring: Sequence[tuple[date, float, float, float]]
    autumn: Sequence[tuple[date, float, float, float]]
    words: str


@dataclass(frozen=True, eq=False)
class Winter:
    """The chill before one spring; `until` is the last day on record where that winter has not ended with it."""

    year: int
    cold: ChillRange
    until: date | None

    @property
    def words(self) -> str:
        """The year of its spring: 2027, or: 2027, until 28 Nov."""
        return say("{year}, until {day}", year=self.year, day=day_soon(self.until)) if self.until else str(self.year)

    @property
    def portions(self) -> str:
        """Chill portions, a range where hours are not known."""
        return self._range(self.cold.portions_low, self.cold.portions_high)

    @property
    def units(self) -> str:
        """Utah units, a range where hours are not known."""
        return self._range(self.cold.units_low, self.cold.units_high)

    def _range(self, low: float, high: float) -> str:
        return say("{low:.0f} to {high:.0f}", low=low, high=high) if self.cold.hours_missing else f"{low:.0f}"

    def to_dict(self) -> dict[str, Any]:
        return {"spring": self.year, "until": str(self.until) if self.until else None, **self.cold.to_dict()}


@dataclass(frozen=True, eq=False)
class WaterReport:
    """Rain and the water of one tree's soil over the last weeks and those foretold."""

    tree: MotherTree | None
    dates: Dates
    rain_mm: Floats
    given_mm: Floats
    balance: WaterBalance
    recorded: int
    words: str

    def table(self) -> list[tuple[date, float | None, float | None, float | None, float | None]]:
        """A row a week: its first day, rain and watering, what was drawn, what lacks at its end, low and high."""
        rows: list[tuple[date, float | None, float | None, float | None, float | None]] = []
        for at in range(0, self.dates.size, 7):
            week = slice(at, at + 7)
            last = min(at + 6, self.dates.size - 1)
            lacks = (float(self.balance.deficit_low_mm[last]), float(self.balance.deficit_high_mm[last]))
            rows.append((self.dates[at].astype(date), _sum(self.rain_mm[week]), _sum(self.given_mm[week]), *lacks))
        return rows


def holding(weather: SiteWeather) -> Holding:
    """What the record holds: from when to when, and which stretches and quantities are missing."""
    record = weather.record()
    if record is None:
        return Holding(say("It holds a forecast and no record yet."), [], [], 0.0)
    unknown = np.isnan(record.temperature_max_c) | np.isnan(record.temperature_min_c)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], unknown, [False]]).astype(int))).reshape(-1, 2)
    gaps = [(_day(record.dates[a]), _day(record.dates[b - 1]), int(b - a)) for a, b in edges.tolist()]
    counts = [(QUANTITY_WORDS[name], int(np.isnan(getattr(record, name)).sum())) for name in QUANTITIES]
    days = plural(record.dates.size, "day")
    words = say("{first} to {last}: {days}.", first=short_day(_day(record.dates[0])), last=short_day(_day(record.dates[-1])), days=days)
    if weather.recorded < weather.dates.size:
        words = say("{words} Foretold until {day}.", words=words, day=short_day(weather.last))
    lost = sum(count for *_, count in gaps)
    told = say("Temperatures are missing on {days}.", days=plural(lost, "day")) if lost else say("No day is without its temperatures.")
    return Holding(f"{words} {told}", gaps, [each for each in counts if each[1]], record.dates.size / 365.25)


def heat_year(weather: SiteWeather, nursery: Nursery, today: date) -> HeatYear | None:
    """Heat since the shortest day, beside the years on record; None where the record does not reach this year."""
    begins = season_begin(today, nursery)
    course = heat_course(
        weather.dates, weather.temperature_max_c, weather.temperature_min_c, southern=southern(nursery), base_c=HEAT_BASE_C
    )
    mine = np.flatnonzero(course.start == np.datetime64(begins, "D"))
    if not mine.size:
        return None
    sums = (course.low + course.high) / 2.0
    others = np.delete(sums, mine[0], axis=0)
    whole = others[~np.isnan(others[:, 0])] if len(others) else others
    band = _quantiles(whole)
    at = min((today - begins).days, 364)
    this = sums[mine[0]]
    return HeatYear(course, begins, this, *band, len(whole), at, _heat_words(this, band[1], len(whole), at, begins))


def _heat_words(this: Floats, middle: Floats, years: int, at: int, begins: date) -> str:
    known = np.flatnonzero(~np.isnan(this[: at + 1]))
    if not known.size:
        return say("The record does not reach from {day} until today.", day=short_day(begins))
    last = int(known[-1])
    told, usual = say("{heat:.0f} °C d over 5 °C since {day}", heat=this[last], day=day_soon(begins)), middle[last]
    if last < at:
        until = say("{told} until {until}, where the record ends", told=told, until=day_soon(begins + timedelta(days=last)))
        return f"{until}." if not years or np.isnan(usual) else say("{told}; {usual:.0f} is usual by then.", told=until, usual=usual)
    return f"{told}." if not years or np.isnan(usual) else say("{told}; {usual:.0f} is usual by today.", told=told, usual=usual)


def _quantiles(rows: Floats) -> tuple[Floats, Floats, Floats]:
    bare = np.full(365, np.nan)
    if not len(rows):
        return bare, bare, bare
    known = ~np.isnan(rows).all(axis=0)
    found = np.full((3, 365), np.nan)
    found[:, known] = np.nanquantile(rows[:, known], [0.1, 0.5, 0.9], axis=0)
    return found[0], found[1], found[2]


def chill_winters(weather: SiteWeather, nursery: Nursery, today: date) -> list[Winter]:
    """Chill of the last winters, by the year of their spring, reckoned from daily extremes, the newest first."""
    record = weather.record()
    if record is None or nursery.latitude_deg is None:
        return []
    content = (weather.station.pk, weather.station.read_at, nursery.latitude_deg, today)
    return held("winters", content, lambda: list(_winters(record, nursery, today)))


def _winters(record: SiteWeather, nursery: Nursery, today: date) -> Any:
    begins = season_begin(today, nursery)
    for back in range(-1, _WINTERS):
        solstice = date(begins.year - back, begins.month, begins.day)
        first = record.at(solstice - timedelta(days=_CHILL_DAYS // 2))
        if first is None:
            continue
        part = record.rows(first, min(first + _CHILL_DAYS, record.dates.size))
        hours = hours_from_extremes(nursery.latitude_deg or 0.0, part.day_of_year, part.temperature_max_c, part.temperature_min_c)
        under_way = first + _CHILL_DAYS > record.dates.size
        year = solstice.year + (0 if southern(nursery) else 1)
        yield Winter(year, chill_range(np.asarray(hours).ravel()), _day(part.dates[-1]) if under_way else None)


def frost_report(weather: SiteWeather, nursery: Nursery, today: date) -> FrostReport | None:
    """Frost dates of the record and the chances of frost; None without a record."""
    record = weather.record()
    if record is None:
        return None
    south = southern(nursery)
    turn = warmest_day(record.dates, record.temperature_min_c, southern=south)
    found = frost_dates(record.dates, record.temperature_min_c, southern=south, turn_d=turn)
    chances = frost_chances(found, southern=south, turn_d=turn)
    year = season_begin(today, nursery).year + (0 if south else 1)
    warmest = date(year, 12 if south else 6, 21) + timedelta(days=turn)
    spring = _steps(warmest, chances.days_before_solstice, chances.still_to_come, chances.low, chances.high)
    autumn = _steps(warmest, chances.days_after_solstice, chances.already_come, chances.already_low, chances.already_high)
    years = [
        (int(y), _day(last), _day(first), None if np.isnan(free) else int(free))
        for y, last, first, free in zip(found.year, found.last_spring_frost, found.first_autumn_frost, found.frost_free_days, strict=True)
    ]
    return FrostReport(found, chances, years[::-1][:_FROST_YEARS], spring, autumn, _frost_words(chances, warmest))


def _steps(warmest: date, days: Floats, share: Floats, low: Floats, high: Floats) -> list[tuple[date, float, float, float]]:
    """A row each time that the chance crosses a tenth, and where it comes to its end."""
    if np.isnan(share).all():
        return []
    tenth = np.round(share * 10.0)
    kept = np.flatnonzero(np.diff(tenth, prepend=tenth[0]) != 0)
    return [(warmest + timedelta(days=int(days[at])), float(share[at]), float(low[at]), float(high[at])) for at in kept]


def _frost_words(chances: FrostChances, warmest: date) -> str:
    spring, autumn = chances.spring_safe(), chances.autumn_safe()
    if spring is None and autumn is None:
        return say("No half-year is known without a gap, so that no chance can be told.")
    free = 0 if autumn is None else _FREE_DAYS if spring is None else autumn - spring
    if chances.autumn_years and free < _FREE_AT_ALL:
        return say("Frost can come in any month: not even the warmest days were free of it in nine years of ten.")
    if spring is not None and autumn is not None and free < _FREE_DAYS:
        return say(
            "Frost can come nearly all summer: only from {first} to {last} did one come in at most two years of ten.",
            first=day_soon(warmest + timedelta(days=spring)),
            last=day_soon(warmest + timedelta(days=autumn)),
        )
    told = []
    if spring is not None:
        told.append(say("After {day} a frost came in at most one year of ten.", day=day_soon(warmest + timedelta(days=spring))))
    if autumn is not None:
        told.append(say("Until {day} none had come in nine years of ten.", day=day_soon(warmest + timedelta(days=autumn))))
    return " ".join(told)


def water_report(weather: SiteWeather, nursery: Nursery, today: date, tree: MotherTree | None = None) -> WaterReport | None:
    """The water of a tree's soil, of a loam where no tree is named; None without a place or days near today."""
    if nursery.latitude_deg is None:
        return None
    near = lately(weather, today)
    bare = tree or MotherTree(name="")
    roots = roots_of(bare)
    given = watering_mm(bare, roots, looks_of(tree, nursery) if tree else [], near)
    balance = balance_of(roots, demand_of(near, nursery).evapotranspiration_mm, given, near)
    row = near.at(today)
    begin = max((near.dates.size if row is None else row) - _WATER_DAYS, 0)
    kept = {name: column[begin:] for name, column in vars(balance).items() if isinstance(column, np.ndarray)}
    cut = WaterBalance(**kept, available_mm=balance.available_mm, readily_available_mm=balance.readily_available_mm)
    shown = near.rows(begin, near.dates.size)
    words = roots_words(tree, nursery.length_unit) if tree else say("Reckoned for a tree in loam, roots 0.6 m deep, not watered.")
    return WaterReport(tree, shown.dates, shown.rain_mm, given[begin:], cut, shown.recorded, words)


def _day(value: Any) -> Any:
    return None if np.isnat(value) else value.astype("datetime64[D]").astype(date)


def _plain(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


def _sum(values: Floats) -> float | None:
    return None if np.isnan(values).any() else float(values.sum())
