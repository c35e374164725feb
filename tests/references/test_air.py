"""Humidity of the air against printed examples and another program."""

import numpy as np
import psychrolib
import pytest

from scionary.dome import (
    absolute_humidity,
    dew_point,
    salt_humidity,
    saturation_vapour_pressure,
    vapour_pressure,
    vapour_pressure_deficit,
    wet_bulb,
)

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("temperature_c", "pressure_kpa", "tolerance"),
    [
        # FAO-56 (Allen et al. 1998), example 3: e°(24.5 °C)
        (24.5, 3.075, 5e-4),
        # FAO-56 (Allen et al. 1998), example 3: e°(15 °C)
        (15.0, 1.705, 5e-4),
        # FAO-56 (Allen et al. 1998), example 5: e°(18 °C)
        (18.0, 2.064, 5e-4),
        # FAO-56 (Allen et al. 1998), example 5: e°(25 °C)
        (25.0, 3.168, 5e-4),
    ],
)
def test_saturation_vapour_pressure_of_the_printed_examples(temperature_c, pressure_kpa, tolerance):
    assert saturation_vapour_pressure(temperature_c) == pytest.approx(pressure_kpa, abs=tolerance)


def test_actual_vapour_pressure_of_example_5():
    held = [saturation_vapour_pressure(t) - vapour_pressure_deficit(t, rh) for t, rh in ((18.0, 82.0), (25.0, 54.0))]
    # FAO-56 (Allen et al. 1998), example 5: 18 °C with 82 %, 25 °C with 54 %; printed to 0.01, reached through rounded steps
    assert np.mean(held) == pytest.approx(1.70, abs=0.01)


def test_deficit_of_a_day_of_example_6():
    deficits = [vapour_pressure_deficit(t, rh) for t, rh in ((18.0, 82.0), (25.0, 54.0))]
    # FAO-56 (Allen et al. 1998), example 6: the same day; the printed value is from memory
    assert np.mean(deficits) == pytest.approx(0.91, abs=0.005)


@pytest.mark.parametrize(
    ("temperature_c", "relative_humidity_pct", "dew_point_c"),
    [
        # psychrolib 2.5, GetTDewPointFromRelHum (ASHRAE 2017, another formula: 0.03 K is what the two may differ)
        (20.0, 50.0, 9.27),
        # psychrolib 2.5, as above
        (25.0, 60.0, 16.70),
        # psychrolib 2.5, as above
        (30.0, 70.0, 23.93),
    ],
)
def test_dew_points_listed(temperature_c, relative_humidity_pct, dew_point_c):
    assert dew_point(temperature_c, relative_humidity_pct) == pytest.approx(dew_point_c, abs=0.03)


TEMPERATURES_C, HUMIDITIES_PCT = (grid.ravel() for grid in np.meshgrid(np.arange(0.0, 41.0, 2.5), np.arange(30.0, 101.0, 5.0)))


def test_dew_points_over_a_grid():
    # psychrolib 2.5, GetTDewPointFromRelHum; below 0 °C it is over ice and ours over water, so only dew above 0 °C
    theirs = np.array([psychrolib.GetTDewPointFromRelHum(t, rh / 100) for t, rh in zip(TEMPERATURES_C, HUMIDITIES_PCT, strict=True)])
    wet = theirs > 0.1
    assert np.count_nonzero(wet) > 180
    np.testing.assert_allclose(dew_point(TEMPERATURES_C, HUMIDITIES_PCT)[wet], theirs[wet], atol=0.03)


def test_deficits_over_a_grid():
    # psychrolib 2.5, GetSatVapPres (ASHRAE 2017); eq. 11 of FAO-56 stays within 0.15 % of it from 0 to 40 °C
    saturated = np.array([psychrolib.GetSatVapPres(t) / 1000 for t in TEMPERATURES_C])
    theirs = saturated * (1 - HUMIDITIES_PCT / 100)
    difference = np.abs(vapour_pressure_deficit(TEMPERATURES_C, HUMIDITIES_PCT) - theirs)
    assert np.all(difference <= 0.0015 * saturated)


