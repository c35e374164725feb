import numpy as np
import pytest

from scionary.dome import OutsideAir, Vents
from scionary.dome.outside import on_steps
from scionary.dome.vents import opening_on_steps
from scionary.errors import BadValue

HOURS = np.arange(5) * 3600.0


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"time_s": [0.0, 3600.0, 3600.0, 7200.0, 9000.0]}, "time_s is 3600.0 at index 2; allowed: moments that rise, none twice"),
        ({"relative_humidity_pct": [50, 50, 105, 50, 50]}, "relative_humidity_pct is 105.0 at index 2"),
        ({"relative_humidity_pct": [50, -3, 50, 50, 50]}, "relative_humidity_pct is -3.0 at index 1"),
        ({"temperature_c": [68, 72, 75, 86, 95]}, "temperature_c is 86.0 at index 3; allowed: -60 to 80 °C"),
        ({"temperature_c": [15.0, 16.0]}, "temperature_c is '2 values'; allowed: one number, or one for each of the 5 moments"),
        ({"wind_m_s": np.nan}, "wind_m_s is 'nothing but gaps'"),
        ({"solar_w_m2": -1.0}, "solar_w_m2 is -1.0; allowed: 0 to 1500 W/m²"),
    ],
)
def test_weather_that_cannot_be_is_refused_in_words(given, message):
    fine = {"time_s": HOURS, "temperature_c": 15.0, "relative_humidity_pct": 60.0, "solar_w_m2": 0.0, "wind_m_s": 0.0}
    with pytest.raises(BadValue, match=message):
        OutsideAir(**(fine | given))


def test_missing_rows_are_a_gap_like_missing_values():
    outside = OutsideAir([0.0, 3600.0, 7200.0, 50_400.0, 54_000.0], 15.0, 60.0)
    known = on_steps(outside, 1800.0).known
    assert known.tolist() == [True] * 5 + [False] * 23 + [True] * 3


def test_weather_shorter_than_a_step_is_refused():
    with pytest.raises(BadValue, match=r"step_s is 3600.*at most the 1800 s that the weather covers"):
        on_steps(OutsideAir([0.0, 1800.0], 15.0, 60.0), 3600.0)


def test_a_stretch_is_cut_with_both_its_ends():
    cut = OutsideAir(HOURS, np.arange(5.0), 60.0).between(3600.0, 10_800.0)
    assert cut.temperature_c.tolist() == [1.0, 2.0, 3.0]


def test_vents_hold_from_their_moment_until_the_next():
    outside = OutsideAir(HOURS, 15.0, 60.0)
    steps = np.arange(0, 14_401, 1800.0)
    by_moment = opening_on_steps([0, 100, 0, 50, 50], outside, steps)
    assert (by_moment * 1e4).tolist() == [0, 0, 100, 100, 0, 0, 50, 50]
    assert (opening_on_steps(Vents([900.0, 2700.0], [0, 100]), outside, steps) * 1e4).tolist() == [0, 50, 100, 100, 100, 100, 100, 100]
    assert (opening_on_steps(np.arange(8.0), outside, steps) * 1e4).round(9).tolist() == [0, 1, 2, 3, 4, 5, 6, 7]


def test_vents_with_moments_and_areas_that_do_not_match_are_refused():
    with pytest.raises(BadValue, match=r"vents.area_cm2 is '1 values'; allowed: one for each of the 2 moments"):
        Vents([0.0, 1.0], [5.0])
