"""The light integral of each day of a log."""

import numpy as np
import pytest

from scionary.season import light_of_days

DAY = 86_400.0


def test_steady_light_over_a_day_is_its_flux_times_its_seconds():
    time = np.arange(0.0, 2 * DAY + 1, 600.0)
    dli, unknown = light_of_days(time, np.full(time.size, 100.0), [0.0, DAY, 2 * DAY], hold_s=1800.0)
    assert dli == pytest.approx([8.64, 8.64])
    assert unknown == pytest.approx([0.0, 0.0])


def test_a_reading_that_lasts_over_midnight_is_parted_between_the_days():
    dli, unknown = light_of_days([DAY - 900.0, DAY + 2700.0], [1000.0, 0.0], [0.0, DAY, 2 * DAY], hold_s=7200.0)
    assert dli == pytest.approx([0.9, 2.7])
    assert unknown == pytest.approx([23.75, 23.25])


def test_missing_readings_and_gaps_are_unknown_and_add_no_light():
    time = np.array([0.0, 3600.0, 7200.0, 50_000.0])
    dli, unknown = light_of_days(time, [500.0, np.nan, 500.0, 500.0], [0.0, DAY], hold_s=3600.0)
    assert dli == pytest.approx([500.0 * 7200.0 * 1e-6])
    assert unknown == pytest.approx([22.0])
