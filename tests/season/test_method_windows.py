"""Windows from stage, day length and warmth: the same on both sides of the equator."""

import json

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import DORMANT_WINTER, LEAFY_SUMMER, Stage, WindowRule, method_windows


def weather(years, first="2000-12-21", mean=9.0, swing=11.0, seed=4):
    days = np.arange(np.datetime64(first), np.datetime64(first) + round(365.25 * years))
    rng = np.random.default_rng(seed)
    noise = np.convolve(rng.normal(0.0, 4.0, days.size + 4), np.full(5, 0.2), "valid")
    middle = mean - swing * np.cos((np.arange(days.size) - 25) * 2 * np.pi / 365.25) + noise
    return days, middle + 5.0, middle - 5.0


def found_at(latitude_deg, rules=(LEAFY_SUMMER, DORMANT_WINTER), first="2000-12-21", **more):
    return {window.method: window for window in method_windows(*weather(12, first, **more), latitude_deg=latitude_deg, rules=rules)}


def test_summer_and_winter_have_their_windows():
    found = found_at(47.2)
    summer, winter = found[LEAFY_SUMMER.method], found[DORMANT_WINTER.method]
    assert "2025-06-21" <= summer.date(summer.opens, "2024-12-21") < summer.date(summer.closes, "2024-12-21") < "2025-09-20"
    assert winter.opens == 0
    assert "2025-02-15" < winter.date(winter.closes, "2024-12-21") < "2025-05-15"
    assert summer.years >= 11


def test_the_south_has_the_same_windows_half_a_year_later():
    north = found_at(47.2)[LEAFY_SUMMER.method]
    south = found_at(-47.2, first="2000-06-21")[LEAFY_SUMMER.method]
    assert abs(north.opens - south.opens) <= 2
    assert abs(north.closes - south.closes) <= 2
    assert str(south.start[0])[5:] == "06-21"


def test_the_tropics_have_no_winter_wood_after_their_first_flush():
    winter = found_at(2.0, mean=26.0, swing=1.0)[DORMANT_WINTER.method]
    assert winter.opens is None or winter.closes < 20
    assert winter.shut_by["stage"][60:180].min() == 1.0


def test_years_that_differ_have_a_range():
    winter = found_at(47.2)[DORMANT_WINTER.method]
    assert winter.closes_range[0] < winter.closes_range[1]
    assert winter.closes_range[0] <= winter.closes <= winter.closes_range[1]


def test_heating_opens_what_cold_shuts():
    rule = WindowRule("Leafy, cool", (Stage.RIPE,), warmth_low_c=18.0, warmth_high_c=26.0)
    heated = WindowRule("Leafy, heated", (Stage.RIPE,), warmth_low_c=18.0, warmth_high_c=26.0, setpoint_c=19.0)
    found = found_at(47.2, (rule, heated))
    assert np.nansum(found["Leafy, heated"].chance) > 1.3 * np.nansum(found["Leafy, cool"].chance)


def test_a_window_over_the_shortest_day_is_one_window():
    found = found_at(47.2, (WindowRule("Any dormant wood", (Stage.DORMANT,)),))["Any dormant wood"]
    assert found.opens > 280
    assert found.closes > 365
    assert found.date(found.closes, "2024-12-21") > "2026-01-31"
    assert found.opens_range[0] <= found.opens <= found.opens_range[1]


def test_a_gap_that_leaves_the_stage_open_is_not_a_shut_day():
    days, high, low = weather(2)
    high[90:250] = np.nan
    window = method_windows(days, high, low, latitude_deg=47.2, rules=(DORMANT_WINTER,))[0]
    assert np.isnan(window.chance[150]) or window.years > 1
    assert method_windows(days[:300], high[:300], low[:300], latitude_deg=47.2, rules=(DORMANT_WINTER,))[0].to_dict()["chance"][170] is None


def test_a_single_leap_year_is_enough_to_answer():
    days, high, low = weather(1.2, first="2023-12-21")
    window = method_windows(days, high, low, latitude_deg=47.2)[0]
    assert window.opens is not None
    json.dumps(window.to_dict(), allow_nan=False)


def test_what_a_window_rests_on_is_told():
    window = found_at(47.2)[LEAFY_SUMMER.method]
    names = {row["name"] for row in window.assumptions}
    assert {"stages", "warmth_low_c", "day_low_h", "bud_break", "rest_mean_c"} <= names
    assert any("IPPS" in row["source"] for row in window.assumptions)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"stages": ()}, "one stage or more"),
        ({"healing_days": 0}, "healing_days is 0"),
        ({"warmth_low_c": 20.0, "warmth_high_c": 15.0}, "above warmth_low_c"),
    ],
)
def test_a_rule_that_no_day_can_keep_is_refused(changed, message):
    with pytest.raises(BadValue, match=message):
        WindowRule(**({"method": "M", "stages": (Stage.RIPE,)} | changed))
