"""At which stage each cultivar's wood is, day by day: from heat sums fitted to the grower's own dated looks, cultivars pooled."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import numpy as np

from scionary.answers.held import held
from scionary.answers.tree_looks import TreeLook, looks_of_trees, plain_key
from scionary.answers.weather import DAY, Dates, Floats, SiteWeather, site_weather
from scionary.book.models import MotherTree, Nursery
from scionary.season import HeatCourse, HeatPriors, HeatSumFit, Stage, StageHeat, day_length, fit_heat_sums, heat_course, stage_chances

PASSED = {"bud_break": ("bud_break", "soft", "half_ripe", "ripe"), "half_ripe": ("half_ripe", "ripe"), "ripe": ("ripe",)}
_SUPPOSED = {"bud_break": 150.0, "half_ripe": 550.0, "ripe": 950.0}  # the defaults of `StageHeat`; project default, unsourced
FOUND_WITHIN_DAYS = 7  # buds that break unwatched were shut so many days before; project default, unsourced
_DRAWS, _SEED = 200, 20
_FORTNIGHT = 14


@dataclass(frozen=True, eq=False)
class StageFits:
    """Heat sums of the three stages, and the course of heat that they were read from."""

    fits: dict[str, HeatSumFit]
    course: HeatCourse

    def heat(self, cultivar: str | None = None, season: str | None = None) -> StageHeat:
        """Draws of one cultivar in one season."""
        drawn: dict[str, Any] = {name: fit.draws(_DRAWS, rng=_SEED, cultivar=cultivar, season=season) for name, fit in self.fits.items()}
        return StageHeat(**drawn)

    @property
    def looks(self) -> int:
        return sum(fit.looks for fit in self.fits.values())


def stage_fits(weather: SiteWeather, nursery: Nursery) -> StageFits:
    """Learned from all looks of the book."""
    content = (weather.station.pk, weather.station.read_at, looks_of_trees(nursery).content, southern(nursery))
    return held("stage_fits", content, lambda: _fits(site_weather(nursery) or weather, nursery))


def _fits(weather: SiteWeather, nursery: Nursery) -> StageFits:
    course = heat_course(weather.dates, weather.temperature_max_c, weather.temperature_min_c, southern=southern(nursery))
    rows = list(_reached(course, nursery))
    fits = {}
    for stage, middle in _SUPPOSED.items():
        mine = [row[1:] for row in rows if row[0] == stage]
        columns: Sequence[Any] = list(zip(*mine, strict=True)) if mine else [(), (), (), ()]
        fits[stage] = fit_heat_sums(list(columns[0]), list(columns[1]), columns[2], columns[3], priors=HeatPriors(middle=middle))
    return StageFits(fits, course)


def _reached(course: HeatCourse, nursery: Nursery) -> Iterable[tuple[str, str, str, float, float]]:
    """Stage, cultivar, season, heat at the last look before it and at the first look at it, of each tree and growing year."""
    cultivars = {plain_key(f"tree:{pk}"): str(cultivar) for pk, cultivar in MotherTree.objects.values_list("pk", "cultivar_id")}
    for key, looks in looks_of_trees(nursery).by_tree.items():
        by_year: dict[int, list[TreeLook]] = defaultdict(list)
        for look in looks:
            row = int(np.searchsorted(course.start, np.datetime64(look.day, "D"), side="right")) - 1
            if look.stage and row >= 0 and key in cultivars:
                by_year[row].append(look)
        for row, seen in by_year.items():
            for stage, passed in PASSED.items():
                if heats := _heats(seen, stage, passed, course):
                    yield stage, cultivars[key], str(course.year[row]), *heats


def _heats(seen: Sequence[TreeLook], stage: str, passed: Sequence[str], course: HeatCourse) -> tuple[float, float] | None:
    first = next((at for at, look in enumerate(seen) if look.stage in passed), None)
    if first is None:
        return None
    at = sum(course.on(seen[first].day)) / 2.0
    if not at > 0.0:
        return None
    if first:
        before = sum(course.on(seen[first - 1].day)) / 2.0
    elif seen[first].stage == "bud_break":
        before = sum(course.on(seen[first].day - timedelta(days=FOUND_WITHIN_DAYS))) / 2.0
    else:
        before = float("nan")  # reached before the first look
    return min(before, at), at


def southern(nursery: Nursery) -> bool:
    return (nursery.latitude_deg or 0.0) < 0.0


def chances_by_day(
    weather: SiteWeather, nursery: Nursery, fits: StageFits, cultivar: UUID, *, since: int = 0
) -> list[dict[Stage, float] | None]:
    """Chance of each stage of a cultivar's wood on each day from row `since` on; None before it and where its warmth is not known."""
    if nursery.latitude_deg is None:
        return [None] * weather.dates.size
    row, column, inside = _places(fits.course, weather.dates)
    heat = _middle(fits.course)[row, column]
    length = np.asarray(day_length(nursery.latitude_deg, weather.day_of_year))
    mean = _fortnight((weather.temperature_max_c + weather.temperature_min_c) / 2.0)
    season = str(fits.course.year[row[-1]])
    chances = _chances(heat, row, column, length, mean, fits.heat(str(cultivar), season))
    told = zip(chances[since:], inside[since:], strict=True)
    found = [dict(zip(Stage, map(float, each), strict=True)) if known and not np.isnan(each).any() else None for each, known in told]
    return [*[None] * since, *found]


def _chances(heat: Floats, row: Any, column: Any, length: Floats, mean: Floats, stages: StageHeat) -> Floats:
    """Rows of days as rows of growing years, so that wood that went to rest stays at rest until the year's end."""
    rows = np.unique(row)
    laid = {name: np.full((rows.size, 366), np.nan) for name in ("heat", "mean")}
    at = np.searchsorted(rows, row)
    laid["heat"][at, column], laid["mean"][at, column] = heat, mean
    days = np.full(366, 24.0)
    days[column] = length
    return np.asarray(stage_chances(laid["heat"], days, laid["mean"], stages)[at, column])


def _places(course: HeatCourse, dates: Dates) -> tuple[Any, Any, Any]:
    row = np.clip(np.searchsorted(course.start, dates, side="right") - 1, 0, None)
    column = ((dates - course.start[row]) / DAY).astype(np.int64)
    inside = (column >= 0) & (column < course.daily.shape[1])
    return row, np.clip(column, 0, course.daily.shape[1] - 1), inside


def _middle(course: HeatCourse) -> Floats:
    return np.asarray((course.low + course.high) / 2.0)


def _fortnight(mean: Floats) -> Floats:
    """Mean of the fourteen days that end with each; NaN where one of them is not known."""
    if mean.size < _FORTNIGHT:
        return np.full(mean.size, np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(mean, _FORTNIGHT).mean(axis=1)
    return np.concatenate([np.full(_FORTNIGHT - 1, np.nan), windows])


def season_begin(today: date, nursery: Nursery) -> date:
    """The winter solstice with which the growing year of a day began."""
    month, year = (6, today.year) if southern(nursery) else (12, today.year)
    this = date(year, month, 21)
    return this if this <= today else date(year - 1, month, 21)
