"""Raising stocks from seed, counted back."""

from datetime import date, timedelta
from itertools import pairwise

import pytest

from scionary.errors import BadValue
from scionary.plan import MAPLE_FROM_SEED, GrowingSeason, RaisingStep, raise_from_seed

NORTH, SOUTH = GrowingSeason(105, 280), GrowingSeason(280, 100)
TODAY = date(2026, 11, 28)


def test_steps_follow_one_another_to_the_wanted_week():
    dates = raise_from_seed(100, date(2029, 8, 1), NORTH, today=TODAY)
    assert [each.step for each in dates] == list(MAPLE_FROM_SEED)
    assert dates[-1].ends == date(2029, 7, 30)
    assert all(first.ends == second.begins for first, second in pairwise(dates))
    assert all(each.begins.weekday() == 0 for each in dates)


def test_seeds_cover_all_that_is_lost_on_the_way():
    dates = raise_from_seed(100, date(2029, 8, 1), NORTH, today=TODAY)
    # by hand: 100, 100 / .8 = 125, / .9 = 139, / .9 = 155, / .6 = 259
    assert [each.number for each in dates] == [259, 155, 139, 125, 100]


def test_growing_waits_through_winter():
    step = RaisingStep("grow", 10, growing=True)
    (only,) = raise_from_seed(1, date(2028, 5, 15), NORTH, today=TODAY, steps=[step])
    # the season begins on day 105, 14 April 2028; four Mondays lie in it before 15 May, six before 7 October 2027
    assert only.begins == date(2027, 8, 30)
    plain = RaisingStep("stand", 10)
    assert raise_from_seed(1, date(2028, 5, 15), NORTH, today=TODAY, steps=[plain])[0].begins == date(2028, 3, 6)


def test_what_begins_in_spring_begins_in_spring():
    dates = raise_from_seed(100, date(2029, 8, 1), NORTH, today=TODAY)
    sown = dates[1].begins
    assert NORTH.holds(sown)
    assert not NORTH.holds(sown - timedelta(days=7))
    assert sown == date(2027, 4, 19)


def test_the_southern_season_lies_over_the_turn_of_the_year():
    assert SOUTH.holds(date(2027, 1, 10))
    assert not SOUTH.holds(date(2027, 7, 10))
    dates = raise_from_seed(10, date(2030, 2, 4), SOUTH, today=TODAY)
    assert dates[1].begins.month == 10


def test_what_should_have_begun_is_late():
    assert [each.late for each in raise_from_seed(10, date(2027, 8, 2), NORTH, today=TODAY)] == [True, True, True, True, False]


def test_defaults_say_that_they_have_no_source():
    assert {step.source for step in MAPLE_FROM_SEED} == {"common practice, no source"}


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: RaisingStep("x", -1), "weeks is -1"),
        (lambda: RaisingStep("x", 1, kept=0), "kept is 0"),
        (lambda: GrowingSeason(0, 100), "begins is 0"),
        (lambda: GrowingSeason(100, 110), "4 weeks or more after"),
        (lambda: raise_from_seed(0, TODAY, NORTH, today=TODAY), "wanted is 0"),
        (lambda: raise_from_seed(1, TODAY, NORTH, today=TODAY, steps=[]), "one step or more"),
        (lambda: raise_from_seed(1, TODAY, NORTH, today=TODAY, steps=[RaisingStep("x", 260)] * 3), "at most ten years"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
