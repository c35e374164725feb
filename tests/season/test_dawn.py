"""The hour of cutting, and an hourly record at it."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import cutting_times, readings_at, summed_before, sun_height


def shown(seconds):
    return str(np.datetime64(int(seconds), "s"))[:16]


def test_it_is_soon_after_sunrise_at_the_place():
    for place in ((47.2, 9.6), (-41.0, 174.0), (45.0, -122.0)):
        for day in ("2025-01-15", "2025-07-20"):
            moment = cutting_times(day, *place)[0]
            assert 2.0 < sun_height(*place, moment) < 20.0
            assert sun_height(*place, moment + 3600) > sun_height(*place, moment)


def test_the_polar_day_has_a_morning_too():
    assert shown(cutting_times("2025-06-21", 80.0, 0.0)[0]) == "2025-06-21T07:30"
    assert shown(cutting_times("2025-12-21", 80.0, 0.0)[0]) == "2025-12-21T07:30"


def test_the_nearest_known_reading_counts_within_an_hour():
    time_s = 3600.0 * np.arange(6)
    found = readings_at(time_s, [1.0, 2.0, np.nan, np.nan, np.nan, 6.0], [1700.0, 5400.0, 3600.0 * 3, 3600.0 * 5.9, 3600.0 * 7])
    assert found[[0, 1, 3]].tolist() == [1.0, 2.0, 6.0]
    assert np.isnan(found[[2, 4]]).all()
    assert readings_at([0.0], [3.0], [10.0]).tolist() == [3.0]
    assert np.isnan(readings_at([0.0], [np.nan], [10.0])[0])


def test_rain_of_the_hours_before():
    time_s = 3600.0 * np.arange(1, 13)
    rain = np.array([0, 0, 0, 0, 1.0, 2.0, 0, 0, 0, 0, 0, np.nan])
    assert summed_before(time_s, rain, [3600.0 * 6, 3600.0 * 11]).tolist() == [3.0, 2.0]
    assert np.isnan(summed_before(time_s, rain, [3600.0 * 12, 3600.0 * 40])).all()


def test_a_record_out_of_order_is_refused():
    with pytest.raises(BadValue, match="rising"):
        readings_at([2.0, 1.0], [1.0, 1.0], [1.0])
    with pytest.raises(BadValue, match="hours is 0"):
        summed_before([1.0], [1.0], [1.0], hours=0.0)
