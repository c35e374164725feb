"""Limits that cannot all hold: the smallest such set, in words of the season."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from scionary.plan import Options, PlanProblem, Rooms, Sticks, Stocks, Targets, clash_words, clashing_limits
from small_seasons import by_hand, small


def test_limits_that_can_all_hold_do_not_clash() -> None:
    assert clashing_limits(by_hand()) == ()
    assert clashing_limits(small(3)) == ()


def test_wishes_against_room() -> None:
    assert clashing_limits(by_hand(), as_wished=True) == ("1 × tray in the week", "at least 4 A on average", "at least 3 B on average")
    assert clashing_limits(by_hand(places=12), as_wished=True) == ()


def test_the_smallest_of_several_clashes_is_named() -> None:
    problem = by_hand(places=20)
    problem = replace(
        problem,
        options=replace(problem.options, mother_tree=(0, 1)),
        sticks=Sticks(("tree A", "tree B"), (2, 99)),
        targets=replace(problem.targets, at_least=(9.0, 9.0)),
    )
    assert clashing_limits(problem) == ("2 sticks of tree A", "at least 9 A on average")


def test_no_smaller_set_clashes_and_the_named_one_does() -> None:
    problem = small(5)
    asked = replace(problem, targets=replace(problem.targets, at_least=problem.targets.wanted))
    found = clashing_limits(asked)
    assert found
    musts = [at for at, name in enumerate(problem.targets.names) if any(f" {name} on average" in words for words in found)]
    for fewer in itertools.chain.from_iterable(itertools.combinations(musts, size) for size in range(len(musts))):
        at_least = np.where(np.isin(np.arange(4), fewer), problem.targets.wanted, 0)
        kept = clashing_limits(replace(asked, targets=replace(asked.targets, at_least=at_least)))
        assert len(kept) == 0 or len(kept) >= len(found)


def test_whole_trays_can_clash_where_parts_of_trays_would_not() -> None:
    problem = PlanProblem(
        Targets(("A", "B"), 2, 10.0, at_least=(2, 2)),
        Options((0, 1), (0, 0), healing_weeks=(1, 2)),
        Rooms(("tray",), 1, 4),
        ((1.0, 1.0),),
        weeks=("week 1", "week 2"),
    )
    assert clashing_limits(problem) == ("1 × tray, week 1 to week 2", "at least 2 A on average", "at least 2 B on average")


def test_dates_that_contradict_one_another() -> None:
    problem = PlanProblem(
        Targets(("A",), 2, 10.0, at_least=2, latest_week=1),
        Options((0, 0), (0, 2), stock_lot=0),
        Rooms(("tray",), 1, 4),
        ((1.0, 1.0),),
        weeks=("week 1", "week 2", "week 3"),
        stocks=Stocks(("lot",), 9, arrival_week=1),
    )
    found = clashing_limits(problem)
    assert found[0] == "at least 2 A on average"
    assert found[1] == "each way to make it: its rootstocks are not there by then, or it would come after the wish's last date"


def test_a_wish_without_any_way() -> None:
    problem = replace(by_hand(), targets=Targets(("A", "B", "C"), 1, 10.0, at_least=(0, 0, 1)))
    assert clashing_limits(problem) == ("at least 1 C on average", "no way to make it: no mother tree, stock or window")


def test_numbers_fixed_by_hand_against_room() -> None:
    problem = replace(by_hand(), options=Options((0, 1), 0, least=(8, 0)))
    assert clashing_limits(problem) == ()
    crowded = replace(by_hand(), options=Options((0, 1), 0, least=(8, 4)))
    words = ("1 × tray in the week", "at least 8 grafts of A in the week, pot, graft", "at least 4 grafts of B in the week, pot, graft")
    assert clashing_limits(crowded) == words


def test_thousands_of_wishes_are_told_as_one_quickly() -> None:
    count = 3_000
    wishes = Targets(tuple(f"kind {at}" for at in range(count)), 4, 10.0)
    problem = PlanProblem(wishes, Options(np.arange(count), 0), Rooms(("tray",), 90, 40), np.full((1, count), 0.5))
    words = ("90 × tray in the week", "the whole number of each of 3,000 wishes, on average")
    assert clashing_limits(problem, as_wished=True) == words
    must = replace(problem, targets=replace(wishes, at_least=np.full(count, 4.0)))
    assert clashing_limits(must) == ("90 × tray in the week", "the least numbers of 3,000 wishes or ways together")


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        (("a",), "This cannot hold: a."),
        (("a", "b", "c"), "These three cannot all hold: a; b; c."),
        (("a",) * 12, "These 12 cannot all hold"),
    ],
)
def test_a_clash_is_said_in_one_sentence(limits: tuple[str, ...], words: str) -> None:
    assert clash_words(limits).startswith(words)
