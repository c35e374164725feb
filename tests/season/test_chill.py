"""Chill portions and units, and what gaps leave open."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import chill_portions, chill_range, utah_chill_units


def test_portions_only_grow_and_begin_at_nothing():
    t = 6.0 + 8.0 * np.sin(np.arange(2000) * 2 * np.pi / 24)
    sums = chill_portions(t)
    assert sums[0] == 0.0
    assert np.all(np.diff(sums) >= 0.0)
    assert sums[-1] > 10.0


def test_heat_takes_away_what_is_not_yet_a_portion():
    cold = np.full(20, 6.0)
    assert chill_portions(np.concatenate([cold, np.full(5, 25.0), cold]))[-1] == 0.0
    assert chill_portions(np.concatenate([cold, cold]))[-1] > 0.9


def test_a_portion_stays_in_the_heat():
    t = np.concatenate([np.full(100, 6.0), np.full(100, 30.0)])
    assert chill_portions(t)[-1] == pytest.approx(chill_portions(t)[100], abs=1e-6)


def test_no_chill_in_hard_frost_or_summer():
    assert chill_portions(np.full(1000, -15.0))[-1] < 0.5
    assert chill_portions(np.full(1000, 22.0))[-1] == 0.0


@pytest.mark.parametrize(
    ("temperature_c", "unit"),
    [
        (1.4, 0),
        (1.5, 0.5),
        (2.4, 0.5),
        (2.5, 1),
        (9.1, 1),
        (9.2, 0.5),
        (12.4, 0.5),
        (12.5, 0),
        (15.9, 0),
        (16, -0.5),
        (18, -0.5),
        (18.1, -1),
    ],
)
def test_utah_steps_belong_to_the_left(temperature_c, unit):
    assert utah_chill_units([temperature_c])[0] == unit


def test_summer_heat_takes_a_unit_an_hour():
    assert utah_chill_units([18.1, 30.0])[-1] == -2.0


def test_rows_are_winters_of_their_own():
    t = np.stack([np.full(300, 6.0), np.full(300, 12.0)])
    assert chill_portions(t)[1].tolist() == chill_portions(t[1]).tolist()
    assert utah_chill_units(t)[:, -1].tolist() == [300.0, 150.0]


def test_missing_hours_add_nothing_and_their_reach_is_told():
    t = np.full(720, 6.0)
    t[100:150] = np.nan
    found = chill_range(t)
    assert found.portions_low == pytest.approx(chill_portions(np.full(670, 6.0))[-1], abs=0.1)
    assert found.portions_high == pytest.approx(chill_portions(np.full(720, 6.0))[-1])
    assert (found.units_low, found.units_high, found.hours_missing) == (620.0, 720.0, 50)


def test_no_gap_leaves_nothing_open():
    found = chill_range(np.full(100, 5.0))
    assert found.portions_low == found.portions_high
    assert found.to_dict()["units_low"] == found.units_high == 100.0
    assert chill_range([]).hours_known == 0


@pytest.mark.parametrize("function", [chill_portions, utah_chill_units])
def test_degrees_fahrenheit_are_refused_where_they_show(function):
    with pytest.raises(BadValue, match=r"temperature_hourly_c is 68\.0 at index 1; allowed: -90 to 60 °C"):
        function([41.0, 68.0])
