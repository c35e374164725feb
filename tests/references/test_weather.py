"""Sun, evapotranspiration, soil water, light, chill, heat and frost against printed examples and a station's record."""

from pathlib import Path

import numpy as np
import pytest
import vega_datasets

from scionary.files.weather import read_weather
from scionary.season import (
    LightSource,
    available_water,
    chill_portions,
    clear_sky_radiation,
    daily_light_integral,
    day_length,
    extraterrestrial_radiation,
    frost_dates,
    growing_degree_days,
    hargreaves_evapotranspiration,
    ppfd_from_lux,
    ppfd_from_par,
    reference_evapotranspiration,
    utah_chill_units,
    water_deficit,
    wind_at_2m,
)


@pytest.mark.parametrize(
    ("latitude_deg", "day_of_year", "radiation_mj_m2", "tolerance"),
    [
        # FAO-56 (Allen et al. 1998), example 8: 20° S, 3 September
        (-20.0, 246, 32.2, 0.05),
        # FAO-56 (Allen et al. 1998), example 10: 22°54' S, 15 May
        (-22.9, 135, 25.1, 0.05),
        # FAO-56 (Allen et al. 1998), example 17: 13°44' N, 15 April
        (13.73, 105, 38.06, 0.005),
        # FAO-56 (Allen et al. 1998), example 18: 50°48' N, 6 July
        (50.8, 187, 41.09, 0.005),
    ],
)
def test_extraterrestrial_radiation_of_the_printed_examples(latitude_deg, day_of_year, radiation_mj_m2, tolerance):
    assert extraterrestrial_radiation(latitude_deg, day_of_year) == pytest.approx(radiation_mj_m2, abs=tolerance)


@pytest.mark.parametrize(
    ("latitude_deg", "day_of_year", "hours"),
    [
        # FAO-56 (Allen et al. 1998), example 9: 20° S, 3 September
        (-20.0, 246, 11.7),
        # FAO-56 (Allen et al. 1998), example 10: 22°54' S, 15 May
        (-22.9, 135, 10.9),
        # FAO-56 (Allen et al. 1998), example 18: 50°48' N, 6 July
        (50.8, 187, 16.1),
    ],
)
def test_day_length_of_the_printed_examples(latitude_deg, day_of_year, hours):
    assert day_length(latitude_deg, day_of_year) == pytest.approx(hours, abs=0.05)


def test_monthly_reference_evapotranspiration():
    sunshine_share = 8.5 / day_length(13.73, 105)
    found = reference_evapotranspiration(
        latitude_deg=13.73,
        altitude_m=2.0,
        day_of_year=105,
        temperature_max_c=34.8,
        temperature_min_c=25.6,
        vapour_pressure_kpa=2.85,
        wind_2m_m_s=2.0,
        # FAO-56 eq. 35 with its usual coefficients, from 8.5 h of sunshine
        solar_mj_m2=(0.25 + 0.50 * sunshine_share) * extraterrestrial_radiation(13.73, 105),
        soil_heat_mj_m2=0.14,
    )
    # FAO-56 (Allen et al. 1998), example 17; printed to 0.01, reached through rounded steps
    assert found == pytest.approx(5.72, abs=0.01)


def test_daily_reference_evapotranspiration():
    found = reference_evapotranspiration(
        latitude_deg=50.8,
        altitude_m=100.0,
        day_of_year=187,
        temperature_max_c=21.5,
        temperature_min_c=12.3,
        vapour_pressure_kpa=1.409,
        wind_2m_m_s=2.078,
        solar_mj_m2=22.07,
    )
    # FAO-56 (Allen et al. 1998), example 18
    assert found == pytest.approx(3.9, abs=0.05)


def test_evapotranspiration_from_temperature_alone():
    # FAO-56 (Allen et al. 1998), example 20: 45°43' N, July
    assert hargreaves_evapotranspiration(45.72, 196, 26.6, 14.8) == pytest.approx(5.0, abs=0.05)


def test_wind_brought_down_to_two_metres():
    # FAO-56 (Allen et al. 1998), example 14: 3.2 m/s at 10 m
    assert wind_at_2m(3.2, 10.0) == pytest.approx(2.4, abs=0.05)


def test_available_water_of_a_silt():
    total = available_water(0.32, 0.15, 0.8)
    # FAO-56 (Allen et al. 1998), example 36: silt, tomato, roots 0.8 m; the printed value is from memory
    assert total == pytest.approx(136.0, abs=0.5)
    # FAO-56 (Allen et al. 1998), example 36: p 0.40
    assert water_deficit([0.0], [0.0], available_mm=total, depletion_fraction=0.4).readily_available_mm == pytest.approx(54.4, abs=0.05)


@pytest.mark.parametrize(
    ("temperature_c", "portions"),
    [
        # xclim 0.62, 720 hours at 6 °C, Kelvin = °C + 273.15
        (6.0, 24.553),
        # the same at 12 °C
        (12.0, 17.032),
    ],
)
def test_chill_portions_at_a_constant_temperature(temperature_c, portions):
    assert chill_portions(np.full(720, temperature_c))[-1] == pytest.approx(portions, abs=5e-4)


