"""The air report, against a plain loop over the readings and by hand."""

import itertools
import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.dome import AirLimits, Kind, air_report, vapour_pressure_deficit
from scionary.errors import BadValue

HOUR = 3600.0


def rough_log(seed, count=300):
    """A log with gaps, blanks, impossible values, repeats, in no order."""
    rng = np.random.default_rng(seed)
    time_s = 1.78e9 + np.cumsum(rng.choice([600.0, 600.0, 600.0, 900.0, 20_000.0], size=count, p=[0.4, 0.3, 0.2, 0.08, 0.02]))
    temperature_c = np.round(22 + 7 * rng.standard_normal(count), 1)
    relative_humidity_pct = np.clip(np.round(90 + 8 * rng.standard_normal(count), 1), 0, 100)
    temperature_c[rng.random(count) < 0.05] = np.nan
    relative_humidity_pct[rng.random(count) < 0.05] = np.nan
    temperature_c[rng.random(count) < 0.02] = 850.0
    again = rng.integers(0, count, size=20)
    order = rng.permutation(count + 20)
    columns = (time_s, temperature_c, relative_humidity_pct)
    return [np.concatenate([column, column[again]])[order] for column in columns]


def hours_by_plain_loop(time_s, temperature_c, relative_humidity_pct, limits):
    """One reading after another, no arrays."""
    last_given = {}
    for moment, t, rh in zip(time_s, temperature_c, relative_humidity_pct, strict=True):
        last_given[moment] = (t if -60 <= t <= 80 else None, rh if 0 <= rh <= 100.5 else None)
    moments = sorted(last_given)
    steps = sorted(after - before for before, after in itertools.pairwise(moments))
    middle = len(steps) // 2
    usual = steps[middle] if len(steps) % 2 else (steps[middle - 1] + steps[middle]) / 2
    names = ("span", "covered", "temperature", "humidity", "band", "hot", "dry", "warmth", "deficit")
    sums = dict.fromkeys(names, 0.0)
    for before, after in itertools.pairwise(moments):
        hours = min(after - before, limits.gap_after_intervals * usual, limits.hold_most_s) / HOUR
        t, rh = last_given[before]
        sums["span"] += (after - before) / HOUR
        if t is not None:
            sums["temperature"] += hours
            sums["warmth"] += hours * t
            sums["band"] += hours if limits.callus_low_c <= t <= limits.callus_high_c else 0
            sums["hot"] += hours if t > limits.heat_limit_c else 0
        if rh is not None:
            sums["humidity"] += hours
            sums["dry"] += hours if rh < limits.humidity_low_pct else 0
        if t is not None and rh is not None:
            sums["covered"] += hours
            sums["deficit"] += hours * vapour_pressure_deficit(t, rh)
    return sums


@pytest.mark.parametrize("seed", range(5))
def test_hours_agree_with_a_plain_loop(seed):
    limits = AirLimits()
    log = rough_log(seed)
    report, plain = air_report(*log, limits), hours_by_plain_loop(*log, limits)
    assert report.hours_covered == pytest.approx(plain["covered"])
    assert report.hours_unknown == pytest.approx(plain["span"] - plain["covered"])
    assert report.hours_temperature_known == pytest.approx(plain["temperature"])
    assert report.hours_humidity_known == pytest.approx(plain["humidity"])
    assert report.hours_in_callus_band == pytest.approx(plain["band"])
    assert report.hours_above_heat_limit == pytest.approx(plain["hot"])
    assert report.hours_below_humidity_limit == pytest.approx(plain["dry"])
    assert report.share_in_callus_band == pytest.approx(plain["band"] / plain["temperature"])
    assert report.temperature_c.mean == pytest.approx(plain["warmth"] / plain["temperature"])
    assert report.vapour_pressure_deficit_kpa.mean == pytest.approx(plain["deficit"] / plain["covered"])
    assert report.duplicates == 20
    assert report.impossible > 0


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_hours_and_episodes_tell_the_same_story(seed):
    report = air_report(*rough_log(seed, count=80))
    total = {kind: sum(each.hours for each in report.episodes if each.kind is kind) for kind in Kind}
    assert total[Kind.HEAT] == pytest.approx(report.hours_above_heat_limit)
    assert total[Kind.DRY] == pytest.approx(report.hours_below_humidity_limit)
    assert total[Kind.GAP] == pytest.approx(report.hours_unknown)
    assert report.hours_covered + report.hours_unknown == pytest.approx((report.to_s - report.from_s) / HOUR)


def test_the_order_of_lines_does_not_matter():
    time_s, temperature_c, relative_humidity_pct = (column[:200] for column in rough_log(3, count=200))
    _, first = np.unique(time_s, return_index=True)
    columns = [column[first] for column in (time_s, temperature_c, relative_humidity_pct)]
    backwards = [column[::-1] for column in columns]
    assert air_report(*columns).to_dict() == air_report(*backwards).to_dict()


def test_a_day_by_hand():
    time_s = np.arange(25) * HOUR
    temperature_c = [18.0 + 0.01 * i for i in range(12)] + [31.0, 33.0] + [22.0 + 0.01 * i for i in range(11)]
    report = air_report(time_s, temperature_c, [90.0 + 0.1 * (i % 3) for i in range(25)])
    assert report.interval_s == HOUR
    assert (report.hours_covered, report.hours_unknown) == (24.0, 0.0)
    assert (report.hours_in_callus_band, report.hours_above_heat_limit) == (22.0, 2.0)
    assert report.share_in_callus_band == pytest.approx(22 / 24)
    assert (report.temperature_c.low, report.temperature_c.high) == (18.0, 33.0)


