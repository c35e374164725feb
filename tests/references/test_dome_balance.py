"""The dome's physics against printed numbers and another program; no worked balance of a closed chamber with numbers was found."""

import numpy as np
import psychrolib
import pytest

from scionary.dome.kernel import AIR_HEAT, LATENT_HEAT, LIFT, saturated, saturated_slope

psychrolib.SetUnitSystem(psychrolib.SI)
TEMPERATURES_C = np.arange(1.0, 60.0)


def test_saturated_vapour_density_over_a_grid():
    # psychrolib 2.5, GetSatVapPres (ASHRAE 2017), over the gas law with 461.5 J/kgK; eq. 11 of FAO-56 stays within 0.25 % of it to 60 °C
    theirs = np.array([psychrolib.GetSatVapPres(t) / (461.5 * (t + 273.15)) for t in TEMPERATURES_C])
    np.testing.assert_allclose(saturated(TEMPERATURES_C), theirs, rtol=0.0025)


def test_slope_of_vapour_pressure_of_the_printed_table():
    # FAO-56 (Allen et al. 1998), annex 2, table 2.4: slope of the saturation curve at 20 and 30 °C, 0.145 and 0.243 kPa/°C
    for temperature, printed in ((20.0, 0.145), (30.0, 0.243)):
        density = saturated(temperature)
        of_pressure = (saturated_slope(temperature, density) * (temperature + 273.15) + density) * 461.5 / 1000
        assert of_pressure == pytest.approx(printed, abs=5e-4)


def test_latent_heat_is_that_of_the_printed_value():
    # FAO-56 (Allen et al. 1998), annex 3, eq. 3-1: 2.45 MJ/kg at about 20 °C
    assert pytest.approx(2.45, abs=0.005) == LATENT_HEAT / 1e6


def test_dew_on_a_cover_follows_the_greenhouse_models_coefficient():
    # Vanthoor, Stanghellini, van Henten & de Visser (2011), Biosyst. Eng. 110:363, appendix, eq. 43, as in the public code of
    # the GreenLight greenhouse model: 6.4e-9 kg/m²s for each W/m²K of heat exchange and Pa of vapour; the analogy of heat and
    # vapour transfer (here Lewis number 1) leaves a few per cent
    for temperature in (10.0, 20.0, 30.0):
        ours = 1.0 / (AIR_HEAT * 461.5 * (temperature + 273.15))
        assert ours == pytest.approx(6.4e-9, rel=0.08)


def test_wet_air_is_lighter_as_another_program_finds():
    # psychrolib 2.5, GetMoistAirDensity (ASHRAE 2017): air at 20 °C and 101325 Pa, dry and saturated
    dry = psychrolib.GetMoistAirDensity(20.0, 0.0, 101_325.0)
    ratio = psychrolib.GetSatHumRatio(20.0, 101_325.0)
    wet = psychrolib.GetMoistAirDensity(20.0, ratio, 101_325.0)
    as_warmth = (dry - wet) / dry * 293.15
    assert LIFT * saturated(20.0) == pytest.approx(as_warmth, rel=0.05)
