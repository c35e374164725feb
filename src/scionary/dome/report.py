"""The air report: what a dome's logger says about a stretch of days, and what it cannot say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.dome.callus import CallusClock, callus_clock, callus_degree_days
from scionary.dome.day_night import PartOfDay, day_and_night
from scionary.dome.episodes import Episode, find_episodes, stuck_humidity, stuck_temperature
from scionary.dome.humidity import vapour_pressure_deficit
from scionary.dome.limits import AirLimits
from scionary.dome.series import Readings, Stretches, order_readings, stretches_of
from scionary.dome.wetness import Wetness, wetness
from scionary.units import Float


@dataclass(frozen=True)
class Spread:
    """Mean over time, lowest and highest of one quantity; NaN where nothing is known.

    Attributes
    ----------
    mean : float
        Mean weighted by the time that each reading stands for.
    low, high : float
        Lowest and highest reading.
    """

    mean: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class AirReport:
    """A dome's air over one log; gaps are unknown, not fine.

    Attributes
    ----------
    readings : int
        Moments read, after merging.
    duplicates : int
        Readings dropped because a later line had the same moment.
    impossible : int
        Moments with a value that no air can have; that value is unknown.
    from_s, to_s : float
        First and last moment, seconds since 1970 in UTC [s]; NaN for an empty log.
    interval_s : float
        The log's usual interval [s]; NaN for fewer than two readings.
    hours_covered : float
        Hours in which temperature and humidity are both known [h].
    hours_unknown : float
        Hours between first and last moment in which either is not [h].
    hours_temperature_known, hours_humidity_known : float
        Hours in which each is known [h].
    hours_in_callus_band : float
        Hours between `callus_low_c` and `callus_high_c`, both included [h].
    hours_above_heat_limit : float
        Hours above `heat_limit_c` [h].
    hours_below_humidity_limit : float
        Hours below `humidity_low_pct` [h].
    hours_stuck : float
        Hours in which a sensor stood still for too long [h]; they are flagged and still counted as known.
    hours_full : float
        Hours in which the humidity sensor was at its end [h]: wet, how wet is not known.
    wetness : Wetness
        Hours of wet leaves and of mould weather.
    day, night : PartOfDay
        The same air apart by the clock.
    share_in_callus_band : float
        Hours in the band over hours with known temperature, 0 to 1; NaN when there are none.
    callus_degree_days : float
        The callus clock [°C d]; an assumption, and a lower bound where hours are unknown.
    callus : CallusClock
        The same in days at the best temperature, with the date of the first look that it implies and its range.
    temperature_c, relative_humidity_pct, vapour_pressure_deficit_kpa : Spread
        Mean, lowest, highest [°C, %, kPa].
    episodes : tuple of Episode
        Heat, dryness, gaps, stuck sensors, in order of time.
    assumptions : tuple of dict
        Every limit used: ``name``, ``value``, ``unit``, ``source``.
    """

    readings: int
    duplicates: int
    impossible: int
    from_s: float
    to_s: float
    interval_s: float
    hours_covered: float
    hours_unknown: float
    hours_temperature_known: float
    hours_humidity_known: float
    hours_in_callus_band: float
    hours_above_heat_limit: float
    hours_below_humidity_limit: float
    hours_stuck: float
    hours_full: float
    wetness: Wetness
    day: PartOfDay
    night: PartOfDay
    share_in_callus_band: float
    callus_degree_days: float
    callus: CallusClock
    temperature_c: Spread
    relative_humidity_pct: Spread
    vapour_pressure_deficit_kpa: Spread
    episodes: tuple[Episode, ...]
    assumptions: tuple[dict[str, Any], ...]

    def to_dict(self) -> dict[str, Any]:
        """Give plain values; an unknown number is None.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        plain = {name: _plain(value) for name, value in vars(self).items()}
        plain["episodes"] = [each.to_dict() for each in self.episodes]
        plain["assumptions"] = [dict(each) for each in self.assumptions]
        return plain


