"""The root zone's balance: by hand, closed, and open where the weather is not known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.season import available_water, stress_coefficient, water_deficit

ZONE = {"available_mm": 100.0, "depletion_fraction": 0.5}


def test_a_dry_week_by_hand():
    found = water_deficit(np.zeros(8), np.full(8, 10.0), **ZONE)
    assert found.deficit_mm == pytest.approx([10, 20, 30, 40, 50, 60, 68, 74.4])
    assert found.stress_coefficient == pytest.approx([1, 1, 1, 1, 1, 1, 0.8, 0.64])
    assert (found.available_mm, found.readily_available_mm) == (100.0, 50.0)


def test_rain_fills_the_zone_and_the_rest_runs_through():
    found = water_deficit([0, 30, 0], [10.0, 4.0, 4.0], **ZONE)
    assert found.deficit_mm.tolist() == [10.0, 4.0, 8.0]
    assert found.drained_mm.tolist() == [0.0, 20.0, 0.0]


def test_irrigation_counts_as_rain_does():
    rain = water_deficit([0, 12, 0], np.full(3, 5.0), **ZONE)
    given_water = water_deficit(np.zeros(3), np.full(3, 5.0), irrigation_mm=[0, 12, 0], **ZONE)
    assert rain.deficit_mm.tolist() == given_water.deficit_mm.tolist()


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(5, 300), st.floats(0, 0.9))
def test_no_water_is_made_or_lost(seed, available_mm, share):
    rng = np.random.default_rng(seed)
    rain, wanted = rng.gamma(0.3, 8.0, 60), rng.uniform(0, 8, 60)
    found = water_deficit(rain, wanted, available_mm=available_mm, depletion_fraction=share, start_deficit_mm=available_mm / 3)
    stored = available_mm / 3 + np.cumsum(found.evapotranspiration_mm + found.drained_mm - rain)
    assert found.deficit_mm == pytest.approx(stored, abs=1e-6)
    assert np.all((found.deficit_mm >= 0) & (found.deficit_mm <= available_mm + 1e-9))
    assert np.all(found.evapotranspiration_mm <= wanted + 1e-12)


def test_a_day_without_its_rain_leaves_the_deficit_open_until_rain_fills_the_zone():
    found = water_deficit([0, np.nan, 0, 200, 0], np.full(5, 10.0), **ZONE)
    assert np.isnan(found.deficit_mm).tolist() == [False, True, True, False, False]
    assert (found.deficit_low_mm[2], found.deficit_high_mm[2]) == (20.0, 30.0)
    assert found.deficit_mm[3:].tolist() == [10.0, 20.0]
    assert found.to_dict()["deficit_mm"][1] is None


def test_a_beginning_that_is_not_known_is_told_as_a_range():
    found = water_deficit([0, 0, 110], [5.0, 5.0, 5.0], start_deficit_mm=None, **ZONE)
    assert (found.stress_low[0], found.stress_high[0]) == (0.0, 1.0)
    assert np.isnan(found.stress_coefficient[:2]).all()
    assert found.stress_coefficient[2] == 1.0


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_the_truth_lies_in_the_range_that_gaps_leave(seed):
    rng = np.random.default_rng(seed)
    rain, wanted = rng.gamma(0.3, 8.0, 40), rng.uniform(0, 8, 40)
    whole = water_deficit(rain, wanted, **ZONE)
    gaps = rng.random(40) < 0.1, rng.random(40) < 0.1
    found = water_deficit(np.where(gaps[0], np.nan, rain), np.where(gaps[1], np.nan, wanted), **ZONE)
    assert np.all(found.deficit_low_mm <= whole.deficit_mm + 1e-9)
    assert np.all(found.deficit_high_mm >= whole.deficit_mm - 1e-9)
    known = ~np.isnan(found.deficit_mm)
    assert found.deficit_mm[known] == pytest.approx(whole.deficit_mm[known])


def test_stress_by_hand():
    assert stress_coefficient([0.0, 50.0, 75.0, 100.0], **ZONE).tolist() == [1.0, 1.0, 0.5, 0.0]
    assert type(stress_coefficient(60.0, **ZONE)) is float


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"rain_mm": [0, -1]}, "rain_mm is -1.0 at index 1"),
        ({"evapotranspiration_mm": [5, 60]}, "evapotranspiration_mm is 60.0"),
        ({"available_mm": 0.0}, "available_mm is 0.0; allowed: above 0"),
        ({"depletion_fraction": 1.0}, "depletion_fraction is 1.0; allowed: 0 to below 1"),
        ({"start_deficit_mm": 101.0}, "start_deficit_mm is 101.0"),
        ({"rain_mm": [0, 0, 0]}, "rain_mm is '3 days'; allowed: as many as evapotranspiration_mm, 2"),
    ],
)
def test_water_that_cannot_be_is_refused(changed, message):
    with pytest.raises(BadValue, match=message):
        water_deficit(**({"rain_mm": [0, 0], "evapotranspiration_mm": [5, 5], **ZONE} | changed))


def test_a_wilting_point_above_field_capacity_is_refused():
    with pytest.raises(BadValue, match=r"wilting_point is 0\.4; allowed: below field_capacity"):
        available_water(0.3, 0.4, 1.0)