def test_callus_clock_of_a_steady_dome_by_hand():
    report = air_report([0.0, HOUR, 2 * HOUR, 3 * HOUR], [15.0] * 4, [90, 91, 90, 91], AirLimits(callus_base_c=5.0))
    assert report.callus_degree_days == pytest.approx(10.0 * 3 / 24)
    assert report.callus.days_low == pytest.approx(10.0 / 20.0 * 3 / 24)


def test_hours_after_a_lost_logger_are_unknown_and_not_fine():
    report = air_report(np.array([0, 1, 2, 100]) * HOUR, [20, 21, 20, 21], [90, 91, 90, 91])
    assert report.hours_covered == 4.0
    assert report.hours_unknown == 96.0
    assert report.share_in_callus_band == 1.0


def test_the_longest_time_that_a_reading_stands_for_can_be_given_in_seconds():
    report = air_report(np.array([0, 1, 2, 100]) * HOUR, [20, 21, 20, 21], [90, 91, 90, 91], AirLimits(gap_after_s=HOUR))
    assert (report.hours_covered, report.hours_unknown) == (3.0, 97.0)


def test_stuck_hours_are_flagged_and_still_counted():
    report = air_report(np.arange(9) * HOUR, [21.0] * 9, [90 + i % 2 for i in range(9)])
    assert report.hours_stuck == report.hours_covered == 8.0


def test_mean_weighs_readings_by_the_time_they_stand_for():
    report = air_report([0.0, 600.0, 1200.0, 2400.0], [10, 10, 20, 99], [90, 91, 90, 91])
    assert report.temperature_c.mean == pytest.approx(15.0)
    assert report.temperature_c.high == 20.0


def test_an_empty_log_says_that_nothing_is_known():
    report = air_report([], [], [])
    assert (report.readings, report.hours_covered, report.episodes) == (0, 0.0, ())
    assert report.to_dict()["share_in_callus_band"] is None


def test_one_reading_stands_for_no_time_but_shows_its_value():
    report = air_report([5.0], [20.0], [90.0])
    assert (report.hours_covered, report.hours_unknown) == (0.0, 0.0)
    assert (report.temperature_c.mean, report.from_s, report.to_s) == (20.0, 5.0, 5.0)


def test_a_report_is_plain_enough_for_strict_json():
    log = rough_log(7)
    text = json.dumps(air_report(*log).to_dict(), allow_nan=False)
    assert {"episodes", "assumptions", "vapour_pressure_deficit_kpa"} <= json.loads(text).keys()


def test_the_limits_used_travel_with_the_answer():
    report = air_report([0.0], [20.0], [90.0], AirLimits(heat_limit_c=28.0))
    assert {each["name"]: each["value"] for each in report.assumptions}["heat_limit_c"] == 28.0


def test_columns_of_different_length_are_refused():
    with pytest.raises(BadValue, match="temperature_c is '2 numbers'; allowed: as many as time_s, 1"):
        air_report([0.0], [20.0, 21.0], [90.0])


def test_day_and_night_are_told_apart_by_the_clock_over_a_change_of_clocks():
    time_s = np.arange(49) * HOUR
    warm = [(6 <= (hour + 1 if hour < 24 else hour + 2) % 24 < 18) for hour in range(49)]
    temperature_c = np.where(warm, 25.0, 15.0) + 0.01 * np.arange(49)
    report = air_report(time_s, temperature_c, np.full(49, 90.0), utc_offset_s=([0.0, 24 * HOUR], [HOUR, 2 * HOUR]))
    assert report.day.temperature_c == pytest.approx(25.2, abs=0.1)
    assert report.night.temperature_c == pytest.approx(15.2, abs=0.1)
    assert report.day.hours + report.night.hours == pytest.approx(48.0)


def test_a_sensor_at_its_end_for_two_days_is_flagged_and_its_hours_counted():
    humidity = [99.0] + [100.0] * 48 + [97.0, 97.1]
    report = air_report(np.arange(51) * HOUR, 20.0 + 0.1 * (np.arange(51) % 7), humidity)
    full = [each for each in report.episodes if each.kind is Kind.FULL]
    assert [(each.hours, each.worst) for each in full] == [(48.0, 100.0)]
    assert report.hours_full == 48.0
    shorter = air_report(np.arange(50) * HOUR, 20.0 + 0.1 * (np.arange(50) % 7), [99.0, *[100.0] * 47, 97.0, 97.1])
    assert not [each for each in shorter.episodes if each.kind is Kind.FULL]


def test_a_log_of_one_reading_a_week_is_unknown_between_them_and_not_stuck():
    report = air_report(np.arange(4) * 7 * 24 * HOUR, [20, 21, 22, 20], [91, 91, 91, 92])
    assert report.hours_covered == pytest.approx(3 * 2)
    assert report.hours_unknown == pytest.approx(21 * 24 - 3 * 2)
    assert report.hours_in_callus_band == pytest.approx(6)
    assert report.hours_stuck == 0


def test_a_reading_a_day_of_unlike_values_is_no_stuck_sensor_even_where_a_person_lets_it_stand():
    report = air_report(np.arange(18) * 24 * HOUR, 20 + np.arange(18) % 3, 80 + np.arange(18) % 3, AirLimits(gap_after_s=72 * HOUR))
    assert report.hours_covered == pytest.approx(17 * 24)
    assert report.hours_stuck == 0


def test_the_longest_hold_is_an_assumption_that_can_be_moved():
    report = air_report(np.arange(4) * 12 * HOUR, [20, 21, 22, 20], [91, 92, 91, 92], AirLimits(hold_most_s=12 * HOUR))
    assert report.hours_unknown == 0
    assert "hold_most_s" in [each["name"] for each in report.assumptions]
