"""Two sensors in one dome: agreement, drift, swaps, strangers, merging."""

import numpy as np
import pytest

from scionary.dome import Likeness, Which, compare_sensors, merge_sensors, order_readings

DAYS = 14
TIME_S = 1.78e9 + np.arange(0, DAYS * 86400, 600.0)


def dome_air(seed=1):
    """A closed dome that saturates at night."""
    rng = np.random.default_rng(seed)
    day = np.sin((TIME_S % 86400 / 86400 - 0.25) * 2 * np.pi)
    weather = np.repeat(rng.normal(0, 1.5, DAYS), 144)
    temperature_c = 20 + weather + 4 * day
    return temperature_c, np.clip(99 - 8 * np.maximum(day, 0) - 0.8 * weather, 60, 100)


def sensor(temperature_c, humidity_pct, *, seed, time_s=TIME_S):
    rng = np.random.default_rng(seed)
    noise = rng.normal(0, 0.1, (2, time_s.size))
    return order_readings(time_s, np.round(temperature_c + noise[0], 2), np.clip(np.round(humidity_pct + 3 * noise[1], 2), 0, 100))


def test_two_good_sensors_agree():
    t, rh = dome_air()
    found = compare_sensors(sensor(t, rh, seed=2), sensor(t, rh, seed=3))
    assert (found.temperature.likeness, found.humidity.likeness) == (Likeness.AGREE, Likeness.AGREE)
    assert found.same_air
    assert found.hours_both == pytest.approx(DAYS * 24)


def test_clocks_that_tick_apart_are_matched_to_the_nearest_reading():
    t, rh = dome_air()
    found = compare_sensors(sensor(t, rh, seed=2), sensor(t, rh, seed=3, time_s=TIME_S + 290.0))
    assert found.hours_both == pytest.approx(DAYS * 24, abs=0.5)
    assert found.temperature.likeness == Likeness.AGREE


def test_a_steady_difference_is_an_offset():
    t, rh = dome_air()
    found = compare_sensors(sensor(t + 1.2, rh - 5, seed=2), sensor(t, rh, seed=3))
    assert found.temperature.likeness == found.humidity.likeness == Likeness.OFFSET
    assert found.temperature.difference == pytest.approx(1.2, abs=0.05)
    assert found.humidity.difference == pytest.approx(-5, abs=0.5)


@pytest.mark.parametrize(("which", "drifts"), [(Which.FIRST, (-8.0, 0.0)), (Which.SECOND, (0.0, -8.0))])
def test_the_sensor_whose_nights_sink_is_the_one_that_drifted(which, drifts):
    t, rh = dome_air()
    course = np.linspace(0, 1, TIME_S.size)
    rh = rh - 1.0  # nights at 98 %, so that noise is not cut off
    found = compare_sensors(sensor(t, rh + drifts[0] * course, seed=2), sensor(t, rh + drifts[1] * course, seed=3)).humidity
    assert found.likeness == Likeness.DRIFT
    assert found.moved == which
    assert abs(found.change) == pytest.approx(6.0, abs=1.0)


def test_when_both_moved_it_is_not_known_which():
    t, rh = dome_air()
    course = np.linspace(0, 1, TIME_S.size)
    found = compare_sensors(sensor(t, rh - 5 - 4 * course, seed=2), sensor(t, rh - 5 + 4 * course, seed=3)).humidity
    assert (found.likeness, found.moved) == (Likeness.DRIFT, Which.UNKNOWN)


def test_when_one_moved_and_the_air_with_it_it_is_not_known_which():
    t, rh = dome_air()
    course = np.linspace(0, 1, TIME_S.size)
    found = compare_sensors(sensor(t, rh - 1 - 12 * course, seed=2), sensor(t, rh - 1 - 6 * course, seed=3)).humidity
    assert (found.likeness, found.moved) == (Likeness.DRIFT, Which.UNKNOWN)


def test_a_jump_that_does_not_turn_round_is_no_swap():
    t, rh = dome_air()
    jump = np.where(TIME_S[0] + 6 * 86400 > TIME_S, 1.0, 6.0)
    assert compare_sensors(sensor(t + jump, rh, seed=2), sensor(t, rh, seed=3)).temperature.likeness == Likeness.DRIFT


def test_sensors_that_changed_places_are_found_with_the_day():
    inside, outside = dome_air(), (dome_air(5)[0] - 6.0, dome_air(5)[1] - 30.0)
    half = TIME_S[0] + 6 * 86400 > TIME_S
    first = [np.where(half, a, b) for a, b in zip(inside, outside, strict=True)]
    second = [np.where(half, b, a) for a, b in zip(inside, outside, strict=True)]
    found = compare_sensors(sensor(*first, seed=2), sensor(*second, seed=3))
    assert found.temperature.likeness == found.humidity.likeness == Likeness.SWAPPED
    assert abs(found.temperature.swapped_s - (TIME_S[0] + 6 * 86400)) <= 86400
    assert not found.same_air


def test_another_domes_log_is_a_stranger():
    t, rh = dome_air()
    rng = np.random.default_rng(9)
    other = 16 + np.repeat(rng.normal(0, 4, DAYS), 144) + 0.5 * np.cos(TIME_S / 7000.0)
    found = compare_sensors(sensor(t, rh, seed=2), sensor(other, rh, seed=3))
    assert found.temperature.likeness == Likeness.UNLIKE
    assert not found.same_air


@pytest.mark.parametrize("days", [0, 2])
def test_too_few_days_say_nothing(days):
    t, rh = dome_air()
    few = slice(0, days * 144)
    found = compare_sensors(sensor(t, rh, seed=2), sensor(t[few], rh[few], seed=3, time_s=TIME_S[few]))
    assert found.humidity.likeness == Likeness.TOO_LITTLE
    assert np.isnan(found.humidity.change)


def test_merged_they_fill_each_others_gaps_and_share_the_rest():
    first = order_readings([0.0, 600.0, 1200.0], [20.0, np.nan, 20.0], [90.0, 91.0, 92.0])
    second = order_readings([10.0, 610.0, 1210.0, 1810.0], [21.0, 21.0, 21.0, 21.0], [94.0, np.nan, 96.0, 99.0])
    both = merge_sensors(first, second, offset_c=-1.0)
    assert both.time_s.tolist() == [0.0, 600.0, 1200.0, 1810.0]
    assert both.temperature_c.tolist() == [20.0, 20.0, 20.0, 20.0]
    assert both.relative_humidity_pct.tolist() == [92.0, 91.0, 94.0, 99.0]


def test_merging_with_an_empty_log_changes_nothing():
    first, none = order_readings([0.0, 600.0], [20.0, 21.0], [90.0, 91.0]), order_readings([], [], [])
    assert merge_sensors(first, none).temperature_c.tolist() == merge_sensors(none, first).temperature_c.tolist() == [20.0, 21.0]
