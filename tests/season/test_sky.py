"""The sun's height and a clear sky."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.season import clear_sky_radiation, day_length, sun_height

MIDSUMMER_NOON = np.datetime64("2025-06-21T12:00", "s").astype(float)


def test_the_sun_stands_overhead_in_the_tropics_and_low_in_winter():
    assert sun_height(23.44, 0.0, MIDSUMMER_NOON) > 89.0
    assert sun_height(-43.0, 0.0, MIDSUMMER_NOON) == pytest.approx(90 - 43 - 23.44, abs=0.2)


def test_noon_moves_with_the_longitude():
    assert sun_height(47.0, 90.0, MIDSUMMER_NOON - 6 * 3600) == pytest.approx(sun_height(47.0, 0.0, MIDSUMMER_NOON), abs=0.05)


@settings(max_examples=20, deadline=None)
@given(st.floats(-60, 60), st.integers(1, 365))
def test_hours_of_sun_are_the_day_length(latitude_deg, day):
    start = np.datetime64("2025-01-01", "s").astype(float) + (day - 1) * 86400
    heights = sun_height(latitude_deg, 0.0, start + np.arange(0, 86400, 120))
    assert 24 * np.mean(heights > 0) == pytest.approx(day_length(latitude_deg, day), abs=0.12)


def test_no_light_below_the_horizon_and_not_known_stays_so():
    assert clear_sky_radiation([-30.0, 0.0]).tolist() == [0.0, 0.0]
    assert np.isnan(clear_sky_radiation(np.nan))
    assert type(clear_sky_radiation(45.0)) is float


def test_polar_day_and_night_by_the_hour():
    hours = 3600.0 * np.arange(24)
    assert np.all(sun_height(80.0, 0.0, MIDSUMMER_NOON + hours) > 0)
    assert np.all(sun_height(-80.0, 0.0, MIDSUMMER_NOON + hours) < 0)


def test_places_that_do_not_exist_are_refused():
    with pytest.raises(BadValue, match="longitude_deg is 181"):
        sun_height(47.0, 181.0, 0.0)
