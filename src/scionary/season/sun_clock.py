"""How late the rows of a station's sun stand: their clear days held against where the sun really was."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from scionary.errors import BadValue
from scionary.season.sky import clear_sky_radiation, sun_height
from scionary.units import Float, as_floats

DAY_S, HOUR_S = 86_400.0, 3600.0
LATEST_H, GRAIN_H = 2.5, 0.05
DAYS_LOOKED_AT = 400
LEAST_DAYS = 3
CLEAR_REST = 0.12  # project default, unsourced: a day whose sun leaves no more beside the clear sky's shape is clear
APART_H = 0.3  # project default, unsourced: half of the clear days may differ by no more


class SunClock(NamedTuple):
    """How late rows stand.

    Attributes
    ----------
    late_h : float
        By how much a row's moment lies behind the middle of the time that its sun stands for [h]; NaN where too few days were
        clear, or they do not agree.
    days : int
        Clear days that tell it, or evenly dull ones.
    apart_h : float
        Between which a half of these days lie [h]; about 1 where a clock was changed that the rows do not know of.
    """

    late_h: float
    days: int
    apart_h: float = 0.0


def sun_clock(latitude_deg: float, longitude_deg: float, time_s: Any, solar_w_m2: Any, step_s: float) -> SunClock:
    """Tell how late the rows of measured sun stand.

    On a clear day the sun's radiation follows its height, so the day's shape shows where its middle was. Half a step late
    means rows stamped at the end of their time, half a step early at its beginning.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        Where the sun was measured [°].
    time_s : array_like of shape (rows,)
        Moment of each row, rising, seconds since 1970 UTC.
    solar_w_m2 : array_like of shape (rows,)
        Sun on the level [W/m²]; NaN where it is missing.
    step_s : float
        Usual time between rows, 60 to 10800 [s].

    Returns
    -------
    SunClock
        From clear days of the last 400 that have nearly all of their rows.

    Raises
    ------
    BadValue
        When lengths differ.
    """
    time, sun = as_floats("time_s", time_s), as_floats("solar_w_m2", solar_w_m2)
    if time.shape != sun.shape:
        raise BadValue("solar_w_m2", f"{sun.size} values", f"one for each of the {time.size} moments")
    known = ~np.isnan(sun)
    time, sun = time[known], sun[known]
    late = _of_days(latitude_deg, longitude_deg, *_whole_days(longitude_deg, time, sun, step_s), step_s)
    if late.size < LEAST_DAYS:
        return SunClock(float("nan"), int(late.size))
    apart_h = float(np.subtract(*np.percentile(late, [75, 25])))
    return SunClock(float(np.median(late)) if apart_h <= APART_H else float("nan"), int(late.size), apart_h)


def _whole_days(longitude_deg: float, time: Float, sun: Float, step_s: float) -> tuple[Float, Float]:
    """Rows of days of solar time that have nearly all of them, a day a row; short days are filled with nights without sun."""
    day = np.floor((time + longitude_deg / 360.0 * DAY_S) / DAY_S).astype(np.int64)
    most = round(DAY_S / step_s)
    each, begins, counts = np.unique(day, return_index=True, return_counts=True)
    whole = np.flatnonzero((counts >= 0.9 * most) & (counts <= most) & (each > each.max(initial=0) - DAYS_LOOKED_AT))
    times, suns = np.zeros((whole.size, most)), np.zeros((whole.size, most))
    for row, at in enumerate(whole.tolist()):
        part = slice(begins[at], begins[at] + counts[at])
        times[row, : counts[at]], suns[row, : counts[at]] = time[part], sun[part]
        times[row, counts[at] :] = time[part][-1]
        suns[row, counts[at] :] = sun[part][-1]
    return times, suns


def _of_days(latitude_deg: float, longitude_deg: float, times: Float, suns: Float, step_s: float) -> Float:
    """The best lateness of each clear day [h]."""
    tried = np.arange(-LATEST_H, LATEST_H + GRAIN_H / 2, GRAIN_H)
    within = (np.arange(parts := max(round(step_s / 1800.0), 1)) + 0.5) / parts - 0.5
    total = np.maximum((suns**2).sum(axis=1), 1e-9)
    rest = np.empty((tried.size, times.shape[0]))
    for at, late_h in enumerate(tried):
        moments = times[:, :, None] - late_h * HOUR_S + within * step_s
        clear = np.asarray(clear_sky_radiation(sun_height(latitude_deg, longitude_deg, moments))).mean(axis=2)
        scale = (suns * clear).sum(axis=1) / np.maximum((clear**2).sum(axis=1), 1e-9)
        rest[at] = np.sqrt(((suns - scale[:, None] * clear) ** 2).sum(axis=1) / total)
    best = rest.argmin(axis=0) if times.shape[0] else np.empty(0, dtype=np.int64)
    inner = (best > 0) & (best < tried.size - 1) & (rest.min(axis=0, initial=np.inf) < CLEAR_REST) & (suns.max(axis=1, initial=0.0) > 50.0)
    return np.asarray(tried[best][inner])
