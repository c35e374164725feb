"""The weather that may come, and the dates on which a stage is then reached."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.season.heat_course import DAY, YEAR_DAYS, Dates, HeatCourse
from scionary.season.heat_sums import HeatSumFit
from scionary.units import Float, check_range


@dataclass(frozen=True, eq=False)
class StageForecast:
    """When a stage will have been reached.

    Attributes
    ----------
    dates : ndarray of datetime64[D]
        Days to come.
    chance : ndarray of float
        Chance that the stage is reached by the end of each day: weather years and heat sums averaged.
    years : int
        Courses of weather that were known throughout.
    """

    dates: Dates
    chance: Float
    years: int

    def day(self, chance: float) -> str | None:
        """Find the first day by which it is reached with a chance.

        Parameters
        ----------
        chance : float
            Above 0 and below 1.

        Returns
        -------
        str or None
            The day, or None when the days to come do not reach so far.
        """
        reached = np.flatnonzero(self.chance >= chance)
        return str(self.dates[reached[0]]) if reached.size else None


def weather_courses(course: HeatCourse, today: Any, days: int) -> Float:
    """Degree days that followed the same day in each year on record, as the weather that may come.

    Parameters
    ----------
    course : HeatCourse
        The record.
    today : datetime64[D] or str
        The day after which they follow.
    days : int
        How many, 1 to 364.

    Returns
    -------
    ndarray of shape (years, days)
        Degree days [°C d] of the days after the same day of each year before that of `today`; a year of which any of
        these days is not known is left out.

    Raises
    ------
    BadValue
        When `days` is out of range.
    """
    if not 1 <= days < YEAR_DAYS:
        raise BadValue("days", days, f"1 to {YEAR_DAYS - 1}")
    wanted = np.datetime64(today, "D")
    mine = [row for row, start in enumerate(course.start) if start <= wanted]
    at = int((wanted - course.start[mine[-1]]) / DAY) if mine else 0
    flat = course.daily.ravel()
    cuts = [flat[row * YEAR_DAYS + at + 1 :][:days] for row in mine[:-1]]
    whole = [cut for cut in cuts if cut.size == days and not np.isnan(cut).any()]
    return np.array(whole).reshape(-1, days)


def stage_forecast(
    fit: HeatSumFit,
    heat_now: float,
    coming: Any,
    today: Any,
    *,
    cultivar: str | None = None,
    season: str | None = None,
    reached: bool | None = None,
) -> StageForecast:
    """Say when a stage is reached, from the heat so far and the weather that may come.

    Parameters
    ----------
    fit : HeatSumFit
        What the looks say.
    heat_now : float
        Heat sum so far [°C d].
    coming : array_like of shape (courses, days)
        Degree days of each day to come, one row a course of weather: a forecast, followed by past years
        (`weather_courses`); each row counts the same.
    today : datetime64[D] or str
        The day at whose end `heat_now` holds.
    cultivar, season : str, optional
        As for `HeatSumFit.chance`.
    reached : bool, optional
        False: somebody looked today, and it has not been reached.

    Returns
    -------
    StageForecast
        Chance by day.

    Raises
    ------
    BadValue
        When the weather is not one row a course, or not known.
    """
    gained = np.atleast_2d(check_range("coming", coming, 0.0, 100.0, "°C d"))
    if gained.ndim != 2 or not gained.size or np.isnan(gained).any():
        raise BadValue("coming", f"an array of shape {gained.shape}", "one row a course of weather, all of it known")
    heat = heat_now + np.cumsum(gained, axis=1)
    above = heat_now if reached is False else 0.0
    chance = fit.chance(heat, cultivar=cultivar, season=season, above=above).mean(axis=0)
    dates = np.datetime64(today, "D") + (1 + np.arange(gained.shape[1])) * DAY
    return StageForecast(dates, chance, gained.shape[0])
