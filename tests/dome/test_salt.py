"""The salt test: an offset with its doubt, or a reason why there is none."""

import numpy as np
import pytest

from scionary.dome import salt_humidity, salt_test
from scionary.errors import BadValue

TIME_S = np.arange(0, 12 * 3600, 600.0)


def test_a_sensor_that_reads_two_low_is_told_so():
    rng = np.random.default_rng(3)
    found = salt_test(TIME_S, np.full(TIME_S.shape, 20.0), 73.47 + 0.1 * rng.standard_normal(TIME_S.size))
    assert found.offset_pct == pytest.approx(2.0, abs=0.1)
    assert 0.3 <= found.doubt_pct < 0.4
    assert found.readings == 25  # four hours at ten minutes, both ends


def test_the_hours_before_it_settled_are_not_counted():
    reading = 75.3 + 12.0 * np.exp(-TIME_S / 3600.0)
    assert abs(salt_test(TIME_S, np.full(TIME_S.shape, 25.0), reading).offset_pct) < 0.1


def test_blanks_are_left_out():
    reading = np.full(TIME_S.shape, 76.0)
    reading[::2] = np.nan
    assert salt_test(TIME_S, np.full(TIME_S.shape, 20.0), reading).offset_pct == pytest.approx(salt_humidity(20.0) - 76.0)


@pytest.mark.parametrize(
    ("reading", "message"),
    [
        (np.linspace(95, 75, TIME_S.size), r"moving by -1\.\d+ % an hour'; allowed: a reading that stands"),
        (np.full(TIME_S.shape, 98.0), r"98\.0; allowed: within 15 % of 75\.5 %"),
        (np.full(TIME_S.shape, np.nan), "0 known readings'; allowed: at least 5"),
    ],
)
def test_what_is_no_salt_test_is_refused(reading, message):
    with pytest.raises(BadValue, match=message):
        salt_test(TIME_S, np.full(TIME_S.shape, 20.0), reading)


def test_salt_takes_arrays_and_refuses_ice():
    assert salt_humidity([20.0, np.nan])[0] == salt_humidity(20)
    assert np.isnan(salt_humidity([20.0, np.nan])[1])
    with pytest.raises(BadValue, match=r"temperature_c is -5\.0 at index 1"):
        salt_humidity([20.0, -5.0])