def test_wet_bulb_of_example_4_turned_round():
    # FAO-56 (Allen et al. 1998), example 4: dry 25.6 °C, wet 19.5 °C, 1,200 m (87.9 kPa) hold 1.91 kPa; printed values from memory
    held_kpa, dry_c = 1.91, 25.6
    humidity_pct = 100.0 * held_kpa / saturation_vapour_pressure(dry_c)
    # half of the last digit of 1.91 kPa moves the wet bulb by 0.03 °C
    assert wet_bulb(dry_c, humidity_pct, pressure_kpa=87.9) == pytest.approx(19.5, abs=0.05)


@pytest.mark.parametrize("pressure_kpa", [101.325, 85.0])
def test_wet_bulbs_over_a_grid(pressure_kpa):
    # psychrolib 2.5, GetTWetBulbFromRelHum: the thermodynamic wet bulb. Ours is that of FAO-56's aspirated psychrometer, whose
    # constant is a little larger: up to 0.13 K apart from 30 % on. Below 0 °C theirs is over ice and ours over water.
    pairs = zip(TEMPERATURES_C, HUMIDITIES_PCT, strict=True)
    theirs = np.array([psychrolib.GetTWetBulbFromRelHum(t, rh / 100, pressure_kpa * 1000) for t, rh in pairs])
    wet = theirs > 0.1
    assert np.count_nonzero(wet) > 200
    np.testing.assert_allclose(wet_bulb(TEMPERATURES_C, HUMIDITIES_PCT, pressure_kpa=pressure_kpa)[wet], theirs[wet], atol=0.13)


def test_absolute_humidities_over_a_grid():
    # psychrolib 2.5, GetHumRatioFromRelHum over GetMoistAirVolume; 0.12 % is what the two formulas of saturation may differ
    pairs = [(t, rh / 100) for t, rh in zip(TEMPERATURES_C, HUMIDITIES_PCT, strict=True)]
    ratios = [psychrolib.GetHumRatioFromRelHum(t, rh, 101325.0) for t, rh in pairs]
    volumes = [psychrolib.GetMoistAirVolume(t, w, 101325.0) for (t, _), w in zip(pairs, ratios, strict=True)]
    theirs_g_m3 = 1000.0 * np.array(ratios) / np.array(volumes)
    np.testing.assert_allclose(absolute_humidity(TEMPERATURES_C, HUMIDITIES_PCT), theirs_g_m3, rtol=0.0012)


def test_vapour_pressures_over_a_grid():
    # psychrolib 2.5, GetVapPresFromRelHum
    pairs = zip(TEMPERATURES_C, HUMIDITIES_PCT, strict=True)
    theirs_kpa = np.array([psychrolib.GetVapPresFromRelHum(t, rh / 100) / 1000 for t, rh in pairs])
    np.testing.assert_allclose(vapour_pressure(TEMPERATURES_C, HUMIDITIES_PCT), theirs_kpa, rtol=0.0015)


@pytest.mark.parametrize(
    ("temperature_c", "humidity_pct"),
    # Greenspan (1977), J. Res. Natl. Bur. Stand. 81A:89, table of sodium chloride; printed values from memory
    [(0.0, 75.51), (5.0, 75.65), (10.0, 75.67), (15.0, 75.61), (20.0, 75.47), (25.0, 75.29), (30.0, 75.09), (40.0, 74.68)],
)
def test_humidity_over_wet_table_salt(temperature_c, humidity_pct):
    # one of the last digit: the table cuts where the polynomial rounds
    assert salt_humidity(temperature_c) == pytest.approx(humidity_pct, abs=0.01)


@pytest.mark.parametrize("temperature_c", [10.0, 20.0, 25.0, 30.0, 40.0])
def test_humidity_over_wet_table_salt_by_the_handbook(temperature_c):
    # CRC Handbook, Constant humidity solutions: NaCl, RH = 69.20 exp(25 / T), 10 to 40 °C, "generally accurate to 2 %"
    assert salt_humidity(temperature_c) == pytest.approx(69.20 * np.exp(25.0 / (temperature_c + 273.15)), abs=1.0)
