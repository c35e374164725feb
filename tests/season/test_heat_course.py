"""Heat from the shortest day on, on both sides of the equator."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import heat_course


def days_between(first, last):
    return np.arange(np.datetime64(first), np.datetime64(last) + 1)


def test_the_sum_begins_anew_at_the_shortest_day():
    days = days_between("2023-12-21", "2025-12-31")
    found = heat_course(days, np.full(days.size, 8.0), np.full(days.size, 4.0))
    assert found.year.tolist() == [2024, 2025, 2026]
    assert found.on("2023-12-21") == (1.0, 1.0)
    assert found.on("2024-12-19") == (365.0, 365.0)
    assert found.on("2024-12-21") == (1.0, 1.0)


def test_the_south_is_turned_by_half_a_year():
    days = days_between("2024-06-21", "2025-06-20")
    found = heat_course(days, np.full(days.size, 8.0), np.full(days.size, 4.0), southern=True)
    assert (found.year.tolist(), str(found.start[0]), found.on("2024-06-30")) == ([2024], "2024-06-21", (10.0, 10.0))


def test_missing_days_leave_a_range():
    days = days_between("2024-12-21", "2025-02-28")
    high = np.full(days.size, 8.0)
    high[10:12], high[14] = np.nan, 14.0
    found = heat_course(days, high, np.full(days.size, 4.0))
    low, top = found.on("2025-01-31")
    assert (low, top) == (40.0 + 3.0, 40.0 + 3.0 + 2 * 4.0)


def test_a_record_that_begins_in_spring_has_no_sum_for_that_year():
    days = days_between("2025-03-01", "2026-02-01")
    found = heat_course(days, np.full(days.size, 8.0), np.full(days.size, 4.0))
    assert np.isnan(found.on("2025-06-01")[0])
    assert found.on("2025-12-22") == (2.0, 2.0)
    assert np.isnan(found.on("2027-01-01")[0])


def test_a_day_after_the_record_has_no_sum():
    days = days_between("2024-12-21", "2025-02-28")
    assert np.isnan(heat_course(days, np.full(days.size, 8.0), np.full(days.size, 4.0)).on("2025-03-01")[0])


def test_days_that_do_not_rise_are_refused():
    with pytest.raises(BadValue, match="each later than the one before"):
        heat_course(["2025-03-02", "2025-03-01"], [8.0, 8.0], [4.0, 4.0])
    with pytest.raises(BadValue, match="as many as dates, 2"):
        heat_course(["2025-03-01", "2025-03-02"], [8.0], [4.0])
