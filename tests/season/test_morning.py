"""A morning's verdict: three plain answers are enough, and each reason says where it is from."""

import json

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import CutLimits, Morning, Rating, Stage, morning_to_cut

ANSWERS = {"leafy": True, "stage": Stage.HALF_RIPE, "soaked": True, "firm_at_dawn": True, "leaves_dry": True}
WEATHER = {
    "leafy": True,
    "stage_chances": {Stage.HALF_RIPE: 0.6, Stage.RIPE: 0.4},
    "stress_low": 1.0,
    "stress_high": 1.0,
    "soaked_mm": 14.0,
    "demand_kpa": 0.4,
    "night_low_c": 12.0,
    "wet_mm": 0.0,
}


def rating(**known):
    return morning_to_cut(Morning(**known)).rating


def reason(quantity, **known):
    return next(each for each in morning_to_cut(Morning(**known)).reasons if each.quantity == quantity)


def test_three_plain_answers_and_a_look_at_the_wood_are_enough():
    found = morning_to_cut(Morning(**ANSWERS))
    assert (found.rating, found.words) == (Rating.GOOD, "A morning to cut.")
    assert found.unknown == ("demand", "frost")


def test_weather_alone_is_enough_too():
    found = morning_to_cut(Morning(**WEATHER))
    assert (found.rating, found.unknown) == (Rating.GOOD, ())


@pytest.mark.parametrize(
    ("changed", "expected", "quantity"),
    [
        ({"firm_at_dawn": False}, Rating.BAD, "firm"),
        ({"stress_low": 0.5, "stress_high": 0.6}, Rating.BAD, "stress"),
        ({"stress_low": 0.8, "stress_high": 0.8}, Rating.DOUBT, "stress"),
        ({"stress_low": 0.0, "stress_high": 1.0}, Rating.DOUBT, "stress"),
        ({"demand_kpa": 1.0}, Rating.DOUBT, "demand"),
        ({"demand_kpa": 1.6}, Rating.BAD, "demand"),
        ({"night_low_c": 0.0}, Rating.BAD, "frost"),
        ({"wet_mm": 2.0}, Rating.DOUBT, "wet"),
        ({"leaves_dry": False}, Rating.DOUBT, "wet"),
        ({"stage": Stage.SOFT}, Rating.BAD, "stage"),
        ({"stage_chances": {Stage.SOFT: 0.5, Stage.HALF_RIPE: 0.5}}, Rating.DOUBT, "stage"),
        ({"stage_chances": {Stage.SOFT: 0.9, Stage.HALF_RIPE: 0.1}}, Rating.BAD, "stage"),
    ],
)
def test_each_thing_alone_spoils_a_morning_and_stands_first(changed, expected, quantity):
    found = morning_to_cut(Morning(**(WEATHER | changed)))
    assert (found.rating, found.reasons[0].quantity) == (expected, quantity)
    assert found.words.startswith("Not this morning: " if expected is Rating.BAD else "In doubt: ")


def test_what_was_seen_counts_before_what_was_computed():
    dry = WEATHER | {"stress_low": 0.3, "stress_high": 0.3}
    assert rating(**(dry | {"firm_at_dawn": True})) is Rating.DOUBT
    assert rating(**(WEATHER | {"wet_mm": 3.0, "leaves_dry": True})) is Rating.GOOD
    assert rating(**(WEATHER | {"stage_chances": {Stage.SOFT: 1.0}, "stage": Stage.RIPE})) is Rating.GOOD


def test_a_soaking_is_no_condition_where_the_soil_is_known_to_hold_enough():
    assert rating(**(WEATHER | {"soaked_mm": 0.0})) is Rating.GOOD
    assert rating(**(WEATHER | {"soaked_mm": 0.0, "stress_low": 0.9, "stress_high": 0.9})) is Rating.DOUBT


