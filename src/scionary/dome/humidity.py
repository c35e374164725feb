"""Humidity of the air: what it could hold, what it lacks, where dew forms."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.units import check_range, like_input, refuse_where

TEMPERATURE_RANGE_C = (-60.0, 80.0)  # project default, unsourced: outside this no dome's logger tells the truth
HUMIDITY_RANGE_PCT = (0.0, 100.5)  # project default, unsourced: loggers in wet air read a little above 100
PRESSURE_RANGE_KPA = (50.0, 110.0)  # from high mountains to below sea level
_PSYCHROMETER_PER_K = 0.000662  # FAO-56 eq. 16, an aspirated psychrometer
_VAPOUR_GAS_J_KG_K = 461.5  # gas constant of water vapour
_ZERO_C_IN_K = 273.15
_NEWTON_STEPS = 8  # from the air's own temperature the last step is below 1e-9 K everywhere in range


def saturation_vapour_pressure(temperature_c: Any) -> Any:
    """Vapour pressure of saturated air over water: FAO-56 eq. 11.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature [°C], -60 to 80. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Saturation vapour pressure [kPa]; over water also below 0 °C.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 11.
    """
    t = check_range("temperature_c", temperature_c, *TEMPERATURE_RANGE_C, "°C")
    return like_input(0.6108 * np.exp(17.27 * t / (t + 237.3)), temperature_c)


def vapour_pressure_deficit(temperature_c: Any, relative_humidity_pct: Any) -> Any:
    """What the air lacks to be saturated, from one reading: FAO-56 eq. 10 and 11.

    It is the air's deficit at one moment. A leaf warmer than the air feels a larger one.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature [°C], -60 to 80. NaN gives NaN.
    relative_humidity_pct : float or array_like
        Relative humidity [%], 0 to 100.5; above 100 counts as 100. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Vapour pressure deficit [kPa], never below 0.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 10 and 11.
    """
    rh = np.minimum(check_range("relative_humidity_pct", relative_humidity_pct, *HUMIDITY_RANGE_PCT, "%"), 100.0)
    deficit = saturation_vapour_pressure(temperature_c) * (1.0 - rh / 100.0)
    return like_input(np.asarray(deficit), temperature_c, relative_humidity_pct)


def dew_point(temperature_c: Any, relative_humidity_pct: Any) -> Any:
    """Temperature at which this air, cooled, begins to form dew: FAO-56 eq. 11 solved for temperature.

    Over water, also below 0 °C, where frost forms at a slightly higher temperature.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature [°C], -60 to 80. NaN gives NaN.
    relative_humidity_pct : float or array_like
        Relative humidity [%], above 0 to 100.5; above 100 counts as 100. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Dew point [°C], never above the air's temperature.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range; air at 0 % has no dew point.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 11, inverted.
    """
    rh = np.minimum(check_range("relative_humidity_pct", relative_humidity_pct, *HUMIDITY_RANGE_PCT, "%"), 100.0)
    refuse_where(rh <= 0.0, "relative_humidity_pct", rh, "above 0 to 100.5 % (air at 0 % has no dew point)")
    t = check_range("temperature_c", temperature_c, *TEMPERATURE_RANGE_C, "°C")
    x = 17.27 * t / (t + 237.3) + np.log(rh / 100.0)
    return like_input(np.minimum(237.3 * x / (17.27 - x), t), temperature_c, relative_humidity_pct)


def wet_bulb(temperature_c: Any, relative_humidity_pct: Any, *, pressure_kpa: Any = 101.325) -> Any:
    """Temperature of a wet, well ventilated surface in this air: FAO-56 eq. 15 and 16 solved for the wet bulb.

    Over water, also below 0 °C. It lies between dew point and air temperature, and equals both in saturated air.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature [°C], -60 to 80. NaN gives NaN.
    relative_humidity_pct : float or array_like
        Relative humidity [%], 0 to 100.5; above 100 counts as 100. NaN gives NaN.
    pressure_kpa : float or array_like
        Air pressure [kPa], 50 to 110. NaN gives NaN. Default 101.325, sea level.

    Returns
    -------
    float or ndarray
        Wet-bulb temperature [°C], never above the air's temperature.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 11, 13, 15 and 16.
    """
    t = check_range("temperature_c", temperature_c, *TEMPERATURE_RANGE_C, "°C")
    gamma = _PSYCHROMETER_PER_K * check_range("pressure_kpa", pressure_kpa, *PRESSURE_RANGE_KPA, "kPa")
    held = vapour_pressure(t, relative_humidity_pct)
    wet = t + 0.0 * held * gamma
    for _ in range(_NEWTON_STEPS):
        saturated = 0.6108 * np.exp(17.27 * wet / (wet + 237.3))
        slope = 17.27 * 237.3 * saturated / (wet + 237.3) ** 2
        wet = wet - (saturated - gamma * (t - wet) - held) / (slope + gamma)
    return like_input(np.minimum(wet, t), temperature_c, relative_humidity_pct, pressure_kpa)


def vapour_pressure(temperature_c: Any, relative_humidity_pct: Any) -> Any:
    """Vapour pressure that the air holds, from one reading: FAO-56 eq. 10 and 11.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature [°C], -60 to 80. NaN gives NaN.
    relative_humidity_pct : float or array_like
        Relative humidity [%], 0 to 100.5; above 100 counts as 100. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Vapour pressure [kPa].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 10 and 11.
    """
    rh = np.minimum(check_range("relative_humidity_pct", relative_humidity_pct, *HUMIDITY_RANGE_PCT, "%"), 100.0)
    held = np.asarray(saturation_vapour_pressure(temperature_c)) * rh / 100.0
    return like_input(held, temperature_c, relative_humidity_pct)


def absolute_humidity(temperature_c: Any, relative_humidity_pct: Any) -> Any:
    """Water vapour in a cubic metre of this air: the ideal gas law on FAO-56 eq. 10 and 11.

    Parameters
    ----------
    temperature_c : float or array_like
        Air temperature [°C], -60 to 80. NaN gives NaN.
    relative_humidity_pct : float or array_like
        Relative humidity [%], 0 to 100.5; above 100 counts as 100. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Absolute humidity [g/m³].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 10 and 11; ideal gas law with
    461.5 J/(kg K) for water vapour.
    """
    held_pa = 1000.0 * np.asarray(vapour_pressure(temperature_c, relative_humidity_pct))
    kelvin = np.asarray(temperature_c, dtype=np.float64) + _ZERO_C_IN_K
    return like_input(1000.0 * held_pa / (_VAPOUR_GAS_J_KG_K * kelvin), temperature_c, relative_humidity_pct)
