"""Humidity of the air: formulas, ranges, shapes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.dome import (
    absolute_humidity,
    dew_point,
    saturation_vapour_pressure,
    vapour_pressure,
    vapour_pressure_deficit,
    wet_bulb,
)
from scionary.errors import BadValue

temperatures = st.floats(-60, 80)
humidities = st.floats(0.01, 100.5)


def test_saturated_air_has_no_deficit():
    assert vapour_pressure_deficit(21.0, 100.0) == 0.0


def test_a_logger_a_little_above_saturation_gives_no_negative_deficit():
    assert vapour_pressure_deficit(21.0, 100.4) == 0.0


def test_bone_dry_air_lacks_all_that_it_could_hold():
    assert vapour_pressure_deficit(21.0, 0.0) == saturation_vapour_pressure(21.0)


def test_saturated_air_is_at_its_dew_point_and_never_above():
    air = np.linspace(-60, 80, 1401)
    np.testing.assert_allclose(dew_point(air, 100.0), air, atol=1e-9)
    assert np.all(dew_point(air, 100.0) <= air)


@settings(max_examples=50, deadline=None)
@given(temperatures, humidities)
def test_dew_point_is_never_above_the_air(temperature_c, relative_humidity_pct):
    assert dew_point(temperature_c, relative_humidity_pct) <= temperature_c


@settings(max_examples=50, deadline=None)
@given(st.floats(-20, 60), st.floats(10, 100))
def test_air_cooled_to_its_dew_point_is_saturated(temperature_c, relative_humidity_pct):
    held = saturation_vapour_pressure(temperature_c) * relative_humidity_pct / 100
    assert saturation_vapour_pressure(dew_point(temperature_c, relative_humidity_pct)) == pytest.approx(held, rel=1e-9)


@settings(max_examples=50, deadline=None)
@given(st.floats(-60, 79), st.floats(0.01, 1.0))
def test_warmer_air_holds_more(temperature_c, step_c):
    assert saturation_vapour_pressure(temperature_c + step_c) > saturation_vapour_pressure(temperature_c)


@pytest.mark.parametrize("function", [vapour_pressure_deficit, vapour_pressure, absolute_humidity, wet_bulb, dew_point])
def test_numbers_in_give_a_number_out_and_arrays_broadcast(function):
    assert type(function(20, 50)) is float
    grid = function(np.array([[10.0], [20.0]]), np.array([40.0, 60.0, 80.0]))
    assert grid.shape == (2, 3)
    assert grid[1, 2] == function(20.0, 80.0)


def test_not_measured_stays_not_measured():
    assert np.isnan(saturation_vapour_pressure(np.nan))
    assert np.isnan(vapour_pressure_deficit([20.0, np.nan], [np.nan, 50.0])).all()
    assert np.isnan(dew_point(20.0, np.nan))
    assert np.isnan(wet_bulb([20.0, np.nan, 20.0], [np.nan, 50.0, 50.0], pressure_kpa=[90.0, 90.0, np.nan])).all()
    assert np.isnan(absolute_humidity([20.0, np.nan], [np.nan, 50.0])).all()


@settings(max_examples=50, deadline=None)
@given(st.floats(-40, 60), st.floats(1, 100), st.floats(60, 105))
def test_the_wet_bulb_lies_between_dew_point_and_air_and_solves_its_equation(temperature_c, relative_humidity_pct, pressure_kpa):
    wet_c = wet_bulb(temperature_c, relative_humidity_pct, pressure_kpa=pressure_kpa)
    assert dew_point(temperature_c, relative_humidity_pct) - 1e-6 <= wet_c <= temperature_c
    held = saturation_vapour_pressure(wet_c) - 0.000662 * pressure_kpa * (temperature_c - wet_c)
    assert held == pytest.approx(vapour_pressure(temperature_c, relative_humidity_pct), abs=1e-9)


def test_held_and_lacking_make_what_the_air_could_hold():
    t, rh = np.meshgrid(np.arange(-20.0, 50.0, 5.0), np.arange(0.0, 101.0, 10.0))
    np.testing.assert_allclose(vapour_pressure(t, rh) + vapour_pressure_deficit(t, rh), saturation_vapour_pressure(t), rtol=1e-12)


def test_a_cubic_metre_at_20_degrees_holds_about_17_grams():
    assert absolute_humidity(20.0, 100.0) == pytest.approx(17.3, abs=0.1)
    assert absolute_humidity(20.0, 0.0) == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: saturation_vapour_pressure(81.0), r"temperature_c is 81\.0; allowed: -60 to 80 °C"),
        (lambda: saturation_vapour_pressure([20.0, 20.0, 200.0]), r"temperature_c is 200\.0 at index 2; allowed"),
        (lambda: vapour_pressure_deficit(20.0, [50.0, -1.0]), r"relative_humidity_pct is -1\.0 at index 1; allowed: 0 to 100\.5 %"),
        (lambda: vapour_pressure_deficit([[20.0, 20.0], [20.0, -61.0]], 50.0), r"temperature_c is -61\.0 at index \(1, 1\)"),
        (lambda: dew_point(20.0, 101.0), r"relative_humidity_pct is 101\.0; allowed"),
        (lambda: dew_point([20.0, 21.0], [50.0, 0.0]), r"relative_humidity_pct is 0\.0 at index 1; .*no dew point"),
        (lambda: dew_point(float("inf"), 50.0), r"temperature_c is inf; allowed"),
        (lambda: wet_bulb(20.0, 50.0, pressure_kpa=1013.0), r"pressure_kpa is 1013\.0; allowed: 50 to 110 kPa"),
        (lambda: saturation_vapour_pressure("warm"), r"temperature_c is 'warm'; allowed: numbers"),
    ],
)
def test_what_no_air_can_have_is_refused_by_name_and_place(call, message):
    with pytest.raises(BadValue, match=message):
        call()
