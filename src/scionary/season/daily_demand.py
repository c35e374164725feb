"""Reference evapotranspiration of days as a weather file knows them: the full equation where it can, the short one where not."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.season.degree_days import daily_extremes
from scionary.season.evapotranspiration import hargreaves_evapotranspiration, reference_evapotranspiration
from scionary.units import Float, check_range, like_input, refuse_where


class DemandMethod(IntEnum):
    """Which equation gave a day's figure."""

    UNKNOWN = 0
    HARGREAVES = 1
    PENMAN_MONTEITH = 2


@dataclass(frozen=True, eq=False)
class DailyDemand:
    """Reference evapotranspiration of each day.

    Attributes
    ----------
    evapotranspiration_mm : ndarray of float
        ET0 [mm/d]; NaN where not even the day's temperatures are known.
    method : ndarray of int
        A `DemandMethod` for each day.
    """

    evapotranspiration_mm: Float
    method: npt.NDArray[np.int64]


def wind_at_2m(wind_m_s: Any, height_m: Any) -> Any:
    """Wind at 2 m from wind measured higher, over short grass: FAO-56 eq. 47.

    Parameters
    ----------
    wind_m_s : float or array_like
        Wind at the sensor [m/s], 0 to 100. NaN gives NaN.
    height_m : float or array_like
        Height of the sensor [m], 0.5 to 200.

    Returns
    -------
    float or ndarray
        Wind at 2 m [m/s].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 47.
    """
    wind = check_range("wind_m_s", wind_m_s, 0.0, 100.0, "m/s")
    height = check_range("height_m", height_m, 0.5, 200.0, "m")
    return like_input(np.asarray(wind * 4.87 / np.log(67.8 * height - 5.42)), wind_m_s, height_m)


def daily_evapotranspiration(
    latitude_deg: float,
    altitude_m: float | None,
    day_of_year: Any,
    temperature_max_c: Any,
    temperature_min_c: Any,
    *,
    vapour_pressure_kpa: Any = np.nan,
    wind_2m_m_s: Any = np.nan,
    solar_mj_m2: Any = np.nan,
) -> DailyDemand:
    """Choose the equation day by day: Penman-Monteith where all is known, else Hargreaves.

    Parameters
    ----------
    latitude_deg : float
        Latitude [°], south negative.
    altitude_m : float or None
        Height above the sea [m]; None: not known, then Hargreaves throughout.
    day_of_year : array_like
        Day of the year, 1 to 366.
    temperature_max_c, temperature_min_c : array_like
        Extremes of each day [°C]; NaN where they are not known.
    vapour_pressure_kpa, wind_2m_m_s, solar_mj_m2 : array_like
        Vapour pressure [kPa], wind at 2 m [m/s], solar radiation [MJ/m²/d]; NaN where they are not known.

    Returns
    -------
    DailyDemand
        One entry a day.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.
    """
    highest, lowest = daily_extremes(temperature_max_c, temperature_min_c)
    simple = np.asarray(hargreaves_evapotranspiration(latitude_deg, day_of_year, highest, lowest))
    full = reference_evapotranspiration(
        latitude_deg=latitude_deg,
        altitude_m=np.nan if altitude_m is None else altitude_m,
        day_of_year=day_of_year,
        temperature_max_c=highest,
        temperature_min_c=lowest,
        vapour_pressure_kpa=vapour_pressure_kpa,
        wind_2m_m_s=wind_2m_m_s,
        solar_mj_m2=solar_mj_m2,
    )
    simple, full = np.broadcast_arrays(np.atleast_1d(simple), np.atleast_1d(full))
    method = np.where(~np.isnan(simple), DemandMethod.HARGREAVES, DemandMethod.UNKNOWN)
    method = np.where(~np.isnan(full), DemandMethod.PENMAN_MONTEITH, method)
    chosen = np.where(np.isnan(full), simple, np.maximum(full, 0.0))  # below 0 it is dew, which fills no root zone
    return DailyDemand(chosen, method.astype(np.int64))


def vapour_pressure_of_day(temperature_max_c: Any, temperature_min_c: Any, humidity_max_pct: Any, humidity_min_pct: Any) -> Any:
    """Actual vapour pressure of a day from its extremes of humidity: FAO-56 eq. 17.

    Parameters
    ----------
    temperature_max_c, temperature_min_c : float or array_like
        Extremes of the day [°C].
    humidity_max_pct, humidity_min_pct : float or array_like
        Highest and lowest relative humidity [%], 0 to 100. Where only a mean is known, give it as both: the result
        then is eq. 19 of the paper and less exact.

    Returns
    -------
    float or ndarray
        Vapour pressure [kPa]. NaN in any input gives NaN.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 11, 17 and 19.
    """
    t_max, t_min = daily_extremes(temperature_max_c, temperature_min_c)
    wettest = check_range("humidity_max_pct", humidity_max_pct, 0.0, 100.0, "%")
    driest = check_range("humidity_min_pct", humidity_min_pct, 0.0, 100.0, "%")
    refuse_where(driest > wettest, "humidity_min_pct", driest, "at most the same day's humidity_max_pct")
    saturated = [0.6108 * np.exp(17.27 * t / (t + 237.3)) for t in (t_min, t_max)]
    pressure = (saturated[0] * wettest + saturated[1] * driest) / 200.0
    return like_input(np.asarray(pressure), temperature_max_c, temperature_min_c, humidity_max_pct, humidity_min_pct)
