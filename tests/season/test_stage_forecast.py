"""The day on which a stage is reached."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import fit_heat_sums, heat_course, stage_forecast, weather_courses

FIT = fit_heat_sums(["A"] * 6, list("123456"), np.linspace(140, 160, 6), np.linspace(140, 160, 6))


def test_steady_warmth_reaches_the_sum_where_it_must():
    found = stage_forecast(FIT, 100.0, np.full((1, 40), 5.0), "2025-04-01", cultivar="A")
    assert found.day(0.5) == "2025-04-11"
    assert np.all(np.diff(found.chance) >= 0.0)
    assert found.day(0.05) < found.day(0.5) < found.day(0.95)


def test_years_that_differ_widen_the_range():
    steady = stage_forecast(FIT, 100.0, np.full((4, 60), 3.0), "2025-04-01", cultivar="A")
    mixed = stage_forecast(FIT, 100.0, np.repeat([[1.5], [2.0], [4.5], [6.0]], 60, axis=1), "2025-04-01", cultivar="A")

    def width(found):
        return np.datetime64(found.day(0.9)) - np.datetime64(found.day(0.1))

    assert width(mixed) > width(steady)
    assert mixed.years == 4


def test_seen_shut_today_is_not_open_today():
    plain, seen = (stage_forecast(FIT, 150.0, np.full((1, 20), 4.0), "2025-04-12", cultivar="A", reached=told) for told in (None, False))
    assert seen.chance[0] < plain.chance[0]


def test_days_that_do_not_reach_say_so():
    assert stage_forecast(FIT, 0.0, np.full((1, 5), 1.0), "2025-01-01", cultivar="A").day(0.5) is None


def test_courses_come_from_whole_years_before():
    days = np.arange(np.datetime64("2020-12-21"), np.datetime64("2025-04-01"))
    high = 9.0 + np.arange(days.size) // 400
    high[days == np.datetime64("2023-04-15")] = np.nan
    found = weather_courses(heat_course(days, high, np.full(days.size, 5.0)), "2025-04-01", 30)
    assert found.shape == (3, 30)


def test_no_record_before_gives_no_course_and_no_guess():
    days = np.arange(np.datetime64("2024-12-21"), np.datetime64("2025-04-01"))
    found = weather_courses(heat_course(days, np.full(days.size, 9.0), np.full(days.size, 5.0)), "2025-03-31", 30)
    assert found.shape == (0, 30)
    with pytest.raises(BadValue, match="one row a course of weather"):
        stage_forecast(FIT, 100.0, found, "2025-03-31")


def test_weather_that_is_not_known_is_refused():
    with pytest.raises(BadValue, match="all of it known"):
        stage_forecast(FIT, 100.0, [[1.0, np.nan]], "2025-04-01")


def test_courses_go_over_the_shortest_day():
    days = np.arange(np.datetime64("2020-12-21"), np.datetime64("2025-12-10"))
    found = weather_courses(heat_course(days, np.full(days.size, 9.0), np.full(days.size, 5.0)), "2025-12-09", 30)
    assert found.shape == (4, 30)
    assert weather_courses(heat_course(days, np.full(days.size, 9.0), np.full(days.size, 5.0)), "2019-12-09", 30).shape == (0, 30)
