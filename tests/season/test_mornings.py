"""The mornings of a week."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import Rating, Stage, TreeWater, best_mornings, mornings_of, tree_balance

DAYS = np.arange(np.datetime64("2025-07-20"), np.datetime64("2025-07-27"))
RIPE = [{Stage.RIPE: 1.0}] * 7


def week(rain_mm, demand_kpa, tree=None, wet_mm=0.0):
    tree = tree or TreeWater(30.0)
    balance = tree_balance(tree, rain_mm, np.full(7, 6.0), start_deficit_mm=0.0)
    more = {"night_low_c": 12.0, "demand_kpa": demand_kpa, "wet_mm": wet_mm, "stage_chances": RIPE}
    return mornings_of(DAYS, leafy=True, rain_mm=rain_mm, balance=balance, **more)


def test_the_mornings_after_rain_come_first_and_the_dry_end_is_left_out():
    rain = np.array([25.0, 0, 0, 0, 0, 0, 0])
    found = best_mornings(DAYS, week(rain, np.linspace(0.3, 0.9, 7)), most=7)
    assert [each.date for each in found][:3] == ["2025-07-20", "2025-07-21", "2025-07-22"]
    assert found[0].verdict.rating is Rating.GOOD
    assert "2025-07-26" not in {each.date for each in found}


def test_of_equal_mornings_the_moister_is_better():
    found = best_mornings(DAYS, week(np.full(7, 12.0), [0.7, 0.6, 0.5, 0.2, 0.5, 0.6, 0.7]))
    assert found[0].date == "2025-07-23"
    assert len(found) == 3


def test_stress_at_dawn_is_that_of_the_evening_before():
    rain = np.array([0, 0, 0, 0, 40.0, 0, 0])
    mornings = week(rain, 0.5)
    assert mornings[4].stress_low == mornings[4].stress_high < 0.9
    assert mornings[5].stress_low == mornings[5].stress_high == 1.0


def test_the_soaking_is_that_of_the_whole_days_before():
    mornings = week(np.array([8.0, 4, 0, 0, 0, 20, 0]), 0.5)
    assert [each.soaked_mm for each in mornings] == [None, None, 12.0, 4.0, 0.0, 0.0, 20.0]


def test_no_morning_is_good_when_all_are_bad():
    assert best_mornings(DAYS, week(np.zeros(7), 2.0)) == []


def test_answers_hold_for_the_first_morning_and_the_stage_for_all():
    mornings = week(np.full(7, 12.0), 0.5)
    found = best_mornings(DAYS, mornings, most=7, answers={"firm_at_dawn": False})
    assert "2025-07-20" not in {each.date for each in found}
    assert len(found) == 6
    assert best_mornings(DAYS, mornings, answers={"stage": Stage.SOFT}) == []


def test_without_a_balance_the_soaking_still_speaks():
    mornings = mornings_of(DAYS, leafy=True, rain_mm=np.full(7, 8.0), stage_chances=RIPE)
    found = best_mornings(DAYS, mornings)
    assert found[0].verdict.rating is Rating.DOUBT
    assert mornings[3].soaked_mm == 16.0


def test_a_forecast_that_ends_is_not_known():
    mornings = week(np.full(7, 12.0), [0.5, 0.5, np.nan, np.nan, np.nan, np.nan, np.nan])
    assert mornings[3].demand_kpa is None
    assert best_mornings(DAYS, mornings)[0].date == "2025-07-20"


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"dates": DAYS[[0, 2]]}, "without a gap"),
        ({"rain_mm": [1.0, 2.0]}, "rain_mm is '2 numbers'; allowed: as many as dates, 7"),
        ({"stage_chances": RIPE[:2]}, "stage_chances is '2 mornings'"),
    ],
)
def test_a_week_that_does_not_fit_is_refused(changed, message):
    given = {"dates": DAYS, "leafy": True, "rain_mm": 0.0} | changed
    with pytest.raises(BadValue, match=message):
        mornings_of(given.pop("dates"), **given)


def test_answers_to_other_questions_are_refused():
    with pytest.raises(BadValue, match="answers is"):
        best_mornings(DAYS, week(np.zeros(7), 0.5), answers={"leafy": False})
