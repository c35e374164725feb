"""Light in photons, from lux, from watts, summed over a day."""

import math

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import LightSource, daily_light_integral, light_of_series, ppfd_from_lux, ppfd_from_par, ppfd_from_solar


def test_a_bright_day_in_three_meters():
    assert ppfd_from_lux(108_000) == pytest.approx(2000.0)
    assert ppfd_from_par(400.0) == pytest.approx(1828.0)
    assert ppfd_from_solar(1000.0) == pytest.approx(2060.0)


def test_the_same_lux_are_other_photons_under_another_lamp():
    assert ppfd_from_lux(8200, LightSource.HIGH_PRESSURE_SODIUM) == pytest.approx(100.0)
    assert ppfd_from_lux(8200, LightSource.INCANDESCENT) == pytest.approx(164.0)


def test_a_lamp_that_is_not_in_the_table_has_its_own_factor():
    assert ppfd_from_lux(700.0, lux_per_umol=70.0) == pytest.approx(10.0)
    with pytest.raises(BadValue, match="lux_per_umol is 0"):
        ppfd_from_lux(700.0, lux_per_umol=0.0)


def test_numbers_give_numbers_and_arrays_arrays():
    assert type(ppfd_from_lux(54)) is float
    assert type(daily_light_integral(200, 16)) is float
    assert ppfd_from_solar([0.0, np.nan]).tolist()[0] == 0.0
    assert math.isnan(ppfd_from_solar([0.0, np.nan])[1])


def test_missing_readings_make_the_sum_a_lower_bound_and_are_told():
    mol, missing_h = light_of_series([100.0, np.nan, 300.0, 0.0], 1800.0)
    assert mol == pytest.approx(0.72)
    assert missing_h == 0.5
    with pytest.raises(BadValue, match="interval_s"):
        light_of_series([1.0], 0.0)


@pytest.mark.parametrize(
    ("function", "value", "name"), [(ppfd_from_lux, -1, "lux"), (ppfd_from_solar, 1501, "solar_w_m2"), (ppfd_from_par, 1001, "par_w_m2")]
)
def test_light_that_cannot_be_is_refused_by_name(function, value, name):
    with pytest.raises(BadValue, match=f"{name} is {value}.0 at index 1"):
        function([1.0, value])
