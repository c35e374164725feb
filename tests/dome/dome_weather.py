"""Invented weather for the dome's tests: a porch in spring, hourly, with clouds that come and go."""

import numpy as np

from scionary.dome import OutsideAir
from scionary.dome.kernel import saturated


def porch(days, seed=3, *, sunny=800.0, mean_c=14.0):
    """Hourly weather over whole days from midnight."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(days * 24 + 1) * 3600.0
    hour = time_s / 3600 % 24
    swing = np.sin((hour - 9) * np.pi / 12)
    sun = np.maximum(0.0, np.sin((hour - 6) * np.pi / 12)) * sunny * slow(rng, time_s, 4, lambda n: rng.uniform(0.25, 1, n))
    temperature = mean_c + 6 * swing + slow(rng, time_s, 24, lambda n: rng.normal(0, 2.5, n))
    humidity = np.clip(75 - 20 * swing + slow(rng, time_s, 6, lambda n: rng.normal(0, 6, n)), 20, 100)
    return OutsideAir(time_s, temperature, humidity, sun, np.abs(rng.normal(0.7, 0.5, time_s.size)))


def steady(temperature_c, relative_humidity_pct, *, solar_w_m2=0.0, wind_m_s=0.0, days=4):
    """The same weather hour after hour."""
    moments = days * 24 + 1
    return OutsideAir(
        np.arange(moments) * 3600.0, np.full(moments, temperature_c), np.full(moments, relative_humidity_pct), solar_w_m2, wind_m_s
    )


def by_the_minute(outside, dt=60.0):
    """Rows of outside temperature, vapour, wind and sun, as the plain loop takes them."""
    time_s = np.arange(outside.time_s[0], outside.time_s[-1] + 1, dt)
    vapour = saturated(outside.temperature_c) * outside.relative_humidity_pct / 100
    rows = (outside.temperature_c, vapour, outside.wind_m_s, outside.solar_w_m2)
    return time_s, list(zip(*(np.interp(time_s, outside.time_s, row).tolist() for row in rows), strict=True))


def slow(rng, time_s, hours, draw):
    knots = time_s[::hours]
    return np.interp(time_s, knots, draw(knots.size))
