"""What all mother trees of a site share on one morning: weather, demand, the morning's air, the stages of their wood."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any
from uuid import UUID

import numpy as np

from scionary.answers.held import held
from scionary.answers.stages import StageFits, chances_by_day, stage_fits
from scionary.answers.tree_looks import AllLooks, TreeLook, looks_of_trees, plain_key
from scionary.answers.tree_water import lately
from scionary.answers.weather import DAY, QUANTITIES, Floats, SiteWeather, demand_of, longitude_of, site_weather
from scionary.book.models import MotherTree, Nursery
from scionary.dome import vapour_pressure_deficit
from scionary.season import Stage, cutting_times, readings_at, summed_before

WEEK_DAYS = 8  # today and the seven days after it
STALE_DAYS = 14  # a record that ends longer ago says nothing of today; project default, unsourced


@dataclass(frozen=True, eq=False)
class CutSite:
    """Weather from about a year ago to the end of the forecast, today's row among it."""

    weather: SiteWeather
    demand_mm: Floats
    today: int
    hourly: dict[str, Any]
    known_until: date
    fits: StageFits


@dataclass(frozen=True, eq=False)
class SiteToday:
    """One morning at a site: looked up once for all its trees. `site` is None where there is no weather near today, or no place."""

    nursery: Nursery
    today: date
    looks: AllLooks
    site: CutSite | None
    content: Hashable
    chances: dict[UUID, list[dict[Stage, float] | None]] = field(default_factory=dict)

    def looks_of(self, tree: MotherTree) -> Sequence[TreeLook]:
        return self.looks.by_tree.get(plain_key(tree.key), [])

    def chances_of(self, tree: MotherTree) -> list[dict[Stage, float] | None] | None:
        """Chance of each stage of a tree's wood on each day; a day of which nothing is known is as the one before it."""
        if self.site is None:
            return None
        if tree.cultivar_id not in self.chances:
            since = max(self.site.today - STALE_DAYS, 0)
            found = chances_by_day(self.site.weather, self.nursery, self.site.fits, tree.cultivar_id, since=since)
            for at in range(since + 1, len(found)):
                found[at] = found[at] or found[at - 1]
            self.chances[tree.cultivar_id] = found
        return self.chances[tree.cultivar_id]


def site_today(nursery: Nursery, today: date) -> SiteToday:
    """This morning, held until weather, looks or place change."""
    weather, looks = site_weather(nursery), looks_of_trees(nursery)
    station = (weather.station.pk, weather.station.read_at) if weather else ()
    place = (nursery.latitude_deg, nursery.longitude_deg, nursery.altitude_m, nursery.time_zone)
    content = (today, station, place, looks.content)
    return held("site_today", content, lambda: SiteToday(nursery, today, looks, _make_site(nursery, today), content))


def _make_site(nursery: Nursery, today: date) -> CutSite | None:
    weather = site_weather(nursery)
    if weather is None or nursery.latitude_deg is None or weather.dates[0] > np.datetime64(today, "D"):
        return None
    if (today - weather.last).days > STALE_DAYS:
        return None
    near = _reaching(lately(weather, today), today)
    row = near.at(today)
    assert row is not None
    near = near.rows(0, row + WEEK_DAYS)
    return CutSite(
        near, demand_of(near, nursery).evapotranspiration_mm, row, _hourly(near, nursery), weather.last, stage_fits(weather, nursery)
    )


def _reaching(weather: SiteWeather, today: date) -> SiteWeather:
    """The same with days of which nothing is known until today."""
    missing = (today - weather.last).days
    if missing <= 0:
        return weather
    empty = np.full(missing, np.nan)
    longer: dict[str, Any] = {name: np.concatenate([getattr(weather, name), empty]) for name in QUANTITIES}
    return replace(weather, dates=np.arange(weather.dates[0], weather.dates[-1] + (missing + 1) * DAY), **longer)


def _hourly(weather: SiteWeather, nursery: Nursery) -> dict[str, Any]:
    """What the hours say of each morning shortly after sunrise; nothing where there are none."""
    hours = weather.hours
    if not hours.time_s.size:
        return {}
    at = cutting_times(weather.dates, nursery.latitude_deg or 0.0, longitude_of(nursery))
    near = slice(*np.searchsorted(hours.time_s, [at[0] - 86_400.0, at[-1] + 86_400.0]).tolist())
    time_s = hours.time_s[near]
    if not time_s.size:
        return {}
    warm, moist = (readings_at(time_s, column[near], at) for column in (hours.temperature_c, hours.relative_humidity_pct))
    wet = summed_before(time_s, hours.rain_mm[near], at)
    return {"now_c": warm, "demand_kpa": np.asarray(vapour_pressure_deficit(warm, moist)), "wet_mm": wet}