def test_nothing_known_is_a_doubt_that_asks():
    found = morning_to_cut(Morning(leafy=True))
    assert found.rating is Rating.DOUBT
    assert {each.quantity for each in found.reasons} == {"stage", "firm", "soaked"}
    assert all(each.value is None for each in found.reasons)
    assert "Were leaves firm at dawn?" in found.words
    assert set(found.unknown) == {"stage", "firm", "soaked", "demand", "frost", "wet"}


@pytest.mark.parametrize(
    ("night_low_c", "now_c", "expected"),
    [(-6.0, -2.0, Rating.BAD), (-6.0, 1.0, Rating.DOUBT), (-6.0, None, Rating.DOUBT), (-6.0, 5.0, Rating.GOOD), (2.0, None, Rating.GOOD)],
)
def test_frozen_wood_waits_until_it_has_thawed(night_low_c, now_c, expected):
    assert rating(leafy=False, stage=Stage.DORMANT, night_low_c=night_low_c, now_c=now_c) is expected


def test_dry_soil_and_dry_air_do_not_matter_to_dormant_wood():
    found = morning_to_cut(Morning(leafy=False, stage=Stage.DORMANT, stress_low=0.2, stress_high=0.2, demand_kpa=2.0, leaves_dry=True))
    assert found.rating is Rating.GOOD
    assert {each.quantity for each in found.reasons} == {"stage", "wet"}


def test_leaves_hurt_by_frost_stay_hurt_when_it_warms():
    assert rating(**(WEATHER | {"night_low_c": -1.0, "now_c": 12.0})) is Rating.BAD


def test_a_method_may_take_soft_wood():
    assert rating(**(ANSWERS | {"stage": Stage.SOFT, "stages_wanted": (Stage.SOFT,)})) is Rating.GOOD


def test_every_reason_says_where_its_limit_is_from():
    for known in (ANSWERS, WEATHER, {"leafy": True}, {"leafy": False, "night_low_c": -5.0}):
        assert all(("no source" in each.source) or ("unsourced" in each.source) for each in morning_to_cut(Morning(**known)).reasons)
    assert reason("stress", **WEATHER).source.startswith("FAO-56")


def test_a_changed_limit_counts_and_says_so():
    limits = CutLimits(demand_good_kpa=0.3)
    found = morning_to_cut(Morning(**WEATHER), limits)
    assert found.rating is Rating.DOUBT
    assert found.reasons[0].source == "changed by hand; the default is 0.8, project default, unsourced"
    assert {row["name"]: row["value"] for row in limits.assumptions()}["demand_good_kpa"] == 0.3


def test_a_range_is_told_as_a_range():
    assert reason("stress", **(WEATHER | {"stress_low": 0.4, "stress_high": 1.0})).value == "0.4 to 1"


def test_not_a_number_is_not_known():
    assert morning_to_cut(Morning(**(WEATHER | {"demand_kpa": np.nan}))).unknown == ("demand",)


def test_it_can_be_sent_as_json():
    assert json.loads(json.dumps(morning_to_cut(Morning(**WEATHER)).to_dict()))["rating"] == "good"


@pytest.mark.parametrize(
    ("known", "message"),
    [
        ({"night_low_c": 68.0}, r"night_low_c is 68\.0"),
        ({"stress_low": 0.5}, "stress_high is None; allowed: given with stress_low"),
        ({"demand_kpa": -1.0}, "demand_kpa is -1"),
    ],
)
def test_a_morning_that_cannot_be_is_refused(known, message):
    with pytest.raises(BadValue, match=message):
        Morning(leafy=True, **known)


@pytest.mark.parametrize(
    "changed", [{"stress_good": 0.5}, {"demand_bad_kpa": 0.5}, {"frost_c": 5.0}, {"soak_days": 0.0}, {"soak_mm": float("nan")}]
)
def test_limits_that_contradict_each_other_are_refused(changed):
    with pytest.raises(BadValue):
        CutLimits(**changed)
