"""The callus clock."""

import numpy as np
import pytest

from scionary.dome import callus_degree_days
from scionary.errors import BadValue

CARDINAL = {"base_c": 5.0, "best_c": 21.0, "ceiling_c": 30.0}


@pytest.mark.parametrize(
    ("temperature_c", "degree_days"),
    [(4.0, 0.0), (5.0, 0.0), (15.0, 10.0), (21.0, 16.0), (21.9, 14.4), (25.5, 8.0), (30.0, 0.0), (38.0, 0.0)],
)
def test_a_day_at_one_temperature_by_hand(temperature_c, degree_days):
    assert callus_degree_days([temperature_c], [24.0], **CARDINAL) == pytest.approx(degree_days, abs=1e-12)


def test_half_the_time_is_half_the_sum():
    assert callus_degree_days([15.0], [12.0], **CARDINAL) == pytest.approx(5.0)


def test_unknown_time_adds_nothing():
    assert callus_degree_days([15.0, np.nan], [24.0, 24.0], **CARDINAL) == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("hours", "cardinal", "message"),
    [
        ([-1.0], CARDINAL, "hours is -1.0 at index 0"),
        ([np.nan], CARDINAL, "hours is nan at index 0"),
        ([1.0], {**CARDINAL, "base_c": 21.0}, "best_c is 21.0; allowed: between base_c 21 and ceiling_c 30"),
        ([1.0], {**CARDINAL, "ceiling_c": 20.0}, "best_c is 21.0"),
    ],
)
def test_nonsense_is_refused(hours, cardinal, message):
    with pytest.raises(BadValue, match=message):
        callus_degree_days([20.0], hours, **cardinal)
