"""Every limit of a season binds where a grower says that it does, and is called by its name."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from scionary.plan import Effort, LimitKind, Options, PlanProblem, Pots, Rooms, Sticks, Stocks, Targets, broken_limits, solve_plan
from scionary.plan.closing import NO_ROOM, NO_STOCK_YET, NO_TAKE, OUTGROWN, PAST, TOO_LATE_FOR_FROST, TOO_LATE_FOR_WISH, closing_reasons
from scionary.plan.limit_writing import limit_rows

WEEKS = tuple(f"week {at}" for at in range(8, 16))


def season(week: Any = (0, 1, 2), *, wishes: int = 1, target: Any = 0, trays: Any = 9, take: float = 1.0, **more: Any) -> PlanProblem:
    """One or two wishes for twenty, that all take, and plenty of everything but what a test takes away."""
    parts = {name: more.pop(name) for name in list(more) if name in Options.__dataclass_fields__}
    options = Options(np.broadcast_to(target, len(week)), week, **{"healing_weeks": 2, "cost": 1.0, **parts})
    names = ("A", "B")[:wishes]
    rooms = more.pop("rooms", Rooms(("tray",), trays, 4))
    wanted = more.pop("targets", Targets(names, 20, 10.0, rare=more.pop("rare", False)))
    supply = more.pop("supply", Sticks())
    return PlanProblem(wanted, options, rooms, np.full((1, len(week)), take), weeks=WEEKS, sticks=supply, **more)


def grafts(problem: PlanProblem) -> list[int]:
    return solve_plan(problem, effort=Effort.EXACT, luck=False, rng=1, seasons=10).grafts.tolist()


def test_a_tray_holds_one_age_until_it_has_healed() -> None:
    assert sum(grafts(season(trays=1))) == 8
    assert sum(grafts(season(trays=1, healing_weeks=1))) == 12
    assert sum(grafts(season(trays=1, healing_weeks=3))) == 4


def test_trays_of_two_sizes_share_the_grafts_of_a_week() -> None:
    rooms = Rooms(("small", "large"), 1, ((4,), (9,)))
    assert sum(grafts(season((0,), rooms=rooms))) == 13


def test_trays_away_in_some_weeks_cannot_heal_in_them() -> None:
    rooms = Rooms(("tray",), ((1, 1, 1, 0, 1, 1, 1, 1),), 4)
    assert closing_reasons(season(rooms=rooms)) == ("", "", NO_ROOM)


def test_hours_at_the_bench_limit_a_week() -> None:
    assert grafts(season(hours=0.5, bench_hours=np.full(8, 2.0))) == [4, 4, 4]


def test_sticks_limit_a_mother_tree_in_its_window() -> None:
    problem = season(mother_tree=(0, 0, 1), sticks=0.5, supply=Sticks(("old tree, winter", "old tree, spring"), (3, 2)))
    assert grafts(problem)[2] == 4
    assert sum(grafts(problem)) == 10


def test_only_stocks_of_the_methods_thickness_count() -> None:
    stocks = Stocks(("lot",), 10, usable_share=((0.4, 0.9),))
    problem = season(method=(0, 0, 1), stock_lot=0, stocks=stocks, methods=("cleft", "veneer"))
    found = grafts(problem)
    assert sum(found) == 9
    assert sum(found[:2]) <= 4


def test_stocks_come_and_outgrow_their_pot() -> None:
    stocks = Stocks(("lot",), 99, arrival_week=1, outgrown_weeks=((3.0, np.inf),))
    rooms = Rooms(("tray",), 9, ((4, 2),))
    problem = season((0, 1, 2, 3, 3), pot=(0, 0, 0, 0, 1), stock_lot=0, stocks=stocks, rooms=rooms, pots=Pots(("small", "large")))
    assert closing_reasons(problem) == (NO_STOCK_YET, "", "", OUTGROWN, "")


def test_closed_ways_say_why() -> None:
    targets = Targets(("A",), 20, 10.0, latest_week=4)
    problem = season((0, 3, 4, 5, 1), targets=targets, last_safe_week=(9, 2, 9, 9, 9), from_week=1)
    problem = replace(problem, takes=((1.0, 1.0, 1.0, 1.0, 0.0),))
    assert closing_reasons(problem) == (PAST, TOO_LATE_FOR_FROST, "", TOO_LATE_FOR_WISH, NO_TAKE)
    slow = replace(problem, options=replace(problem.options, latest_week=(9, 9, 3, 9, 9)))
    assert closing_reasons(slow)[2] == TOO_LATE_FOR_WISH


def test_money_limits_grafts_trays_and_pots_together() -> None:
    rooms = Rooms(("tray",), 9, 4, cost=2.0)
    problem = season(rooms=rooms, budget=20.0, pots=Pots(("pot",), owned=3, price=1.0))
    found = solve_plan(problem, effort=Effort.EXACT, luck=False, rng=1, seasons=10)
    count, trays = int(found.grafts.sum()), int(found.trays.trays.sum())
    assert count + 2 * trays + max(count - 3, 0) <= 20
    assert (count, trays) == (8, 2)
    assert found.seen.cost == pytest.approx(17.0)


def test_a_rare_kind_is_never_all_in_one_week() -> None:
    problem = season(trays=99, rare=True, cost=(1.0, 2.0, 3.0))
    assert max(grafts(season(trays=99, cost=(1.0, 2.0, 3.0)))) == 20
    found = grafts(problem)
    assert sum(found) == 20
    assert max(found) <= 13


def test_a_single_graft_of_a_rare_kind_is_still_allowed() -> None:
    problem = season(trays=99, rare=True)
    assert sum(grafts(replace(problem, targets=Targets(("A",), 1, 10.0, rare=True)))) == 1


def test_a_rare_kind_with_one_week_is_never_all_in_one_tray() -> None:
    rooms = Rooms(("tray",), 9, 30, cost=5.0)
    common = solve_plan(season((0,), rooms=rooms), effort=Effort.EXACT, luck=False, rng=1, seasons=10)
    rare = solve_plan(season((0,), rooms=rooms, rare=True), effort=Effort.EXACT, luck=False, rng=1, seasons=10)
    assert common.trays.trays.tolist() == [1]
    assert rare.trays.trays.tolist() == [2]
    assert grafts(season((0,), rooms=Rooms(("tray",), 1, 30, cost=5.0), rare=True)) == [1]


def test_failed_stocks_are_grafted_again_as_often_as_they_fail_in_nine_seasons_of_ten() -> None:
    takes = np.column_stack([np.linspace(0.0, 0.9, 101), np.full(101, 1.0)])
    problem = season((0, 2), take=1.0, stock_lot=0, stocks=Stocks(("lot",), 10), regraft=(False, True))
    problem = replace(problem, takes=takes, targets=Targets(("A",), 20, 100.0))
    assert grafts(problem) == [10, 1]
    assert grafts(replace(problem, regraft_quantile=0.5)) == [10, 5]
    assert grafts(replace(problem, stocks=Stocks(("lot",), 10, failed=4))) == [10, 5]


def test_regrafts_wait_until_the_first_graft_is_out_of_its_tray() -> None:
    problem = season((0, 1), stock_lot=0, stocks=Stocks(("lot",), 10), regraft=(False, True))
    assert grafts(replace(problem, takes=((0.2, 1.0),))) == [10, 0]


def test_the_person_can_fix_numbers_of_a_way() -> None:
    assert grafts(season(trays=99, least=(0, 3, 0), most=(5, 3, 99)))[1] == 3


def test_each_limit_is_called_by_its_name() -> None:
    kept = {"stocks": Stocks(("spring lot",), 9), "supply": Sticks(("old tree",), 5), "bench_hours": np.full(8, 2.0), "budget": 50.0}
    words = {limit.words for limit in limit_rows(season(hours=0.5, mother_tree=0, stock_lot=0, **kept)).limits}
    wanted = {
        "9 × tray in week 9",
        "2 hours at the bench in week 8",
        "5 sticks of old tree",
        "9 usable stocks of spring lot",
        "a budget of 50",
    }
    assert wanted <= words


@pytest.mark.parametrize(
    ("own", "words"),
    [
        ((9, 0, 0), "2 × tray in week 8: the plan takes 3"),
        ((5, 0, 0), "2 hours at the bench in week 8: the plan takes 2.5 hours"),
        ((2, 2, 2), "5 sticks of old tree: the plan takes 6 sticks"),
        ((0, 0, 3), "A in week 10, pot, graft: from 0 to 2 allowed, planned 3"),
    ],
)
def test_limits_that_a_persons_plan_breaks_are_listed(own: Any, words: str) -> None:
    kept = {"bench_hours": np.full(8, 2.0), "supply": Sticks(("old tree",), 5)}
    assert words in broken_limits(season(trays=2, hours=0.5, mother_tree=0, most=(99, 99, 2), **kept), own)


def test_a_persons_plan_in_a_closed_week_is_told_why() -> None:
    problem = season(last_safe_week=(9, 9, 1))
    assert broken_limits(problem, (1, 1, 0)) == ()
    assert broken_limits(problem, (0, 0, 1)) == (f"A in week 10, pot, graft: {TOO_LATE_FOR_FROST}",)


def test_a_rare_kind_crowded_by_a_person_is_told() -> None:
    assert "A is rare: never all in one week or tray: the plan does not keep to that" in broken_limits(season(rare=True), (9, 0, 0))
    assert broken_limits(season(rare=True), (5, 4, 0)) == ()


def test_kinds_of_limits_are_told_apart() -> None:
    kinds = {limit.kind for limit in limit_rows(season(rare=True)).limits}
    assert kinds == {LimitKind.PLACES, LimitKind.TRAYS, LimitKind.SPREAD}
