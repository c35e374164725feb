"""Water that a day's weather draws from a well-watered grass surface."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.season.degree_days import daily_extremes
from scionary.season.sun import extraterrestrial_radiation
from scionary.units import Float, check_range, like_input

STEFAN_BOLTZMANN = 4.903e-9  # MJ/K⁴/m²/d, FAO-56 eq. 39
ALBEDO = 0.23  # FAO-56 eq. 38, the grass reference surface


def reference_evapotranspiration(
    *,
    latitude_deg: Any,
    altitude_m: Any,
    day_of_year: Any,
    temperature_max_c: Any,
    temperature_min_c: Any,
    vapour_pressure_kpa: Any,
    wind_2m_m_s: Any,
    solar_mj_m2: Any,
    soil_heat_mj_m2: Any = 0.0,
) -> Any:
    """Reference evapotranspiration by the Penman-Monteith equation: FAO-56 eq. 6.

    Parameters
    ----------
    latitude_deg : float or array_like
        Latitude [°], -90 to 90, south negative.
    altitude_m : float or array_like
        Height above the sea [m], -500 to 9000.
    day_of_year : float or array_like
        Day of the year, 1 to 366.
    temperature_max_c, temperature_min_c : float or array_like
        The day's highest and lowest air temperature [°C].
    vapour_pressure_kpa : float or array_like
        Actual vapour pressure [kPa], 0 to 20.
    wind_2m_m_s : float or array_like
        Mean wind at 2 m [m/s], 0 to 100.
    solar_mj_m2 : float or array_like
        Solar radiation on the level [MJ/m²/d], 0 to 60.
    soil_heat_mj_m2 : float or array_like
        Heat going into the soil [MJ/m²/d], -20 to 20; about 0 over a day.

    Returns
    -------
    float or ndarray
        Evapotranspiration [mm/d]. NaN in any input gives NaN, and so does the polar night, where the share of
        the clear sky's radiation is not defined.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 6, 7, 8, 12, 13, 37 to 40.
    """
    t_max, t_min = daily_extremes(temperature_max_c, temperature_min_c)
    z = check_range("altitude_m", altitude_m, -500.0, 9000.0, "m")
    e_a = check_range("vapour_pressure_kpa", vapour_pressure_kpa, 0.0, 20.0, "kPa")
    u_2 = check_range("wind_2m_m_s", wind_2m_m_s, 0.0, 100.0, "m/s")
    r_s = check_range("solar_mj_m2", solar_mj_m2, 0.0, 60.0, "MJ/m²/d")
    g = check_range("soil_heat_mj_m2", soil_heat_mj_m2, -20.0, 20.0, "MJ/m²/d")
    r_so = (0.75 + 2e-5 * z) * extraterrestrial_radiation(latitude_deg, day_of_year)  # eq. 37
    r_n = (1.0 - ALBEDO) * r_s - _longwave(t_max, t_min, e_a, r_s, r_so)  # eq. 40
    t = (t_max + t_min) / 2.0
    delta = 4098.0 * _saturation(t) / (t + 237.3) ** 2  # eq. 13
    gamma = 0.665e-3 * 101.3 * ((293.0 - 0.0065 * z) / 293.0) ** 5.26  # eq. 7 and 8
    deficit = (_saturation(t_max) + _saturation(t_min)) / 2.0 - e_a  # eq. 12
    et_0 = (0.408 * delta * (r_n - g) + gamma * 900.0 / (t + 273.0) * u_2 * deficit) / (delta + gamma * (1.0 + 0.34 * u_2))
    inputs = (latitude_deg, altitude_m, day_of_year, temperature_max_c, temperature_min_c)
    return like_input(np.asarray(et_0), *inputs, vapour_pressure_kpa, wind_2m_m_s, solar_mj_m2, soil_heat_mj_m2)


def hargreaves_evapotranspiration(latitude_deg: Any, day_of_year: Any, temperature_max_c: Any, temperature_min_c: Any) -> Any:
    """Reference evapotranspiration from temperature alone: FAO-56 eq. 52.

    Rough: meant for means of several days, too high in humid and too low in windy places.

    Parameters
    ----------
    latitude_deg : float or array_like
        Latitude [°], -90 to 90, south negative.
    day_of_year : float or array_like
        Day of the year, 1 to 366.
    temperature_max_c, temperature_min_c : float or array_like
        The day's highest and lowest air temperature [°C].

    Returns
    -------
    float or ndarray
        Evapotranspiration [mm/d], not below 0. NaN in any input gives NaN.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 52; radiation to mm by eq. 20.
    """
    t_max, t_min = daily_extremes(temperature_max_c, temperature_min_c)
    r_a = 0.408 * np.asarray(extraterrestrial_radiation(latitude_deg, day_of_year))
    et_0 = 0.0023 * ((t_max + t_min) / 2.0 + 17.8) * np.sqrt(t_max - t_min) * r_a
    return like_input(np.maximum(et_0, 0.0), latitude_deg, day_of_year, temperature_max_c, temperature_min_c)


def _saturation(temperature_c: Float) -> Float:
    """Saturation vapour pressure [kPa], eq. 11."""
    return np.asarray(0.6108 * np.exp(17.27 * temperature_c / (temperature_c + 237.3)))


def _longwave(t_max: Float, t_min: Float, e_a: Float, r_s: Float, r_so: Any) -> Float:
    """Net outgoing longwave radiation [MJ/m²/d], eq. 39; NaN where the clear sky gives nothing."""
    clear = np.asarray(r_so)
    share = np.minimum(r_s / np.where(clear > 0.0, clear, np.nan), 1.0)
    black = STEFAN_BOLTZMANN * ((t_max + 273.16) ** 4 + (t_min + 273.16) ** 4) / 2.0
    return np.asarray(black * (0.34 - 0.14 * np.sqrt(e_a)) * (1.35 * share - 0.35))
