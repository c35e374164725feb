"""The sun at the edge of the air: day length and radiation by latitude and day."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.units import Float, check_range, like_input

SOLAR_CONSTANT = 0.0820  # MJ/m²/min, FAO-56 eq. 21


def day_length(latitude_deg: Any, day_of_year: Any) -> Any:
    """Hours from sunrise to sunset: FAO-56 eq. 34.

    The sun is a point and the air does not bend its light: a real day is some minutes longer.

    Parameters
    ----------
    latitude_deg : float or array_like
        Latitude [°], -90 to 90, south negative. NaN gives NaN.
    day_of_year : float or array_like
        Day of the year, 1 to 366. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Day length [h]: 24 in the polar day, 0 in the polar night.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 24, 25 and 34.
    """
    latitude, declination, _ = _geometry(latitude_deg, day_of_year)
    return like_input(24.0 / np.pi * _sunset_angle(latitude, declination), latitude_deg, day_of_year)


def extraterrestrial_radiation(latitude_deg: Any, day_of_year: Any) -> Any:
    """Radiation on a level surface above the air in a day: FAO-56 eq. 21.

    Parameters
    ----------
    latitude_deg : float or array_like
        Latitude [°], -90 to 90, south negative. NaN gives NaN.
    day_of_year : float or array_like
        Day of the year, 1 to 366. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Radiation [MJ/m²/d], 0 in the polar night.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 21 and 23 to 25.
    """
    phi, delta, d_r = _geometry(latitude_deg, day_of_year)
    omega_s = _sunset_angle(phi, delta)
    height = omega_s * np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.sin(omega_s)
    radiation = 24.0 * 60.0 / np.pi * SOLAR_CONSTANT * d_r * height
    return like_input(np.maximum(radiation, 0.0), latitude_deg, day_of_year)


def _geometry(latitude_deg: Any, day_of_year: Any) -> tuple[Float, Float, Float]:
    """Latitude, declination [rad] and inverse relative distance of the sun: eq. 22, 24, 23."""
    phi = np.radians(check_range("latitude_deg", latitude_deg, -90.0, 90.0, "°"))
    turn = 2.0 * np.pi * check_range("day_of_year", day_of_year, 1.0, 366.0) / 365.0
    return phi, np.asarray(0.409 * np.sin(turn - 1.39)), np.asarray(1.0 + 0.033 * np.cos(turn))


def _sunset_angle(phi: Float, delta: Float) -> Float:
    """Sunset hour angle [rad], eq. 25; held at 0 and π beyond the polar circles."""
    return np.asarray(np.arccos(np.clip(-np.tan(phi) * np.tan(delta), -1.0, 1.0)))
