"""The water of a log: means over time, unknown where a reading is."""

import numpy as np
import pytest

from scionary.dome import absolute_humidity, dew_point, moisture, wet_bulb

HOUR = 3600.0


def test_means_weigh_by_the_time_that_a_reading_stands_for():
    found = moisture([0.0, HOUR, 1.5 * HOUR, 2.5 * HOUR, 3.5 * HOUR], [20, 10, 20, 20, 0], [50, 90, 50, 50, 50])
    for spread, measure in (
        (found.dew_point_c, dew_point),
        (found.wet_bulb_c, wet_bulb),
        (found.absolute_humidity_g_m3, absolute_humidity),
    ):
        assert spread.mean == pytest.approx((3 * measure(20.0, 50.0) + 0.5 * measure(10.0, 90.0)) / 3.5)
        assert spread.low == pytest.approx(measure(0.0, 50.0))


def test_dry_as_nothing_has_no_dew_point_and_unknown_stays_unknown():
    assert np.isnan(moisture([0.0, HOUR], [20, 20], [np.nan, np.nan]).wet_bulb_c.mean)
    found = moisture(np.arange(3) * HOUR, [20, 20, 20], [0, 50, 50])
    assert np.isfinite(found.dew_point_c.mean)
    assert found.absolute_humidity_g_m3.low == 0.0
