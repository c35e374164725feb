"""Which equation serves a day, and what it needs."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import DemandMethod, daily_evapotranspiration, hargreaves_evapotranspiration, vapour_pressure_of_day, wind_at_2m

FULL = {"vapour_pressure_kpa": 1.4, "wind_2m_m_s": 2.0, "solar_mj_m2": 22.0}


def test_a_day_that_lacks_its_sun_falls_back_to_its_temperatures():
    found = daily_evapotranspiration(47.2, 610.0, [190, 191], [24.0, 24.0], [11.0, 11.0], **(FULL | {"solar_mj_m2": [22.0, np.nan]}))
    assert found.method.tolist() == [DemandMethod.PENMAN_MONTEITH, DemandMethod.HARGREAVES]
    assert found.evapotranspiration_mm[1] == pytest.approx(hargreaves_evapotranspiration(47.2, 191, 24.0, 11.0))


def test_without_a_height_above_the_sea_only_temperatures_serve():
    assert daily_evapotranspiration(47.2, None, [190], [24.0], [11.0], **FULL).method.tolist() == [DemandMethod.HARGREAVES]


def test_a_day_without_temperatures_is_not_known():
    found = daily_evapotranspiration(47.2, 610.0, [190], [np.nan], [11.0], **FULL)
    assert found.method.tolist() == [DemandMethod.UNKNOWN]
    assert np.isnan(found.evapotranspiration_mm[0])


def test_dew_fills_no_root_zone():
    found = daily_evapotranspiration(60.0, 0.0, [355], [1.0], [0.0], vapour_pressure_kpa=0.65, wind_2m_m_s=0.5, solar_mj_m2=0.1)
    assert found.evapotranspiration_mm[0] >= 0.0


def test_the_polar_night_draws_nothing():
    found = daily_evapotranspiration(80.0, 0.0, [355], [-20.0], [-25.0], **(FULL | {"solar_mj_m2": 0.0}))
    assert found.evapotranspiration_mm[0] == 0.0


def test_more_humidity_at_its_highest_than_its_lowest_is_asked():
    with pytest.raises(BadValue, match=r"humidity_min_pct is 90\.0"):
        vapour_pressure_of_day(25.0, 18.0, 80.0, 90.0)


def test_wind_at_two_metres_is_itself():
    assert wind_at_2m(3.0, 2.0) == pytest.approx(3.0, abs=0.01)
    assert wind_at_2m(3.0, 10.0) < 3.0
