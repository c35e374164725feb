"""Limits of a dome's air: defaults, order, where each comes from."""

from dataclasses import fields

import pytest

from scionary.dome import AirLimits
from scionary.errors import BadValue


def test_every_limit_is_listed_with_unit_and_source():
    listed = AirLimits().assumptions()
    assert [each["name"] for each in listed] == [each.name for each in fields(AirLimits)]
    assert all(each["unit"] and each["source"] for each in listed)


def test_every_limit_is_documented():
    assert all(f"    {each.name} :" in (AirLimits.__doc__ or "") for each in fields(AirLimits))


def test_a_changed_limit_says_so_and_keeps_its_default():
    listed = {each["name"]: each for each in AirLimits(heat_limit_c=28.0).assumptions()}
    assert listed["heat_limit_c"]["value"] == 28.0
    assert listed["heat_limit_c"]["source"] == "changed by hand; the default is 30, " + AirLimits().assumptions()[2]["source"]
    assert listed["stuck_after_s"]["source"] == "project default, unsourced"
    assert "Hort. Sci. 35:405 (1966)" in listed["callus_best_c"]["source"]


def test_a_gap_in_seconds_is_a_change_from_none():
    listed = {each["name"]: each for each in AirLimits(gap_after_s=900.0).assumptions()}
    assert listed["gap_after_s"]["source"].startswith("changed by hand; the default is None")


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"callus_low_c": 24.0}, "callus_high_c is 24.0; allowed: above callus_low_c, which is 24"),
        ({"callus_high_c": 31.0}, "heat_limit_c is 30.0; allowed: above callus_high_c, which is 31"),
        ({"callus_base_c": 26.0}, "callus_best_c is 25.0; allowed: above callus_base_c, which is 26"),
        ({"callus_days": 14.0}, "callus_days is 14.0; allowed: above callus_days_low, which is 14"),
        ({"callus_days_low": 0.0}, "callus_days_low is 0.0; allowed: above 0 d"),
        ({"day_to_h": 25.0}, "day_to_h is 25.0; allowed: 0 to 24 h"),
        ({"mould_after_s": 0.0}, "mould_after_s is 0.0; allowed: above 0 s"),
        ({"callus_best_c": 30.0}, "heat_limit_c is 30.0; allowed: above callus_best_c, which is 30"),
        ({"humidity_low_pct": 101.0}, "humidity_low_pct is 101.0; allowed: 0 to 100 %"),
        ({"saturated_pct": -1.0}, "saturated_pct is -1.0; allowed: 0 to 100 %"),
        ({"gap_after_intervals": 0.5}, "gap_after_intervals is 0.5; allowed: 1 or more"),
        ({"gap_after_s": 0.0}, "gap_after_s is 0.0; allowed: above 0 s"),
        ({"stuck_after_s": -5.0}, "stuck_after_s is -5.0; allowed: above 0 s"),
        ({"heat_limit_c": float("nan")}, "heat_limit_c is nan; allowed: a finite number"),
    ],
)
def test_limits_that_contradict_each_other_are_refused(changed, message):
    with pytest.raises(BadValue, match=message):
        AirLimits(**changed)
