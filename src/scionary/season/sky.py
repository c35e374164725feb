"""Where the sun stands, and what a clear sky lets through."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.units import Float, as_floats, check_range, like_input

DAY_S = 86400.0
J2000_DAYS = 10957.5  # from 1970-01-01 00:00 to 2000-01-01 12:00 UTC


def sun_height(latitude_deg: Any, longitude_deg: Any, time_s: Any) -> Any:
    """Height of the sun above the horizon at a moment, without the air's bending of its light.

    Parameters
    ----------
    latitude_deg : float or array_like
        Latitude [°], -90 to 90, south negative.
    longitude_deg : float or array_like
        Longitude [°], -180 to 180, west negative.
    time_s : float or array_like
        Seconds since 1970 UTC. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Height [°], -90 to 90; within 0.02° between 1950 and 2050.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Low-precision coordinates of the sun and sidereal time: The Astronomical Almanac, section C and B.
    """
    phi = np.radians(check_range("latitude_deg", latitude_deg, -90.0, 90.0, "°"))
    east = check_range("longitude_deg", longitude_deg, -180.0, 180.0, "°")
    n = as_floats("time_s", time_s) / DAY_S - J2000_DAYS
    ascension, declination = _coordinates(n)
    sidereal = 280.46061837 + 360.98564736629 * n
    hour_angle = np.radians(sidereal + east) - ascension
    sine = np.sin(phi) * np.sin(declination) + np.cos(phi) * np.cos(declination) * np.cos(hour_angle)
    return like_input(np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0))), latitude_deg, longitude_deg, time_s)


def clear_sky_radiation(sun_height_deg: Any) -> Any:
    """Solar radiation on the level under a clear sky, from the sun's height alone.

    Rough: it knows neither haze nor height above the sea; a really clear day may give a tenth more or less.

    Parameters
    ----------
    sun_height_deg : float or array_like
        Height of the sun [°], -90 to 90. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Radiation [W/m²], 0 below the horizon.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Haurwitz (1945), Journal of Meteorology 2:154.
    """
    sine = np.sin(np.radians(check_range("sun_height_deg", sun_height_deg, -90.0, 90.0, "°")))
    up = np.maximum(sine, 1e-6)
    return like_input(np.where(sine > 0.0, 1098.0 * up * np.exp(-0.059 / up), np.where(np.isnan(sine), np.nan, 0.0)), sun_height_deg)


def _coordinates(n: Float) -> tuple[Float, Float]:
    """Right ascension and declination of the sun [rad], `n` days after noon of 1 January 2000."""
    anomaly = np.radians(357.528 + 0.9856003 * n)
    longitude = np.radians(280.460 + 0.9856474 * n + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2.0 * anomaly))
    obliquity = np.radians(23.439 - 0.0000004 * n)
    ascension = np.arctan2(np.cos(obliquity) * np.sin(longitude), np.cos(longitude))
    return np.asarray(ascension), np.asarray(np.arcsin(np.sin(obliquity) * np.sin(longitude)))
