"""Day length and radiation, against counting minutes and by symmetry."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.season import day_length, extraterrestrial_radiation

MIDSUMMER, MIDWINTER = 172, 355


def sun_heights(latitude_deg, day_of_year, steps=20_000):
    """Sine of the sun's height at many moments of one day."""
    turn = 2 * math.pi * day_of_year / 365
    phi, delta = math.radians(latitude_deg), 0.409 * math.sin(turn - 1.39)
    hour_angle = (np.arange(steps) + 0.5) / steps * 2 * math.pi
    return math.sin(phi) * math.sin(delta) + math.cos(phi) * math.cos(delta) * np.cos(hour_angle)


@pytest.mark.parametrize("latitude_deg", [-75.0, -41.0, 0.0, 47.2, 66.0, 85.0])
@pytest.mark.parametrize("day_of_year", [1, 80, 172, 246, 355])
def test_the_day_is_as_long_as_the_sun_is_counted_above_the_horizon(latitude_deg, day_of_year):
    heights = sun_heights(latitude_deg, day_of_year)
    assert day_length(latitude_deg, day_of_year) == pytest.approx(24 * np.mean(heights > 0), abs=0.01)


@pytest.mark.parametrize("latitude_deg", [-75.0, -41.0, 0.0, 47.2, 66.0, 85.0])
@pytest.mark.parametrize("day_of_year", [1, 80, 172, 246, 355])
def test_radiation_is_the_sum_over_the_day(latitude_deg, day_of_year):
    distance = 1 + 0.033 * math.cos(2 * math.pi * day_of_year / 365)
    summed = 1440 * 0.0820 * distance * np.mean(np.maximum(sun_heights(latitude_deg, day_of_year), 0))
    assert extraterrestrial_radiation(latitude_deg, day_of_year) == pytest.approx(summed, abs=0.001)


def test_polar_day_and_polar_night():
    assert day_length(80.0, MIDSUMMER) == 24.0
    assert day_length(80.0, MIDWINTER) == 0.0
    assert extraterrestrial_radiation(80.0, MIDWINTER) == 0.0
    assert day_length(-80.0, MIDWINTER) == 24.0
    assert day_length(90.0, MIDSUMMER) == 24.0


@settings(max_examples=50, deadline=None)
@given(st.floats(-90, 90), st.integers(1, 366))
def test_day_here_and_day_across_the_equator_make_24_hours(latitude_deg, day_of_year):
    assert day_length(latitude_deg, day_of_year) + day_length(-latitude_deg, day_of_year) == pytest.approx(24.0)


def test_numbers_give_numbers_and_arrays_broadcast():
    assert type(day_length(47, 100)) is float
    assert type(extraterrestrial_radiation(47, 100)) is float
    assert day_length(np.array([[47.0], [-41.0]]), np.arange(1, 366)).shape == (2, 365)


def test_not_known_stays_not_known():
    assert np.isnan(day_length(np.nan, 100))
    assert np.isnan(extraterrestrial_radiation(47.0, [np.nan])).all()


@pytest.mark.parametrize("function", [day_length, extraterrestrial_radiation])
def test_places_and_days_that_do_not_exist_are_refused(function):
    with pytest.raises(BadValue, match=r"latitude_deg is 91\.0; allowed: -90 to 90 °"):
        function(91.0, 100)
    with pytest.raises(BadValue, match=r"day_of_year is 367\.0 at index 1; allowed: 1 to 366"):
        function(47.0, [1, 367])
