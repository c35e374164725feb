"""Hours by year and by day, and hours made from extremes."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import days_of_hours, hours_by_year, hours_from_extremes

NOON = np.datetime64("2025-03-30T12:00", "s").astype(float)


def test_standard_time_knows_no_change_of_clocks():
    time_s = np.arange("2024-12-31T23", "2025-12-31T23", dtype="datetime64[h]").astype("datetime64[s]").astype(float)
    found = hours_by_year(time_s, np.full(time_s.size, 7.0), utc_offset_h=1.0)
    assert (found.first_year, found.hours_missing.tolist()) == (2025, [0])


def test_readings_of_one_hour_are_averaged_and_missing_hours_stay_missing():
    found = hours_by_year([NOON, NOON + 1800, NOON + 7200], [10.0, 14.0, np.nan], utc_offset_h=0.0)
    day = found.temperature_c[0, 88]
    assert day[12] == 12.0
    assert found.hours_missing.tolist() == [8759]
    assert found.in_a_row().shape == (8760,)


def test_a_day_with_too_few_hours_is_not_known():
    time_s = NOON - 12 * 3600 + 3600.0 * np.arange(43)
    found = days_of_hours(time_s, np.arange(43.0), utc_offset_h=0.0)
    assert found.dates.astype(str).tolist() == ["2025-03-30", "2025-03-31"]
    assert (found.highest[0], found.lowest[0], found.mean[0]) == (23.0, 0.0, 11.5)
    assert np.isnan(found.highest[1])
    assert found.hours_known.tolist() == [24, 19]


def test_the_mean_weighs_hours_not_readings():
    time_s = np.concatenate([NOON - 12 * 3600 + 3600.0 * np.arange(24), NOON + 60.0 * np.arange(1, 50)])
    values = np.concatenate([np.full(24, 5.0), np.full(49, 29.0)])
    found = days_of_hours(time_s, values, utc_offset_h=0.0)
    assert found.mean[0] == pytest.approx(5.0 + (29.0 - 5.0) * 49 / 50 / 24)


def test_an_hour_made_from_extremes_stays_between_them():
    days = np.arange(1, 366)
    high, low = 15 + 10 * np.cos(days / 58), 5 + 10 * np.cos(days / 58)
    hours = hours_from_extremes(47.2, days, high, low)
    assert hours.shape == (365, 24)
    assert np.all(hours <= np.maximum(high, np.roll(high, 1))[:, None] + 1e-9)
    assert np.all(hours >= np.minimum(low, np.roll(low, -1))[:, None] - 1e-9)
    assert np.abs(hours.max(axis=1) - high).max() < 0.3


def test_the_polar_night_stays_at_the_mean_and_a_missing_day_is_missing():
    assert hours_from_extremes(80.0, [355], [-20.0], [-30.0]).tolist() == [[-25.0] * 24]
    hours = hours_from_extremes(47.2, [100, 101, 102], [15.0, np.nan, 15.0], [5.0, 5.0, 5.0])
    assert np.isnan(hours[1, 12])
    assert not np.isnan(hours[2, 12])


@pytest.mark.parametrize(
    ("time_s", "values", "message"),
    [([], [], "time_s is '0 times'"), ([1.0], [1.0, 2.0], "as many as readings, 2"), ([np.nan], [1.0], "known seconds since 1970")],
)
def test_times_that_cannot_be_are_refused(time_s, values, message):
    with pytest.raises(BadValue, match=message):
        hours_by_year(time_s, values, utc_offset_h=0.0)