def test_utah_units_of_a_mixed_stretch():
    hours = np.repeat([1.1, 2.0, 5.6, 16.0, 20.0], [10, 15, 20, 10, 5])
    # the test suite of xclim, chill units: 10 h at 1.1, 15 at 2.0, 20 at 5.6, 10 at 16, 5 at 20 °C
    assert utah_chill_units(hours)[-1] == 17.5


@pytest.mark.parametrize(
    ("zenith_deg", "radiation_w_m2"),
    [
        # pvlib 0.16, clearsky.haurwitz
        (0.0, 1035.1),
        # the same
        (30.0, 888.3),
        # the same
        (60.0, 487.9),
        # the same
        (80.0, 135.7),
    ],
)
def test_clear_sky_listed(zenith_deg, radiation_w_m2):
    assert clear_sky_radiation(90.0 - zenith_deg) == pytest.approx(radiation_w_m2, abs=0.05)


def test_light_of_a_day_by_definition():
    # definition: 200 µmol/m²/s for 16 hours
    assert daily_light_integral(200.0, 16.0) == pytest.approx(11.52, abs=0.005)


@pytest.mark.parametrize(
    ("source", "umol_per_joule", "lux_per_umol"),
    [
        # Thimijan & Heins (1983), HortScience 18:818, as quoted in a plant-education list: sun and sky
        (LightSource.SUN, 4.57, 54.0),
        # the same, blue sky only
        (LightSource.BLUE_SKY, 4.24, 52.0),
        # the same, metal halide
        (LightSource.METAL_HALIDE, 4.59, 71.0),
        # the same, high-pressure sodium
        (LightSource.HIGH_PRESSURE_SODIUM, 4.98, 82.0),
        # the same, cool-white fluorescent
        (LightSource.COOL_WHITE_TUBE, 4.59, 74.0),
        # the same, incandescent
        (LightSource.INCANDESCENT, 5.0, 50.0),
    ],
)
def test_factors_of_light_by_source(source, umol_per_joule, lux_per_umol):
    assert ppfd_from_par(100.0, source) == pytest.approx(100.0 * umol_per_joule)
    assert ppfd_from_lux(lux_per_umol, source) == pytest.approx(1.0)


DATA = Path(vega_datasets.__file__).parent / "_data"


@pytest.fixture(scope="module")
def seattle():
    """Daily weather of Seattle 2012-15 as the package vega_datasets 0.9 carries it, read as a person's file is."""
    read = read_weather((DATA / "seattle-weather.csv").read_bytes(), name="seattle-weather.csv", time_zone="America/Los_Angeles")
    assert (read.gaps, read.problem_counts, len(read.dates)) == ((), {}, 1461)
    return read.dates, read.temperature_max_c, read.temperature_min_c


def test_hourly_means_of_a_year_in_fahrenheit():
    """Hours of Seattle as the package vega_datasets 0.9 carries them: °F unnamed, standard time, one hour left out."""
    read = read_weather((DATA / "seattle-temps.csv").read_bytes(), name="seattle-temps.csv", time_zone="UTC-8", units={"temperature": "F"})
    # counted in the file: 8759 rows, of 8760 hours of 2010; 2010/03/14 03:00 is the one left out
    assert (read.step, len(read.time_s), read.gaps) == ("hour", 8759, (("2010-03-14 02:00", "2010-03-14 04:00"),))
    # read from the file: 39.4 °F in the first hour
    assert read.temperature_c[0] == pytest.approx((39.4 - 32) / 1.8)


@pytest.mark.parametrize(
    ("year", "last_spring_frost"),
    [
        # read from the file: the last day of spring at or below 0 °C
        (2012, "2012-03-19"),
        # the same
        (2013, "2013-03-04"),
        # the same
        (2014, "2014-02-09"),
        # the same
        (2015, "2015-03-04"),
    ],
)
def test_last_spring_frost_of_a_station(seattle, year, last_spring_frost):
    days, _, lowest = seattle
    found = frost_dates(days, lowest).to_dict()
    assert found["last_spring_frost"][found["year"].index(year)] == last_spring_frost


@pytest.mark.parametrize(
    ("year", "degree_days"),
    [
        # summed from the file: daily mean over 10 °C
        (2012, 1133.4),
        # the same
        (2013, 1369.3),
        # the same
        (2014, 1490.2),
        # the same
        (2015, 1541.1),
    ],
)
def test_degree_days_of_a_station(seattle, year, degree_days):
    days, highest, lowest = seattle
    mine = days.astype("datetime64[Y]") == np.datetime64(str(year), "Y")
    total = growing_degree_days(highest[mine], lowest[mine], base_c=10.0).sum()
    # half the last printed digit; the sums of 2013 and 2015 lie exactly on it
    assert total == pytest.approx(degree_days, abs=0.05 + 1e-6)
