import numpy as np
import pytest

from dome.dome_weather import porch, steady
from dome.logged_domes import logged
from scionary.dome import DomeSpec, OutsideAir, fit_dome, simulate_dome, what_will_happen
from scionary.dome.foretell import ranged
from scionary.errors import BadValue

SHADED = DomeSpec(shade_share=0.5)


@pytest.fixture(scope="module")
def fitted():
    """A dome fitted to an invented log, and its weather."""
    _, outside, inside, vents, _ = logged(1)
    return fit_dome(SHADED, outside, inside, vents, rng=1)


def hot_days():
    """Three cool days, then a bright one."""
    cool = porch(4, sunny=250.0, mean_c=12.0)
    last = cool.time_s >= 3 * 86_400
    bright = np.where(last, np.minimum(cool.solar_w_m2 * 3.6, 900.0), cool.solar_w_m2)
    return OutsideAir(cool.time_s, cool.temperature_c + np.where(last, 6.0, 0.0), cool.relative_humidity_pct, bright, cool.wind_m_s)


def test_an_overheated_afternoon_is_seen_the_day_before(fitted):
    ahead = what_will_happen(fitted, hot_days(), 0.0, shade_share=0.0, from_s=3 * 86_400)
    assert ahead.chance_of_heat > 0.9
    assert 3 * 86_400 + 10 * 3600 < ahead.hottest_at_s < 3 * 86_400 + 17 * 3600
    assert ahead.hours_of_heat.value > 2
    today = what_will_happen(fitted, hot_days().between(0, 3 * 86_400), 0.0, shade_share=0.75)
    assert today.chance_of_heat < 0.05


def test_the_middle_dome_lies_within_the_range(fitted):
    outside = porch(3)
    ahead = what_will_happen(fitted, outside, 50.0)
    air = simulate_dome(fitted.dome, outside, 50.0)
    assert ahead.hottest_c.low <= air.temperature_c.max() <= ahead.hottest_c.high
    assert ahead.hottest_c.value == pytest.approx(air.temperature_c.max(), abs=0.5)
    assert ahead.deficit_kpa.value == pytest.approx(air.vapour_pressure_deficit_kpa.mean(), rel=0.1)


def test_a_dome_without_a_log_has_a_wider_range(fitted):
    outside = porch(3)
    known, unknown = (what_will_happen(dome, outside, 50.0).hottest_c for dome in (fitted, SHADED))
    assert unknown.high - unknown.low > 3 * (known.high - known.low)
    assert not what_will_happen(SHADED, outside, 50.0).from_log


def test_a_range_leaves_a_twentieth_out_at_either_end():
    told = ranged(np.arange(101.0))
    assert (told.low, told.value, told.high) == (5.0, 50.0, 95.0)


def test_past_years_add_their_spread(fitted):
    years = [porch(3, seed, mean_c=mean) for seed, mean in ((1, 8.0), (2, 14.0), (3, 20.0))]
    one, three = what_will_happen(fitted, years[1], 50.0), what_will_happen(fitted, years, 50.0)
    assert three.years == 3
    assert three.hottest_c.high - three.hottest_c.low > 2 * (one.hottest_c.high - one.hottest_c.low)


def test_shade_cools_what_is_foretold(fitted):
    hottest = [what_will_happen(fitted, hot_days(), 0.0, shade_share=share).hottest_c.value for share in (0.0, 0.5, 0.9)]
    assert np.all(np.diff(hottest) < -2)


def test_water_is_not_foretold_for_a_closed_dome():
    ahead = what_will_happen(DomeSpec(water_mm=6.0), steady(20.0, 50.0), 0.0)
    assert (ahead.water_unknown, ahead.water_g_day, ahead.dry_at_s) == (True, None, None)
    opened = what_will_happen(DomeSpec(water_mm=6.0), steady(20.0, 50.0, wind_m_s=0.38, days=12), 200.0)
    assert opened.water_g_day > 50
    assert opened.dry_at_s is not None


def test_weather_that_is_one_long_gap_foretells_nothing(fitted):
    outside = porch(3)
    gone = np.full(outside.time_s.size, np.nan)
    gone[0] = 12.0
    ahead = what_will_happen(fitted, OutsideAir(outside.time_s, gone, 60.0), 50.0, from_s=86_400)
    assert np.isnan([ahead.hottest_c.value, ahead.hottest_at_s, ahead.chance_of_heat]).all()
    assert ahead.unknown_hours == 48.5


@pytest.mark.parametrize("shade", [0.5, 0.7, 0.8])
def test_a_hole_in_the_day_hides_no_heat_and_one_in_the_night_takes_none_away(fitted, shade):
    whole = hot_days()
    begin, told = 3 * 86_400, {"shade_share": shade, "from_s": 3 * 86_400}
    noon = what_will_happen(fitted, without(whole, begin + 11 * 3600, begin + 14 * 3600), 0.0, **told)
    assert np.isnan([noon.chance_of_heat, noon.hottest_c.high, noon.hours_of_heat.value, noon.driest_pct.low]).all()
    assert noon.unknown_hours >= 4.0
    dark = what_will_happen(fitted, without(whole, begin + 20 * 3600, begin + 24 * 3600, sun_too=False), 0.0, **told)
    full = what_will_happen(fitted, whole, 0.0, **told)
    assert (dark.chance_of_heat, dark.hottest_c, full.unknown_hours) == (full.chance_of_heat, full.hottest_c, 0.0)
    assert dark.unknown_hours >= 4.0
    assert np.isnan(dark.coldest_c.value)


def without(outside, from_s, to_s, *, sun_too=True):
    """The same weather with nothing known between two moments."""
    gone = (outside.time_s >= from_s) & (outside.time_s <= to_s)
    warm, sun = np.where(gone, np.nan, outside.temperature_c), np.where(gone & sun_too, np.nan, outside.solar_w_m2)
    return OutsideAir(outside.time_s, warm, outside.relative_humidity_pct, sun, outside.wind_m_s)


def test_a_year_with_a_hole_in_its_day_is_left_to_the_others(fitted):
    whole = hot_days()
    holed = without(whole, 3 * 86_400 + 11 * 3600, 3 * 86_400 + 14 * 3600)
    both = what_will_happen(fitted, [holed, whole], 0.0, shade_share=0.5, from_s=3 * 86_400)
    alone = what_will_happen(fitted, whole, 0.0, shade_share=0.5, from_s=3 * 86_400)
    assert (both.chance_of_heat, both.hottest_c) == (alone.chance_of_heat, alone.hottest_c)
    assert both.unknown_hours >= 4.0


def test_no_weather_is_refused(fitted):
    with pytest.raises(BadValue, match="outside is 'no weather'; allowed: one stretch of weather or more"):
        what_will_happen(fitted, [], 50.0)
