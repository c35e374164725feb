"""Sun, water demand, chill and humidity against other programs, over the stored grids that `tools/oracle/season.py` makes."""

import json
from pathlib import Path

import numpy as np
import pytest

from scionary.season import (
    chill_portions,
    clear_sky_radiation,
    day_length,
    extraterrestrial_radiation,
    hargreaves_evapotranspiration,
    reference_evapotranspiration,
    sun_height,
    utah_chill_units,
    vapour_pressure_of_day,
)

FILE = Path(__file__).resolve().parent.parent / "data" / "oracle" / "season.npz"


@pytest.fixture(scope="module")
def stored():
    with np.load(FILE) as arrays:
        return {name: arrays[name] for name in arrays.files}


@pytest.fixture(scope="module")
def ours(stored):
    """FAO-56 eq. 6 over the stored days."""
    return reference_evapotranspiration(
        latitude_deg=stored["et0_latitude"],
        altitude_m=stored["et0_altitude"],
        day_of_year=stored["et0_day"],
        temperature_max_c=stored["et0_t_max"],
        temperature_min_c=stored["et0_t_min"],
        vapour_pressure_kpa=stored["et0_vapour"],
        wind_2m_m_s=stored["et0_wind"],
        solar_mj_m2=stored["et0_solar"],
    )


def share_of_clear_sky(stored):
    clear = (0.75 + 2e-5 * stored["et0_altitude"]) * extraterrestrial_radiation(stored["et0_latitude"], stored["et0_day"])
    return stored["et0_solar"] / clear


def test_the_file_names_the_versions_that_made_it(stored):
    versions = json.loads(str(stored["metadata"]))["versions"]
    assert versions.keys() == {"numpy", "pyet", "refet", "pvlib", "xclim", "psychrolib"}


@pytest.mark.parametrize("theirs", ["et0_pyet", "et0_refet_asce"])
def test_penman_monteith_of_two_programs(stored, ours, theirs):
    # pyet 1.5.0 pm_fao56, and RefET 0.5.0 method "asce". Both hold the share of the clear sky at 0.3 or more, which FAO-56 does
    # not ask for: days below it are left out here. pyet cuts negative days to 0. What is left are rounded constants: 0.0015 mm.
    bright = share_of_clear_sky(stored) >= 0.3
    assert np.count_nonzero(bright) > 180
    mine = np.maximum(ours, 0.0) if theirs == "et0_pyet" else ours
    np.testing.assert_allclose(mine[bright], stored[theirs][bright], atol=0.0015)


def test_very_dull_days_differ_by_their_floor_alone(stored, ours):
    dull = share_of_clear_sky(stored) < 0.3
    assert 0 < np.count_nonzero(dull) < 20
    # pyet 1.5.0: at 0.3 instead of 0.27 the longwave loss rises by a tenth
    assert np.abs(np.maximum(ours, 0.0) - stored["et0_pyet"])[dull].max() < 0.05


def test_another_variant_differs_by_a_percent(stored, ours):
    # RefET 0.5.0 method "refet" has its own clear sky and pressure: about 1 % from FAO-56 in the middle, more on dull days
    wet = ours > 1.0
    assert np.median(np.abs(ours / stored["et0_refet_own"] - 1.0)[wet]) < 0.015


def test_hargreaves(stored):
    mine = hargreaves_evapotranspiration(stored["et0_latitude"], stored["et0_day"], stored["et0_t_max"], stored["et0_t_min"])
    mean = (stored["et0_t_max"] + stored["et0_t_min"]) / 2.0
    # pyet 1.5.0 hargreaves, default form: its heat of vaporisation follows the temperature where FAO-56 takes 1/0.408, and its
    # constant is 0.0135 * 0.17 = 0.002295 where eq. 52 says 0.0023
    theirs = stored["hargreaves_pyet"] * (2.501 - 0.002361 * mean) * 0.408 * 0.0023 / 0.002295
    np.testing.assert_allclose(mine, theirs, rtol=0.003, atol=0.001)


def test_radiation_above_the_air_and_day_length(stored):
    place = stored["et0_latitude"], stored["et0_day"]
    # pyet 1.5.0 extraterrestrial_r and daylight_hours: the same equations
    np.testing.assert_allclose(extraterrestrial_radiation(*place), stored["radiation_pyet"], atol=1e-6)
    np.testing.assert_allclose(day_length(*place), stored["daylight_pyet"], atol=1e-9)


def test_heights_of_the_sun(stored):
    mine = sun_height(stored["sun_latitude"], stored["sun_longitude"], stored["sun_time_s"])
    # pvlib 0.16.1 get_solarposition, elevation without refraction (good to 0.0003°); the almanac's short form errs by 0.02° at most
    np.testing.assert_allclose(mine, stored["sun_height_pvlib"], atol=0.02)


def test_clear_skies(stored):
    # pvlib 0.16.1 clearsky.haurwitz: the same formula
    np.testing.assert_allclose(clear_sky_radiation(stored["sky_height"]), stored["sky_haurwitz_pvlib"], atol=1e-6)


def test_chill_portions_of_whole_winters(stored):
    # xclim 0.62.0 chill_portions: the same recursion and the same 273.15
    np.testing.assert_allclose(chill_portions(stored["chill_hourly"])[:, -1], stored["chill_portions_xclim"], atol=1e-9)


def test_utah_units_of_whole_winters(stored):
    hours = stored["chill_hourly"]
    # xclim 0.62.0 chill_units cuts at 17.9 where Richardson et al. (1974) print 18: an hour at 18.0 °C is half a unit apart
    edge = np.count_nonzero((hours > 17.9) & (hours <= 18.0), axis=1)
    assert edge.sum() > 0
    np.testing.assert_allclose(utah_chill_units(hours)[:, -1] - 0.5 * edge, stored["chill_units_xclim"], atol=1e-9)


def test_vapour_in_the_air(stored):
    t, rh = stored["air_temperature"], stored["air_humidity"]
    # psychrolib 2.5.0 GetVapPresFromRelHum (ASHRAE 2017): FAO-56 eq. 11 stays within 0.15 % of it from 0 to 45 °C
    np.testing.assert_allclose(vapour_pressure_of_day(t, t, rh, rh), stored["air_pressure_psychrolib"], rtol=0.0015)
