"""Sun, evapotranspiration, heat and frost against printed examples and a station's record."""

import csv
from pathlib import Path

import numpy as np
import pytest
import vega_datasets

from scionary.season import (
    day_length,
    extraterrestrial_radiation,
    frost_dates,
    growing_degree_days,
    hargreaves_evapotranspiration,
    reference_evapotranspiration,
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


@pytest.fixture(scope="module")
def seattle():
    """Daily weather of Seattle 2012-15 as the package vega_datasets 0.9 carries it."""
    path = Path(vega_datasets.__file__).parent / "_data" / "seattle-weather.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    days = np.array([row["date"].replace("/", "-") for row in rows], dtype="datetime64[D]")
    return days, np.array([float(row["temp_max"]) for row in rows]), np.array([float(row["temp_min"]) for row in rows])


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
