from dataclasses import replace

import numpy as np
import pytest

from dome.dome_weather import porch, steady
from scionary.dome import Basis, DomeSpec, Met, OutsideAir, Vents, harden, hardening_steps, replan, simulate_dome, wilted
from scionary.errors import BadValue

SHADED = DomeSpec(shade_share=0.85)
WEATHER = porch(16, sunny=600.0)
DAY = 86_400.0


@pytest.fixture(scope="module")
def plan():
    """From closed to open over two weeks, in seven steps."""
    return hardening_steps(SHADED, WEATHER, start_vpd_kpa=0.15, end_vpd_kpa=0.45, days=14, largest_vent_cm2=300.0)


def by_day(air, outside, from_s, to_s):
    bright = np.interp(air.time_s, outside.time_s, outside.solar_w_m2) > 20
    return air.vapour_pressure_deficit_kpa[(air.time_s >= from_s) & (air.time_s < to_s) & bright].mean()


def test_demand_rises_by_even_steps_to_its_end(plan):
    wanted = [each.wanted_kpa for each in plan]
    assert len(plan) == 7
    np.testing.assert_allclose(np.diff(wanted), 0.3 / 7)
    assert wanted[-1] == pytest.approx(0.45)
    assert [each.at_s for each in plan] == sorted(each.at_s for each in plan)


def test_the_dome_does_what_the_steps_say(plan):
    met = [each for each in plan if each.met is Met.AS_WANTED]
    assert len(met) >= 4
    for each in met:
        window = each.until_s - 2 * DAY, each.until_s
        seen = by_day(simulate_dome(SHADED, WEATHER, each.vent_cm2), WEATHER, *window)
        assert each.expected.low <= seen <= each.expected.high
        assert 0.75 * each.wanted_kpa < each.expected.value <= 1.26 * each.wanted_kpa


def test_indoors_vents_open_steadily_more():
    steps = hardening_steps(DomeSpec(), steady(20.0, 50.0, wind_m_s=0.38, days=8), start_vpd_kpa=0.02, end_vpd_kpa=0.4, days=7)
    assert np.all(np.diff([each.vent_cm2 for each in steps]) > 0)
    assert steps[-1].expected.value == pytest.approx(0.4, rel=0.03)
    assert {each.met for each in steps} == {Met.AS_WANTED}
    assert steps[-1].share == pytest.approx(steps[-1].vent_cm2 / 200)


def test_steps_begin_in_the_evening_and_name_a_dull_day():
    dull = WEATHER.solar_w_m2 * np.where((WEATHER.time_s >= 3 * DAY) & (WEATHER.time_s < 4 * DAY), 0.15, 1.0)
    outside = OutsideAir(WEATHER.time_s, WEATHER.temperature_c, WEATHER.relative_humidity_pct, dull, WEATHER.wind_m_s)
    steps = hardening_steps(SHADED, outside, start_vpd_kpa=0.15, end_vpd_kpa=0.45, days=14)
    assert all(16 <= each.at_s / 3600 % 24 <= 18 for each in steps)
    assert steps[1].dull_at_s is not None
    assert 3.2 < steps[1].dull_at_s / DAY < 3.4
    assert steps[3].dull_at_s is None


def test_a_target_that_no_vent_gives_is_said():
    dry = hardening_steps(DomeSpec(), porch(8, sunny=900.0), start_vpd_kpa=0.01, end_vpd_kpa=0.05, days=7)
    assert {each.met for each in dry} == {Met.DRIER_EVEN_CLOSED}
    assert {each.vent_cm2 for each in dry} == {0.0}
    wet = hardening_steps(DomeSpec(), steady(12.0, 95.0, days=8), start_vpd_kpa=0.5, end_vpd_kpa=1.0, days=7)
    assert wet[-1].met is Met.LARGEST_NOT_ENOUGH
    assert wet[-1].share == 1.0


def test_a_log_that_was_drier_than_foretold_opens_less(plan):
    now = plan[3].at_s - 3600
    expected = plan[2].expected.value
    args = {"now_s": now, "largest_vent_cm2": 300.0}
    fair, drier = (replan(SHADED, WEATHER, plan, observed_vpd_kpa=expected * times, **args) for times in (1.0, 1.4))
    assert fair[:3] == drier[:3] == plan[:3]
    assert len(fair) == len(plan)
    assert fair[-1].wanted_kpa == drier[-1].wanted_kpa == pytest.approx(0.45)
    assert sum(each.vent_cm2 for each in drier[3:]) < sum(each.vent_cm2 for each in fair[3:])


