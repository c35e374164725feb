"""Humidity of the air against printed examples and another program."""

import numpy as np
import psychrolib
import pytest

from scionary.dome import dew_point, saturation_vapour_pressure, vapour_pressure_deficit

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
