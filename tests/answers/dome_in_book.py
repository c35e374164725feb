"""A dome of the book whose truth is known: its logger, the weather around it and the hours at which its vents were moved."""

from datetime import UTC, datetime, timedelta

import numpy as np

from scionary.book.commands import save_noun, write_event
from scionary.book.models import Sensor, WeatherStation
from scionary.book.readings import store_readings
from scionary.book.weather import COLUMNS, store_weather
from scionary.dome import OutsideAir, Vents, simulate_dome

NOW = datetime(2026, 6, 20, 10, tzinfo=UTC)
TODAY = NOW.date()


def hours(begin, count, *, sunny=600.0, warm=20.0, dull_days=()):
    """Rows of weather, an hour each: a sun that culminates at noon, a day's wave of warmth, moist air, a light wind."""
    time_s = begin.timestamp() + 3600.0 * np.arange(count)
    hour = (time_s / 3600.0) % 24.0
    day = ((time_s - begin.timestamp()) // 86_400).astype(int)
    light = np.where(np.isin(day, dull_days), 0.25, 1.0)
    rng = np.random.default_rng(5)
    clouds = np.repeat(rng.uniform(0.7, 1.0, count // 6 + 1), 6)[:count]
    rows = np.full((count, len(COLUMNS)), np.nan)
    values = {
        "time_s": time_s,
        "temperature_c": warm + 5.0 * np.cos(2 * np.pi * (hour - 15.0) / 24.0),
        "relative_humidity_pct": 65.0 - 15.0 * np.cos(2 * np.pi * (hour - 15.0) / 24.0),
        "wind_m_s": np.full(count, 2.0),
        "solar": sunny * light * clouds * np.maximum(np.cos(2 * np.pi * (hour - 12.0) / 24.0), 0.0),
    }
    for name, column in values.items():
        rows[:, COLUMNS.index(name)] = column
    return rows


def keep_weather(*, past_days=14, ahead_days=3, now=NOW, **sky):
    """A station with the record until now and a forecast."""
    station = save_noun(WeatherStation, {"name": "by the beck", "read_at": now}, now=now)
    begin = now - timedelta(days=past_days)
    rows = hours(begin, 24 * (past_days + ahead_days) + 1, **sky)
    ahead = rows[:, 0] > now.timestamp()
    store_weather(station, rows[~ahead], "hour")
    if ahead.any():
        store_weather(station, rows[ahead], "hour", forecast=True)
    return rows


def keep_holed(gone):
    """A sunny forecast in which the hours of the day to come that `gone` names are missing."""
    rows = keep_weather(sunny=800.0)
    hour, tomorrow = (rows[:, 0] / 3600.0) % 24.0, rows[:, 0] // 86_400 == NOW.timestamp() // 86_400 + 1
    left = (rows[:, 0] > NOW.timestamp()) & ~(tomorrow & np.isin(hour, gone))
    store_weather(WeatherStation.objects.get(), rows[left], "hour", forecast=True)


def keep_log(dome, truth, rows, *, largest_cm2, opened=(), noise_k=0.1, noise_pct=0.4):
    """What a logger in the dome wrote until now; `opened` are (days before now, percent) at which the vents were set, and written down."""
    past = rows[rows[:, 0] <= NOW.timestamp()]
    by_name = {name: past[:, COLUMNS.index(name)] for name in COLUMNS}
    wind = 0.3 * by_name["wind_m_s"]
    sun = np.interp(by_name["time_s"], by_name["time_s"] - 1800.0, by_name["solar"])  # a row's sun is the mean of the hour before it
    outside = OutsideAir(by_name["time_s"], by_name["temperature_c"], by_name["relative_humidity_pct"], sun, wind)
    moments = [(NOW - timedelta(days=days), share) for days, share in opened]
    vents = Vents([0.0, *(at.timestamp() for at, _ in moments)], [0.0, *(largest_cm2 * share / 100.0 for _, share in moments)])
    air = simulate_dome(truth, outside, vents, step_s=900.0)
    rng = np.random.default_rng(3)
    warm = air.temperature_c + rng.normal(0.0, noise_k, air.time_s.size)
    moist = np.clip(air.relative_humidity_pct + rng.normal(0.0, noise_pct, air.time_s.size), 0.0, 100.0)
    sensor = save_noun(Sensor, {"name": "Logger 1", "dome_id": dome.pk}, now=NOW)
    store_readings(sensor, np.column_stack([air.time_s, np.round(warm, 1), np.round(moist, 1)]))
    for at, share in moments:
        write_event("vented", dome.key, {"open_pct": float(share)}, happened_at=at, now=NOW)
    return air
