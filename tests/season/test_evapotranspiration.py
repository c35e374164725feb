"""Evapotranspiration: how it behaves; the worked examples are among the references."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import extraterrestrial_radiation, hargreaves_evapotranspiration, reference_evapotranspiration

SUMMER_DAY = {
    "latitude_deg": 47.2,
    "altitude_m": 610.0,
    "day_of_year": 190,
    "temperature_max_c": 25.0,
    "temperature_min_c": 12.0,
    "vapour_pressure_kpa": 1.4,
    "wind_2m_m_s": 2.0,
    "solar_mj_m2": 22.0,
}


def with_change(**changed):
    return reference_evapotranspiration(**{**SUMMER_DAY, **changed})


def test_sun_wind_and_dry_air_each_draw_more_water():
    assert with_change(solar_mj_m2=26.0) > with_change()
    assert with_change(wind_2m_m_s=4.0) > with_change()
    assert with_change(vapour_pressure_kpa=1.0) > with_change()


def test_heat_into_the_soil_is_lost_to_the_air():
    assert with_change(soil_heat_mj_m2=2.0) < with_change()


def test_more_sun_than_a_clear_sky_gives_counts_as_a_clear_sky_for_longwave():
    clearest = (0.75 + 2e-5 * 610.0) * 41.3
    gain = with_change(solar_mj_m2=clearest + 6) - with_change(solar_mj_m2=clearest + 4)
    later = with_change(solar_mj_m2=clearest + 8) - with_change(solar_mj_m2=clearest + 6)
    assert gain == pytest.approx(later, rel=1e-9)


def test_a_number_gives_a_number_and_a_series_the_same_numbers():
    assert type(with_change()) is float
    series = with_change(wind_2m_m_s=np.array([1.0, 2.0]))
    assert series[1] == with_change()


def test_polar_night_and_unknown_inputs_are_unknown():
    assert np.isnan(with_change(latitude_deg=80.0, day_of_year=355, solar_mj_m2=0.0))
    assert np.isnan(with_change(wind_2m_m_s=np.nan))


def test_a_day_without_a_swing_of_temperature_draws_nothing_by_hargreaves():
    assert hargreaves_evapotranspiration(47.2, 190, 15.0, 15.0) == 0.0


def test_hargreaves_never_goes_below_nothing():
    assert hargreaves_evapotranspiration(47.2, 20, -20.0, -30.0) == 0.0


def test_hargreaves_by_hand_from_a_known_radiation():
    radiation = extraterrestrial_radiation(47.2, 190)
    assert hargreaves_evapotranspiration(47.2, 190, 25.0, 9.0) == pytest.approx(0.0023 * 34.8 * 4 * 0.408 * radiation)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"temperature_min_c": 26.0}, "temperature_min_c is 26.0; allowed: at most the same day's temperature_max_c"),
        ({"wind_2m_m_s": -1.0}, "wind_2m_m_s is -1.0"),
        ({"solar_mj_m2": [20.0, 70.0]}, "solar_mj_m2 is 70.0 at index 1; allowed: 0 to 60 MJ/m²/d"),
        ({"vapour_pressure_kpa": -0.1}, "vapour_pressure_kpa is -0.1"),
        ({"altitude_m": 10_000.0}, "altitude_m is 10000.0"),
        ({"soil_heat_mj_m2": 30.0}, "soil_heat_mj_m2 is 30.0"),
        ({"day_of_year": 0}, "day_of_year is 0.0"),
    ],
)
def test_impossible_weather_is_refused_by_name(changed, message):
    with pytest.raises(BadValue, match=message):
        with_change(**changed)