def test_a_replan_believes_what_the_log_saw_against_what_was_expected(plan):
    gloomy = [replace(each, expected=replace(each.expected, value=each.expected.value / 1.5)) for each in plan]
    args = {"now_s": plan[3].at_s - 3600, "observed_vpd_kpa": plan[2].expected.value, "largest_vent_cm2": 300.0}
    believed, disbelieved = replan(SHADED, WEATHER, plan, **args), replan(SHADED, WEATHER, gloomy, **args)
    assert believed[-1].wanted_kpa == disbelieved[-1].wanted_kpa
    assert sum(each.vent_cm2 for each in disbelieved[3:]) < 0.9 * sum(each.vent_cm2 for each in believed[3:])


def test_nothing_is_added_where_the_air_is_as_dry_as_was_wanted(plan):
    assert replan(SHADED, WEATHER, plan, now_s=plan[3].at_s - 3600, observed_vpd_kpa=0.6) == plan[:3]


def test_wilting_closes_the_dome_and_stretches_the_rest(plan):
    now = plan[3].at_s + 7200
    after = wilted(plan, 3, now_s=now)
    assert after[:3] == plan[:3]
    closed = after[3]
    assert (closed.at_s, closed.vent_cm2, closed.basis) == (now, 0.0, Basis.WILTED)
    again = after[4:]
    assert [each.vent_cm2 for each in again] == [each.vent_cm2 for each in plan[2:]]
    assert again[0].at_s == now + 3 * DAY
    np.testing.assert_allclose(np.diff([each.at_s for each in again]), 1.5 * np.diff([each.at_s for each in plan[2:]]))
    assert {each.met for each in again} == {Met.UNKNOWN}


def test_a_stretched_plan_is_worked_out_again_when_weather_is_there(plan):
    after = wilted(plan, 3, now_s=plan[3].at_s + 7200)
    longer = porch(40, sunny=600.0)
    again = replan(SHADED, longer, after, now_s=after[4].at_s + DAY, observed_vpd_kpa=0.2, largest_vent_cm2=300.0)
    assert again[:5] == after[:5]
    assert again[-1].wanted_kpa == pytest.approx(0.45)
    assert np.isfinite(again[-1].expected.value)


@pytest.mark.parametrize(("wanted", "share", "given"), [(0.41, 0.25, 0.5), (0.39, 0.1521, 0.39)])
def test_vents_are_closed_again_only_for_a_demand_a_quarter_above_what_was_wanted(wanted, share, given):
    deficit = np.sqrt(np.array(harden.AREAS))[None, :, None]  # invented: half a kPa under a quarter of all vents
    found, expected, _ = harden._opening(deficit, wanted, 0.25)
    assert (found, expected.value) == pytest.approx((share, given))


def test_a_log_corrects_what_was_expected_by_no_more_than_a_factor_of_two(plan):
    now, seen = plan[3].at_s - 3600, plan[2].expected.value

    def left(times):
        told = [replace(each, expected=replace(each.expected, value=seen / times)) for each in plan]
        return [each.vent_cm2 for each in replan(SHADED, WEATHER, told, now_s=now, observed_vpd_kpa=seen, largest_vent_cm2=300.0)[3:]]

    assert left(2.0) == left(50.0)
    assert left(0.5) == left(0.02)
    assert left(2.0) != left(1.5)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"end_vpd_kpa": 0.1}, r"end_vpd_kpa is 0.1; allowed: above start_vpd_kpa, which is 0.15, to 4 kPa"),
        ({"days": 30}, r"outside is '16.0 days from the start'; allowed: the 30 days wanted; continue a forecast"),
        ({"days": 0}, "days is 0; allowed: up to 90 days"),
        ({"largest_vent_cm2": 0.0}, r"largest_vent_cm2 is 0.0; allowed: above 0"),
        ({"steps": 0}, "steps is 0; allowed: 1 to 90"),
    ],
)
def test_plans_that_cannot_be_are_refused_in_words(change, message):
    asked = {"start_vpd_kpa": 0.15, "end_vpd_kpa": 0.45, "days": 14}
    with pytest.raises(BadValue, match=message):
        hardening_steps(SHADED, WEATHER, **(asked | change))


def test_a_step_that_is_not_in_the_plan_is_refused(plan):
    with pytest.raises(BadValue, match="index is 9; allowed: 0 to 6, a step of the plan"):
        wilted(plan, 9, now_s=0.0)
    with pytest.raises(BadValue, match=r"stretch is 0\.5"):
        wilted(plan, 1, now_s=0.0, stretch=0.5)
    with pytest.raises(BadValue, match="steps is 'no steps'"):
        replan(SHADED, WEATHER, [], now_s=0.0, observed_vpd_kpa=0.2)


def test_a_whole_plan_followed_raises_demand(plan):
    vents = Vents([0.0, *(each.at_s for each in plan)], [0.0, *(each.vent_cm2 for each in plan)])
    outside = replace(WEATHER)
    air = simulate_dome(SHADED, outside, vents)
    seen = [by_day(air, outside, each.until_s - 2 * DAY, each.until_s) for each in plan]
    assert np.corrcoef(seen, [each.wanted_kpa for each in plan])[0, 1] > 0.8
