"""The share of years in which a window stayed in its band."""

import time

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import hours_by_year, window_fraction, window_map, with_heating

BAND = {"days": 30, "low_c": 17.0, "high_c": 27.0, "limit_c": 35.0, "share": 0.6}


def made_up(years, seed=3):
    rng = np.random.default_rng(seed)
    hours = np.arange((years + 1) * 8760)
    season, day = np.cos(2 * np.pi * (hours / 8760 - 0.55)), np.cos(2 * np.pi * (hours / 24 - 0.6))
    weather = np.repeat(np.convolve(rng.normal(0, 6, (years + 1) * 365 + 6), np.full(7, 1 / 7), "valid"), 24)
    return 13.0 + 9.0 * season + 4.0 * day + weather


def plain_loop(t, *, days, low_c, high_c, limit_c, share):
    good = np.zeros(365)
    years = t.size // 8760 - 1
    for year in range(years):
        for start in range(365):
            window = t[(year * 365 + start) * 24 : (year * 365 + start + days) * 24]
            inside = sum(1 for x in window if low_c <= x <= high_c)
            good[start] += inside >= share * days * 24 and max(window) <= limit_c
    return good / years


def test_it_is_the_plain_loop():
    t = made_up(3)
    found = window_fraction(t, **BAND)
    assert 0.0 < found.mean() < 1.0
    assert found.tolist() == plain_loop(t, **BAND).tolist()


def test_thirty_years_take_milliseconds():
    t = made_up(30)
    taken = []
    for _ in range(5):
        began = time.perf_counter()
        window_fraction(t, **BAND)
        taken.append(time.perf_counter() - began)
    assert min(taken) < 0.02  # the aim is 0.005; a busy machine is given room


def test_a_window_at_the_end_reaches_into_the_year_after():
    t = np.full(2 * 8760, 20.0)
    t[8760 + 10 * 24] = 40.0  # eleventh day of the year that only serves as wrap
    found = window_fraction(t, **BAND)
    assert found[345] == 1.0
    assert found[346:].tolist() == [0.0] * 19


def test_one_hot_hour_spoils_every_window_that_holds_it():
    t = np.full(2 * 8760, 20.0)
    t[100 * 24 + 13] = 35.1
    assert np.flatnonzero(window_fraction(t, **BAND) == 0.0).tolist() == list(range(71, 101))


def test_the_limit_and_the_ends_of_the_band_are_inside():
    t = np.full(2 * 8760, 17.0)
    t[0] = 35.0
    assert window_fraction(t, **(BAND | {"share": 0.9}))[0] == 1.0
    assert window_fraction(np.full(2 * 8760, 27.0), **(BAND | {"share": 1.0}))[0] == 1.0


def test_a_year_that_is_not_known_does_not_count():
    t = np.full(3 * 8760, 20.0)
    t[:8760] = 5.0
    t[50 * 24] = np.nan
    found = window_map(t, **BAND)
    assert found.share[0] == 0.5
    assert (found.share[40], found.years[40]) == (1.0, 1)
    assert found.years.sum() == 2 * 365 - 30


def test_no_known_year_is_not_known():
    found = window_map(np.full(2 * 8760, np.nan), **BAND)
    assert np.isnan(found.share).all()
    assert found.to_dict()["share"][0] is None


def test_few_years_have_a_wide_range():
    t = np.full(31 * 8760, 20.0)
    t[: 6 * 8760] = 5.0
    found = window_map(t, **BAND)
    assert found.good[100] == 24
    assert (round(found.low[100], 2), round(found.high[100], 2)) == (0.66, 0.90)


def test_ranges_hold_the_truth_nine_times_in_ten():
    rng = np.random.default_rng(5)
    held = []
    for chance in (0.3, 0.6, 0.8, 0.9):
        good = rng.binomial(30, chance, size=200)
        ends = {n: _ends(n) for n in set(good.tolist())}
        held += [ends[n][0] <= chance <= ends[n][1] for n in good.tolist()]
    assert 0.85 <= np.mean(held) <= 0.95


def _ends(good):
    t = np.full(31 * 8760, 5.0)
    t[: good * 8760] = 20.0
    found = window_map(t, **(BAND | {"days": 1}))
    return found.low[0], found.high[0]


def test_heating_lifts_as_far_as_it_can():
    assert with_heating([-10.0, 12.0, 25.0], setpoint_c=18.0, lift_c=10.0).tolist() == [0.0, 18.0, 25.0]
    assert np.isnan(with_heating([np.nan], setpoint_c=18.0, lift_c=10.0)[0])


def test_heating_only_widens_a_window_that_heat_does_not_close():
    t = made_up(4)
    cold = window_fraction(t, **BAND)
    warm = window_fraction(with_heating(t, setpoint_c=19.0, lift_c=8.0), **BAND)
    assert np.all(warm >= cold)
    assert warm.sum() > cold.sum()


def test_leap_days_are_left_out_and_nothing_shifts():
    time_s = np.arange("2023-01-01", "2026-01-01", dtype="datetime64[h]").astype("datetime64[s]").astype(float)
    months = np.arange("2023-01-01", "2026-01-01", dtype="datetime64[h]").astype("datetime64[M]").astype(int) % 12
    found = hours_by_year(time_s, months.astype(float), utc_offset_h=0.0)
    assert found.temperature_c.shape == (3, 365, 24)
    assert found.hours_missing.tolist() == [0, 0, 0]
    assert found.temperature_c[0].tolist() == found.temperature_c[1].tolist() == found.temperature_c[2].tolist()


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"days": 0}, "days is 0; allowed: a whole number from 1 to 365"),
        ({"days": 366}, "days is 366"),
        ({"low_c": 30.0}, "high_c is 27.0; allowed: at least low_c, which is 30"),
        ({"limit_c": 20.0}, "limit_c is 20.0; allowed: at least high_c"),
        ({"share": 1.5}, "share is 1.5"),
    ],
)
def test_a_band_that_cannot_be_is_refused(changed, message):
    with pytest.raises(BadValue, match=message):
        window_fraction(np.full(2 * 8760, 20.0), **(BAND | changed))


def test_hours_that_are_no_whole_years_are_refused():
    with pytest.raises(BadValue, match="two or more whole years of 8760 hours"):
        window_fraction(np.full(8784, 20.0), **BAND)
