"""Episodes in a log: heat, dryness, gaps, stuck sensors."""

import numpy as np

from scionary.dome import AirLimits, Kind, Measure, air_report

HOUR = 3600.0


def episodes_of(temperature_c, relative_humidity_pct, *, time_s=None, limits=None):
    time_s = np.arange(len(temperature_c)) * HOUR if time_s is None else time_s
    return air_report(time_s, temperature_c, relative_humidity_pct, limits).episodes


def moving(count, start, step):
    """A sensor that moves at every reading."""
    return [start + step * (i % 2) for i in range(count)]


def test_heat_runs_from_the_first_hot_reading_to_the_next_cool_one():
    (heat,) = episodes_of([20, 31, 34, 32, 21, 20], moving(6, 90, 1))
    assert (heat.kind, heat.measure) == (Kind.HEAT, Measure.TEMPERATURE)
    assert (heat.from_s, heat.to_s, heat.hours) == (HOUR, 4 * HOUR, 3.0)
    assert heat.worst == 34.0


def test_at_the_limit_is_neither_hot_nor_dry():
    assert episodes_of([30, 29, 30], [85, 86, 85]) == ()


def test_dryness_shows_its_lowest_humidity():
    (dry,) = episodes_of(moving(6, 20, 1), [90, 80, 61.5, 84, 90, 91])
    assert (dry.kind, dry.measure, dry.worst, dry.hours) == (Kind.DRY, Measure.HUMIDITY, 61.5, 3.0)


def test_two_hot_afternoons_are_two_episodes_each_with_its_own_worst():
    found = episodes_of([20, 31, 35, 20, 32, 31, 20], moving(7, 90, 1))
    assert [(each.worst, each.hours) for each in found] == [(35.0, 2.0), (32.0, 2.0)]


def test_heat_at_the_end_of_a_log_is_found():
    (heat,) = episodes_of([20, 21, 33, 34], moving(4, 90, 1))
    assert (heat.from_s, heat.to_s, heat.worst) == (2 * HOUR, 3 * HOUR, 33.0)


def test_a_gap_parts_heat_and_is_itself_shown():
    time_s = np.array([0, 1, 2, 12, 13, 14]) * HOUR
    found = episodes_of([20, 33, 34, 35, 33, 20], moving(6, 90, 1), time_s=time_s)
    assert [each.kind for each in found] == [Kind.HEAT, Kind.GAP, Kind.HEAT]
    gap = found[1]
    assert (gap.from_s, gap.to_s, gap.measure) == (4 * HOUR, 12 * HOUR, Measure.BOTH)
    assert np.isnan(gap.worst)
    assert gap.to_dict()["worst"] is None


def test_one_failed_sensor_is_a_gap_of_that_sensor():
    found = episodes_of([20, np.nan, 21, 20], [90, 91, np.nan, 92])
    assert [(each.kind, each.measure) for each in found] == [(Kind.GAP, Measure.TEMPERATURE), (Kind.GAP, Measure.HUMIDITY)]


def test_a_thermometer_that_stands_still_for_six_hours_is_stuck():
    (stuck,) = episodes_of([20] + [21.3] * 6 + [20, 21], moving(9, 90, 1))
    assert (stuck.kind, stuck.measure, stuck.worst, stuck.hours) == (Kind.STUCK, Measure.TEMPERATURE, 21.3, 6.0)


def test_five_hours_are_not_yet_stuck():
    assert episodes_of([20] + [21.3] * 5 + [20, 21], moving(8, 90, 1)) == ()


def test_humidity_may_stand_still_in_wet_air_only():
    assert episodes_of(moving(9, 20, 1), [95.0] * 9) == ()
    (stuck,) = episodes_of(moving(9, 20, 1), [94.9] * 9)
    assert (stuck.kind, stuck.measure, stuck.worst) == (Kind.STUCK, Measure.HUMIDITY, 94.9)


def test_stuck_at_one_value_and_then_at_another_are_two_episodes():
    found = episodes_of([21.0] * 7 + [22.0] * 8, moving(15, 90, 1))
    assert [(each.worst, each.hours) for each in found] == [(21.0, 7.0), (22.0, 7.0)]


def test_a_gap_ends_what_looks_stuck():
    time_s = np.array([0, 1, 2, 3, 4, 23, 24, 25, 26]) * HOUR
    found = episodes_of([21.0] * 9, moving(9, 90, 1), time_s=time_s)
    assert [each.kind for each in found] == [Kind.STUCK, Kind.GAP]
    assert found[0].to_s == found[1].from_s == 6 * HOUR


def test_the_person_decides_what_is_hot_and_dry():
    limits = AirLimits(heat_limit_c=26.0, humidity_low_pct=70.0)
    found = episodes_of([20, 27, 20, 21], [90, 91, 69, 90], limits=limits)
    assert [each.kind for each in found] == [Kind.HEAT, Kind.DRY]
