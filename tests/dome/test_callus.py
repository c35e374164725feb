"""The callus clock."""

import numpy as np
import pytest

from scionary.dome import AirLimits, air_report, callus_degree_days
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


DAY = 86400.0


def clock_at(temperature_c, days, *, grafted_s=None, hours_a_reading=1):
    """A steady dome, one reading every so many hours."""
    time_s = np.arange(0, days * 24 + 1, hours_a_reading) * 3600.0
    temperature = np.broadcast_to(temperature_c, time_s.shape)
    return air_report(time_s, temperature, np.full(time_s.shape, 95.0), grafted_s=grafted_s).callus


def test_a_day_at_the_best_temperature_is_a_day_and_halfway_up_is_half_a_day():
    assert clock_at(25.0, 4).days_low == pytest.approx(4.0)
    assert clock_at(18.5, 4).days_low == pytest.approx(2.0)


def test_the_check_date_goes_on_at_the_speed_of_the_last_days():
    clock = clock_at(18.5, 10)
    assert clock.speed == pytest.approx(0.5)
    assert clock.check_s / DAY == pytest.approx(42.0)
    assert (clock.check_earliest_s / DAY, clock.check_latest_s / DAY) == (pytest.approx(28.0), pytest.approx(56.0))


def test_a_date_that_lies_in_the_log_is_found_there():
    clock = clock_at(25.0, 40)
    assert clock.check_s / DAY == pytest.approx(21.0)
    assert clock.check_earliest_s < clock.check_s < clock.check_latest_s


def test_a_cold_dome_has_no_check_date():
    clock = clock_at(8.0, 10)
    assert clock.days_low == 0.0
    assert np.isnan(clock.check_s)
    assert clock.to_dict()["check_s"] is None


def test_unknown_days_widen_the_range_and_move_nothing_in_silence():
    time_s = np.concatenate([np.arange(0, 24 * 5), np.arange(24 * 9, 24 * 12 + 1)]) * 3600.0
    clock = air_report(time_s, np.full(time_s.shape, 25.0), np.full(time_s.shape, 95.0)).callus
    assert clock.days_high - clock.days_low == pytest.approx(4.0, abs=0.1)
    assert clock.check_earliest_s < clock_at(25.0, 12).check_s < clock.check_latest_s


def test_days_between_grafting_and_the_first_reading_are_unknown():
    clock = clock_at(25.0, 3, grafted_s=-2 * DAY)
    assert (clock.days_low, clock.days_high) == (pytest.approx(3.0), pytest.approx(5.0))


def test_readings_from_before_the_graft_do_not_count():
    assert clock_at(25.0, 10, grafted_s=6 * DAY).days_low == pytest.approx(4.0)


def test_a_warmer_dome_is_ready_earlier_up_to_the_best_temperature():
    dates = [clock_at(t, 5).check_s for t in (16.0, 19.0, 22.0, 25.0)]
    assert dates == sorted(dates, reverse=True)
    assert clock_at(29.0, 5).check_s > dates[-1]


def test_an_empty_log_has_no_clock():
    assert np.isnan(air_report([], [], []).callus.check_s)


def test_other_cardinal_temperatures_are_heeded():
    limits = AirLimits(callus_base_c=5.0, callus_best_c=21.0)
    hours = np.arange(0.0, DAY + 1.0, 3600.0)
    assert air_report(hours, 13.0 + 0 * hours, 95.0 + 0 * hours, limits).callus.days_low == pytest.approx(0.5, rel=0.05)
