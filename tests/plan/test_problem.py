"""A season to plan: its fields are brought to one shape, and what cannot be is refused by field and row."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.plan import Already, Options, PlanProblem, Rooms, Sticks, Stocks, Targets
from small_seasons import by_hand, small


def test_one_number_stands_for_all_rows() -> None:
    problem = small(1)
    assert problem.targets.penalty.tolist() == [4.0] * 4
    assert problem.rooms.available.shape == (2, 6)
    assert problem.survival.shape == (24,)


def test_a_record_is_not_changed_by_the_problem_that_uses_it() -> None:
    rooms = Rooms(("tray",), 1, 10)
    for weeks in (("one",), ("one", "two")):
        problem = PlanProblem(Targets(("A",), 1, 1.0), Options(0, 0), rooms, ((0.5,),), weeks=weeks)
        assert problem.rooms.available.shape == (1, len(weeks))
    assert rooms.available.shape == (1, 1)


def test_weeks_may_run_over_the_turn_of_a_year() -> None:
    weeks = ("week 52 of 2026", "week 53 of 2026", "week 1 of 2027")
    problem = PlanProblem(Targets(("A",), 1, 1.0), Options((0, 0, 0), (0, 1, 2)), Rooms(("tray",), 1, 10), ((0.5, 0.5, 0.5),), weeks=weeks)
    assert problem.option_words(1) == "A in week 53 of 2026, pot, graft"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"options": Options((0, 1), (0, 53))}, "options.week is 53.0 at index 1; allowed: below 1: the 1 weeks of this season"),
        ({"options": Options((0, 2), 0)}, "options.target is 2.0 at index 1; allowed: below 2: the 2 wishes"),
        ({"options": Options((0, 1), 0, stock_lot=0)}, "options.stock_lot is 0.0 at index 0"),
        ({"takes": ((0.5, 1.2),)}, r"takes is 1.2 at index \(0, 1\); allowed: 0 to 1"),
        ({"takes": ((0.5, np.nan),)}, "takes is nan"),
        ({"takes": ((0.5,),)}, "one row a season"),
        ({"budget": -1.0}, "budget is -1.0"),
        ({"budget": float("nan")}, "budget is nan"),
        ({"rare_share": 0.2}, "rare_share is 0.2; allowed: 0.5 to 1"),
        ({"from_week": 2}, "from_week"),
        ({"rooms": Rooms(("tray",), ((1, 1),), 10)}, "rooms.available"),
        ({"fresh_takes": ((0.5,),)}, "fresh_takes"),
        ({"already": Already(0, 1, ((0.5,), (0.5,), (0.5,)))}, "already.takes is '3 seasons'; allowed: the 2 seasons"),
        ({"already": Already(7, 1, ((0.5,), (0.5,)))}, "already.target is 7"),
    ],
)
def test_what_does_not_fit_together_is_named(fields: dict[str, Any], words: str) -> None:
    with pytest.raises(BadValue, match=words):
        replace(by_hand(), **fields)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Targets(("A",), -1, 5.0), "wanted is -1.0 at index 0"),
        (lambda: Targets(("A",), 1.5, 5.0), "wanted is 1.5 at index 0; allowed: a whole number"),
        (lambda: Targets(("A",), 1, -5.0), "value is -5.0"),
        (lambda: Targets(("A",), 1, 5.0, assurance=1.0), "assurance is 1.0"),
        (lambda: Targets(("A", "B"), (1, 2, 3), 5.0), "wanted"),
        (lambda: Options((0,), (0,), healing_weeks=0), "healing_weeks is 0.0"),
        (lambda: Options((0,), (0,), hours=-1.0), "hours is -1.0"),
        (lambda: Stocks(("lot",), "many"), "stocks.number"),
        (lambda: Sticks(("tree",), -2), "sticks.number is -2.0"),
        (lambda: Rooms(("tray",), -1, 4), "rooms.available is -1.0"),
        (lambda: Already(0, 1, ((1.5,),)), "already.takes is 1.5"),
    ],
)
def test_a_part_refuses_what_it_cannot_be(make: Any, words: str) -> None:
    with pytest.raises(BadValue, match=words):
        make()


def test_two_wishes_of_one_name_are_refused() -> None:
    with pytest.raises(BadValue, match=r"targets.names is 'A' at index 1; allowed: names of which no two are alike"):
        replace(by_hand(), targets=Targets(("A", "A"), 1, 5.0))


def test_nothing_wanted_or_no_way_is_refused() -> None:
    with pytest.raises(BadValue, match="at least one wish, one way to make it and one week"):
        replace(by_hand(), targets=Targets((), (), ()))


def test_one_too_many_never_beats_one_wanted() -> None:
    with pytest.raises(BadValue, match=r"targets.salvage is 90.0 at index 0"):
        replace(by_hand(), targets=Targets(("A", "B"), 1, 50.0, salvage=90.0))


def test_fewest_above_most_is_refused() -> None:
    with pytest.raises(BadValue, match=r"options.least is 5.0 at index 0"):
        replace(by_hand(), options=Options((0, 1), 0, least=(5, 0), most=4))


def test_stocks_that_any_method_can_use_are_no_fewer_than_those_of_one() -> None:
    with pytest.raises(BadValue, match=r"stocks.usable_by_any is 0.2"):
        replace(by_hand(), stocks=Stocks(("lot",), 10, usable_share=0.5, usable_by_any=0.2))


def test_too_many_ways_are_refused_with_what_to_leave_out() -> None:
    with pytest.raises(BadValue, match="at most 200,000 ways; leave out wishes, weeks or pots"):
        replace(by_hand(), options=Options(np.zeros(200_001), 0))


def test_what_is_made_from_a_season_shares_its_seasons_and_nobody_writes_to_them() -> None:
    draws = np.full((3, 24), 0.5)
    problem = replace(small(1), takes=draws, fresh_takes=draws + 0.1)
    changed = replace(problem, budget=50.0)
    assert changed.takes is problem.takes
    assert changed.fresh_takes is problem.fresh_takes
    draws[:] = 0.0  # the caller's own table stays the caller's
    assert problem.takes.min() == 0.5
    with pytest.raises(ValueError, match="read-only"):
        problem.takes[0, 0] = 0.1
