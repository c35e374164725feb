"""How unlike its usual a log is."""

import numpy as np

from scionary.dome import order_readings, unlike_usual


def weeks(days, *, shift_c=0.0, shift_pct=0.0, seed=1, begin_s=0.0):
    time_s = begin_s + np.arange(0, days * 86400, 900.0)
    rng = np.random.default_rng(seed)
    day = np.sin((time_s % 86400 / 86400 - 0.25) * 2 * np.pi)
    temperature_c = 20 + 4 * day + rng.normal(0, 1, time_s.size) + shift_c
    return order_readings(time_s, temperature_c, 92 - 5 * day + rng.normal(0, 1, time_s.size) + shift_pct)


def test_another_week_of_the_same_dome_is_usual():
    found = unlike_usual(weeks(7, seed=2, begin_s=86400.0 * 30), weeks(21))
    assert found.temperature_share < 0.02
    assert not found.asks


def test_fahrenheit_read_as_celsius_is_nowhere_near_the_usual():
    usual, log = weeks(21), weeks(7, seed=2)
    wrong = order_readings(log.time_s, log.temperature_c * 1.8 + 32.0, log.relative_humidity_pct)
    assert unlike_usual(wrong, usual).temperature_share == 1.0


def test_a_dry_room_is_not_this_dome():
    found = unlike_usual(weeks(7, shift_pct=-40, seed=2), weeks(21))
    assert found.asks
    assert found.humidity_shift_pct < -35


def test_with_too_little_written_before_nothing_is_said():
    found = unlike_usual(weeks(7), order_readings([0.0], [20.0], [90.0]))
    assert np.isnan(found.temperature_share)
    assert not found.asks
