"""Degree days by the mean of a day's extremes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.season import growing_degree_days


@pytest.mark.parametrize(
    ("highest", "lowest", "upper", "expected"),
    [
        (24.0, 12.0, None, 8.0),
        (14.0, 2.0, None, 0.0),
        (10.0, 10.0, None, 0.0),
        (36.0, 20.0, 30.0, 15.0),
        (36.0, 32.0, 30.0, 20.0),
        (24.0, 12.0, 30.0, 8.0),
    ],
)
def test_days_by_hand(highest, lowest, upper, expected):
    assert growing_degree_days(highest, lowest, base_c=10.0, upper_c=upper) == pytest.approx(expected)


@settings(max_examples=50, deadline=None)
@given(st.floats(-30, 45), st.floats(0, 20), st.floats(0, 15), st.floats(0.1, 30))
def test_cutting_the_warmth_never_adds_and_cold_never_takes_away(lowest, rise, base_c, window):
    highest = lowest + rise
    whole = growing_degree_days(highest, lowest, base_c=base_c)
    cut = growing_degree_days(highest, lowest, base_c=base_c, upper_c=base_c + window)
    assert 0 <= cut <= whole
    assert cut <= window + 1e-9


def test_numbers_give_a_number_and_an_unknown_day_stays_unknown():
    assert type(growing_degree_days(24, 12, base_c=10)) is float
    np.testing.assert_array_equal(growing_degree_days([24, np.nan, 20], [12, 10, np.nan], base_c=10), [8, np.nan, np.nan])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: growing_degree_days([20, 10], [10, 12], base_c=10),
            r"temperature_min_c is 12\.0 at index 1; .*the same day's",
        ),
        (lambda: growing_degree_days(99, 10, base_c=10), r"temperature_max_c is 99\.0; allowed: -90 to 60 °C"),
        (lambda: growing_degree_days(20, 10, base_c=10, upper_c=10), "upper_c is 10; allowed: above base_c, which is 10"),
        (lambda: growing_degree_days(20, 10, base_c=100), "base_c is 100.0"),
    ],
)
def test_crossed_or_impossible_values_are_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
