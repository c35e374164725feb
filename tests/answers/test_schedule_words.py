"""A schedule says in plain words what asking for certainty costs and buys, and what another plan brings in money."""

from __future__ import annotations

from dataclasses import replace

from scionary.answers.schedule import Change, MostValue, Schedule
from scionary.answers.schedule_words import chance_under_most_value, change_worth, money_beside, surety_words
from web.made_schedule import a_schedule


def beside(schedule: Schedule, *chances: float, bought: bool = True, value: float = 1300.0) -> Schedule:
    return replace(schedule, most_value=MostValue(value, 14, chances, bought))


def test_what_certainty_costs_and_buys_is_said_beside_most_value() -> None:
    assert surety_words(beside(a_schedule(), 0.7, 0.4)) == (
        "As sure as asked: 1 of 2 wishes; under most value 0. Reached on average: 1.3; under most value 1.1."
        " It costs 50: most value is worth 1,300."
    )
    assert surety_words(beside(a_schedule(), 0.7, 0.4, value=1250.2)).endswith("It costs nothing.")
    assert surety_words(a_schedule()) == ""


def test_a_wish_that_loses_its_chance_is_named() -> None:
    assert surety_words(beside(a_schedule(), 0.7, 0.8)).endswith("To make others sure it takes the chance from 777 (31 % instead of 80 %).")


def test_certainty_that_was_not_found_is_said_plainly() -> None:
    told = surety_words(beside(a_schedule(effort="normal"), 0.95, 0.31, bought=False))
    assert told.startswith("No surer plan was found")
    assert told.endswith("This is the plan for most value.")
    assert surety_words(beside(a_schedule(effort="quick"), 0.95, 0.31, bought=False)) == f"{told} A longer look may find one."
    assert surety_words(beside(a_schedule(rows=()), 0.0, 0.0, bought=False)) == ""
    met, _ = a_schedule().wishes
    assert (
        surety_words(beside(a_schedule(wishes=(met,)), 0.95, bought=False)) == "Most value is as sure as you asked, and this is that plan."
    )


def test_each_wish_says_its_chance_under_most_value() -> None:
    schedule = beside(a_schedule(), 0.7, 0.4)
    assert [chance_under_most_value(schedule, wish) for wish in schedule.wishes] == ["Under most value 70 %.", "Under most value 40 %."]
    assert chance_under_most_value(a_schedule(), schedule.wishes[0]) == ""


def test_a_change_is_worth_what_trying_it_brings_in_money() -> None:
    change = Change("77", 483.2, 10.0, score=3357.0)
    assert change_worth(change) == "Tried with whole grafts: about 483 more. Counting also how sure you want to be: 3,357 better."
    assert change_worth(replace(change, score=483.3)) == "Tried with whole grafts: about 483 more."
    assert change_worth(replace(change, worth=-20.0)).startswith("Tried with whole grafts: about 20 less.")


def test_money_and_certainty_are_said_apart() -> None:
    schedule = a_schedule()
    surer = replace(schedule.tried[0], more=700.0)
    assert money_beside(schedule, surer) == "Value 1,300: 50 more than this plan. Counting also how sure you want to be: 700 better."