def air_report(
    time_s: Any,
    temperature_c: Any,
    relative_humidity_pct: Any,
    limits: AirLimits | None = None,
    *,
    utc_offset_s: Any = 0.0,
    grafted_s: float | None = None,
) -> AirReport:
    """Hold a logger's readings against limits.

    Each reading stands for the time until the next one, at most `gap_after_intervals` of the log's usual interval and
    `hold_most_s` (or `gap_after_s` instead of both); what is left is a gap. The last reading stands for no time.

    Parameters
    ----------
    time_s : array_like
        Seconds since 1970 in UTC [s], shape (n,), in any order; of equal moments the last one given stays.
    temperature_c : array_like
        Air temperature [°C], shape (n,). NaN is unknown; below -60 or above 80 is counted as impossible and unknown.
    relative_humidity_pct : array_like
        Relative humidity [%], shape (n,). NaN is unknown; below 0 or above 100.5 is counted as impossible and
        unknown; between 100 and 100.5 counts as 100.
    limits : AirLimits, optional
        What counts as good, hot, dry, unknown and stuck; the project's defaults when left out.
    utc_offset_s : float or (array_like, array_like)
        What the clock shows less UTC [s], for day and night; or moments and the offsets that hold from each on.
    grafted_s : float, optional
        When the grafts were made, seconds since 1970 in UTC [s]: where the callus clock begins; the first reading when
        left out.

    Returns
    -------
    AirReport
        Hours, spreads, episodes and the assumptions behind them.

    Raises
    ------
    BadValue
        When the lengths differ or a time is not a finite number.
    """
    limits = limits or AirLimits()
    readings = order_readings(time_s, temperature_c, relative_humidity_pct)
    stretches = stretches_of(readings, hold_s=limits.hold_s(readings.interval_s))
    empty = readings.time_s.size == 0
    day, night = day_and_night(stretches, limits, utc_offset_s=utc_offset_s)
    return AirReport(
        readings=readings.time_s.size,
        duplicates=readings.duplicates,
        impossible=readings.impossible,
        from_s=np.nan if empty else float(readings.time_s[0]),
        to_s=np.nan if empty else float(readings.time_s[-1]),
        interval_s=readings.interval_s,
        **_hours(stretches, limits),
        hours_full=stretches.hours_where(stretches.relative_humidity_pct >= limits.full_pct),
        wetness=wetness(stretches, limits),
        day=day,
        night=night,
        callus_degree_days=_callus_degree_days(stretches, limits),
        callus=callus_clock(stretches, limits, grafted_s=grafted_s),
        **_spreads(readings, stretches),
        episodes=find_episodes(stretches, limits),
        assumptions=tuple(limits.assumptions()),
    )


def _hours(stretches: Stretches, limits: AirLimits) -> dict[str, Any]:
    t, rh = stretches.temperature_c, stretches.relative_humidity_pct
    t_known, rh_known = ~np.isnan(t), ~np.isnan(rh)
    in_band = stretches.hours_where((t >= limits.callus_low_c) & (t <= limits.callus_high_c))
    t_hours = stretches.hours_where(t_known)
    return {
        "hours_covered": stretches.hours_where(t_known & rh_known),
        "hours_unknown": stretches.hours_where(~(t_known & rh_known)),
        "hours_temperature_known": t_hours,
        "hours_humidity_known": stretches.hours_where(rh_known),
        "hours_in_callus_band": in_band,
        "hours_above_heat_limit": stretches.hours_where(t > limits.heat_limit_c),
        "hours_below_humidity_limit": stretches.hours_where(rh < limits.humidity_low_pct),
        "hours_stuck": stretches.hours_where(stuck_temperature(stretches, limits) | stuck_humidity(stretches, limits)),
        "share_in_callus_band": in_band / t_hours if t_hours else np.nan,
    }


def _callus_degree_days(stretches: Stretches, limits: AirLimits) -> float:
    return callus_degree_days(
        stretches.temperature_c,
        stretches.hours,
        base_c=limits.callus_base_c,
        best_c=limits.callus_best_c,
        ceiling_c=limits.heat_limit_c,
    )


def _spreads(readings: Readings, stretches: Stretches) -> dict[str, Any]:
    return {
        "temperature_c": _spread(readings.temperature_c, stretches.temperature_c, stretches.hours),
        "relative_humidity_pct": _spread(readings.relative_humidity_pct, stretches.relative_humidity_pct, stretches.hours),
        "vapour_pressure_deficit_kpa": spread_of(readings, stretches, vapour_pressure_deficit),
    }


def spread_of(readings: Readings, stretches: Stretches, measure: Callable[[Any, Any], Any]) -> Spread:
    """Give the spread of a measure of temperature and humidity.

    Parameters
    ----------
    readings : Readings
        In order: they give the lowest and the highest.
    stretches : Stretches
        The same as pieces of time: they give the mean.
    measure : callable
        Of temperature [°C] and humidity [%].

    Returns
    -------
    Spread
        In the measure's unit; what is not finite is unknown.
    """
    read, held = (np.asarray(measure(air.temperature_c, air.relative_humidity_pct)) for air in (readings, stretches))
    read, held = (np.where(np.isfinite(each), each, np.nan) for each in (read, held))
    return _spread(read, held, stretches.hours)


def _spread(read: Float, held: Float, hours: Float) -> Spread:
    seen = read[~np.isnan(read)]
    if not seen.size:
        return Spread(np.nan, np.nan, np.nan)
    known: npt.NDArray[np.bool_] = ~np.isnan(held)
    mean = np.average(held[known], weights=hours[known]) if known.any() else seen.mean()
    return Spread(float(mean), float(seen.min()), float(seen.max()))


def _plain(value: Any) -> Any:
    if isinstance(value, Spread | Wetness | PartOfDay | CallusClock):
        return {name: _plain(each) for name, each in asdict(value).items()}
    return None if isinstance(value, float) and np.isnan(value) else value
