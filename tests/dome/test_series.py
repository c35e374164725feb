"""Readings put in order, and the time that each stands for."""

import numpy as np
import pytest

from scionary.dome.series import order_readings, stretches_of
from scionary.errors import BadValue


def test_readings_in_any_order_come_out_in_order():
    readings = order_readings([1200, 0, 600], [22, 20, 21], [92, 90, 91])
    np.testing.assert_array_equal(readings.time_s, [0, 600, 1200])
    np.testing.assert_array_equal(readings.temperature_c, [20, 21, 22])
    np.testing.assert_array_equal(readings.relative_humidity_pct, [90, 91, 92])


def test_of_the_same_moment_the_last_one_given_stays():
    readings = order_readings([600, 0, 600, 600], [21, 20, 22, 23], [91, 90, 92, 93])
    np.testing.assert_array_equal(readings.temperature_c, [20, 23])
    assert readings.duplicates == 2


def test_the_last_of_many_repeats_stays_in_a_long_log():
    time_s = np.tile(np.arange(100.0), 50)
    temperature_c = np.repeat(np.arange(50.0), 100)
    readings = order_readings(time_s, temperature_c, np.full(5000, 90.0))
    np.testing.assert_array_equal(readings.temperature_c, np.full(100, 49.0))
    assert readings.duplicates == 4900


def test_impossible_values_become_unknown_and_are_counted_by_moment():
    readings = order_readings([0, 1, 2, 3], [20, 850, -70, np.inf], [90, -1, 101, 90])
    np.testing.assert_array_equal(readings.temperature_c, [20, np.nan, np.nan, np.nan])
    np.testing.assert_array_equal(readings.relative_humidity_pct, [90, np.nan, np.nan, 90])
    assert readings.impossible == 3


def test_an_unknown_value_is_not_called_impossible():
    assert order_readings([0, 1], [np.nan, 20], [90, np.nan]).impossible == 0


def test_humidity_a_little_above_saturation_counts_as_saturated():
    assert order_readings([0], [20], [100.5]).relative_humidity_pct[0] == 100.0


def test_the_usual_interval_is_the_median_step():
    assert order_readings([0, 600, 1200, 9000], [20] * 4, [90] * 4).interval_s == 600


def test_a_reading_stands_until_the_next_and_no_longer_than_allowed():
    readings = order_readings([0, 600, 6000], [20, 21, 22], [90, 91, 92])
    stretches = stretches_of(readings, hold_s=1800)
    np.testing.assert_array_equal(stretches.from_s, [0, 600, 2400])
    np.testing.assert_array_equal(stretches.to_s, [600, 2400, 6000])
    np.testing.assert_array_equal(stretches.temperature_c, [20, 21, np.nan])


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (([0, np.nan], [20, 20], [90, 90]), r"time_s is nan at index 1; allowed: finite seconds"),
        (([0, np.inf], [20, 20], [90, 90]), r"time_s is inf at index 1"),
        (([0, 1], [20], [90, 90]), "temperature_c is '1 numbers'; allowed: as many as time_s, 2"),
        (([0, 1], [20, 20], [90, 90, 90]), "relative_humidity_pct is '3 numbers'; allowed: as many as time_s, 2"),
        ((0, 20, 90), "time_s is .* allowed: one row of numbers"),
    ],
)
def test_columns_that_do_not_match_are_refused(columns, message):
    with pytest.raises(BadValue, match=message):
        order_readings(*columns)
