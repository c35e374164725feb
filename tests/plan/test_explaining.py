"""A plan explains itself: prices confirmed by solving again, cut wishes, helpful changes, wishes cheap to make sure of."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.plan import (
    Effort,
    LimitKind,
    Options,
    PlanProblem,
    PlanResult,
    Rooms,
    Sticks,
    Targets,
    cheap_to_make_sure,
    cut_wishes,
    evaluate_plan,
    more_hours,
    more_money,
    more_sticks,
    more_stocks,
    more_trays,
    only_pots,
    solve_plan,
    try_instead,
    what_holds_back,
)
from scionary.plan import explaining as explaining_module
from scionary.plan.again import Again, solve_again
from scionary.plan.limits import LimitRows
from small_seasons import best_by_counting, by_hand, small, tiny


def solved(problem: PlanProblem) -> PlanResult:
    return solve_plan(problem, effort=Effort.EXACT, luck=False, rng=1, seasons=2_000)


@pytest.mark.parametrize("seed", [0, 3, 6])
def test_one_unit_more_and_less_is_worth_what_counting_says(seed: int) -> None:
    problem = tiny(seed)
    result = solved(problem)
    now, _ = best_by_counting(problem)
    limits = what_holds_back(problem, result).limits
    assert limits
    for held in limits:
        weeks = slice(held.limit.week, held.last_week + 1)
        more, less = (best_by_counting(_with(problem, held.limit.kind, held.limit.of, weeks, by))[0] for by in (1.0, -1.0))
        assert (held.one_more, held.one_less) == (pytest.approx(more - now, abs=1e-4), pytest.approx(now - less, abs=1e-4)), held.words
        assert held.within == pytest.approx(0.0, abs=1e-4)


def _with(problem: PlanProblem, kind: LimitKind, of: int, weeks: slice, by: float) -> PlanProblem:
    if kind is LimitKind.TRAYS:
        return more_trays(problem, of, by, weeks)
    if kind is LimitKind.BENCH:
        return more_hours(problem, by, weeks)
    if kind is LimitKind.STICKS:
        return more_sticks(problem, of, by)
    if kind is LimitKind.BUDGET:
        return more_money(problem, by)
    usable = np.floor(problem.stocks.number[of] * 0.9 + 1e-9) + by
    return more_stocks(problem, of, float(np.ceil(usable / 0.9) - problem.stocks.number[of]))


def test_a_tray_is_one_more_for_as_long_as_grafts_stay_in_it() -> None:
    problem = tiny(3)
    (held,) = (each for each in what_holds_back(problem, solved(problem)).limits if each.limit.kind is LimitKind.TRAYS)
    assert (held.limit.week, held.last_week) == (0, 1)
    assert held.words.startswith("one more tray from week 9 to week 10 is worth")
    for_a_week = max(best_by_counting(more_trays(problem, 0, 1.0, slice(at, at + 1)))[0] for at in range(3))
    assert held.one_more > for_a_week - best_by_counting(problem)[0] + 1.0  # a week alone is no use to grafts that stay two


def test_what_a_tray_is_worth_is_said_in_one_sentence_by_the_judging_seasons() -> None:
    problem = by_hand()
    result = solved(problem)
    held = what_holds_back(problem, result).limits[0]
    assert held.price == pytest.approx(92.5)
    assert held.one_more == pytest.approx(225.0 - 187.0, abs=1e-4)
    more = evaluate_plan(more_trays(problem, 0), (8, 8), seasons=2_000, rng=result.judge).mean - result.seen.mean
    none = result.seen.mean - evaluate_plan(problem, (0, 0), seasons=2_000, rng=result.judge).mean
    assert (
        held.words == f"one more tray in the week is worth {more:.0f}, checked by solving with one more; one fewer would cost {none:.0f}."
    )


def test_where_certainty_is_asked_money_is_told_apart_from_what_counts_it() -> None:
    problem = small(3)
    result = solve_plan(problem, assurance=0.9, effort=Effort.EXACT, rng=1, seasons=2_000)
    explained = what_holds_back(problem, result)
    held, change = explained.limits[0], explained.changes[0]
    assert "in money and" in held.words
    assert "counting how sure you want to be" in held.words
    tried = try_instead(change.problem, result, rng=1)
    assert tried.result.seen.mean - result.seen.mean == pytest.approx(change.judged.money, abs=0.03 * result.seen.mean)
    assert tried.worth == pytest.approx(change.judged.score, abs=0.03 * abs(result.seen.score))
    assert change.judged.score > change.judged.money + 1.0


def test_within_covers_the_plan_with_one_fewer_too(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = by_hand()
    result = solved(problem)

    def loose(result: PlanResult, held: Any, seasons: Any, rows: LimitRows, *, whole: bool) -> Again:
        again = solve_again(result, held, seasons, rows, whole=whole)
        return replace(again, bound=again.bound + 40.0) if np.any(rows.upper < result.rows.upper - 0.5) else again

    monkeypatch.setattr(explaining_module, "solve_again", loose)
    assert what_holds_back(problem, result).limits[0].within == pytest.approx(40.0, abs=1e-3)


def test_a_cut_wish_is_told_by_its_money_and_by_what_it_would_take() -> None:
    problem = by_hand()
    (cut, *_) = cut_wishes(problem, solved(problem))
    assert cut.target == 1
    why = "one more graft would bring 12.00 and cost 6.00, but takes one more place for pot in the week, worth 9.25 to others"
    assert cut.words == f"B: 2.4 of 3 expected: {why}."


def test_what_only_the_wish_itself_uses_is_worth_nothing_to_others() -> None:
    problem = replace(by_hand(places=100), sticks=Sticks(("tree A",), 3), options=Options((0, 1), 0, mother_tree=(0, -1), cost=(8.0, 6.0)))
    (cut,) = cut_wishes(problem, solved(problem))
    assert cut.takes_from == ()
    assert cut.only == ("3 sticks of tree A",)
    assert cut.words.endswith("but there are only 3 sticks of tree A.")
    assert "others" not in cut.words


def test_places_in_a_tray_are_used_by_others_that_stand_there_in_other_weeks() -> None:
    problem = replace(
        by_hand(),
        options=Options((0, 1), (0, 1), healing_weeks=2, cost=(8.0, 6.0)),
        rooms=Rooms(("tray",), 1, 10),
        weeks=("week 9", "week 10", "week 11"),
        bench_hours=99.0,
    )
    result = solved(problem)
    assert result.grafts[1] == 0  # A fills the one tray while B would have to stand in it
    cut = next(each for each in cut_wishes(problem, result) if each.target == 1)
    assert cut.only == ()
    assert [what for what, _ in cut.takes_from] == ["one more place for pot in week 10"]


def test_what_a_graft_brings_and_takes_adds_up_in_one_kind_of_money_each() -> None:
    problem = by_hand()
    result = solve_plan(problem, assurance=0.7, effort=Effort.EXACT, luck=False, rng=1, seasons=2_000)
    cut = next(each for each in cut_wishes(problem, result) if each.target == 1)
    (_, taken), *_ = cut.takes_from
    plan = result.grafts.astype(float)
    one_more = result.made_from.worth(plan + np.array([0.0, 1.0])) - result.made_from.worth(plan)
    assert cut.brings + cut.surety == pytest.approx(one_more, abs=1e-6)
    assert cut.brings == pytest.approx(replace(result.made_from, assurance=np.full(2, np.nan)).worth(plan + np.array([0.0, 1.0]))
                                       - replace(result.made_from, assurance=np.full(2, np.nan)).worth(plan), abs=1e-6)  # fmt: skip
    assert cut.surety > 1.0
    assert any(taken == pytest.approx(price) for price in result.relaxation.prices)
    assert "more counting how sure you want to be, and cost 6.00" in cut.words
    assert "to others (counting how sure they are to be)" in cut.words


def test_a_wish_that_should_be_surer_is_told_though_enough_is_expected() -> None:
    problem = by_hand(places=100)
    result = solved(problem)
    assert cut_wishes(problem, result) == ()
    (told,) = cut_wishes(problem, result, also=(0,))
    assert told.words.startswith(f"A: enough with a chance of {100 * result.chance[0]:.0f} %: one more graft would bring")


def test_a_wish_that_costs_more_than_it_brings_says_so() -> None:
    problem = replace(by_hand(places=100), targets=Targets(("A", "B"), (4, 3), (50.0, 6.0)))
    found = {cut.target: cut.words for cut in cut_wishes(problem, solved(problem))}
    assert "one more graft would bring 3.60 and cost 6.00" in found[1]


def test_a_wish_without_a_way_says_why() -> None:
    problem = replace(by_hand(), targets=Targets(("A", "B", "C"), 3, 50.0, latest_week=(9, -1, 9)))
    words = {cut.target: cut.words for cut in cut_wishes(problem, solved(problem))}
    assert words[1].endswith("because it would come after the wish's last date.")
    assert words[2].endswith("because there is no mother tree, stock or window for it.")


def test_wishes_that_are_met_are_not_cut() -> None:
    assert cut_wishes(by_hand(places=100), solved(by_hand(places=100))) == ()


def test_helpful_changes_are_worth_what_solving_says() -> None:
    problem = small(3)
    result = solved(problem)
    changes = what_holds_back(problem, result).changes
    assert 1 <= len(changes) <= 3
    for change in changes:
        again = solved(change.problem)
        assert change.worth == pytest.approx(again.value - result.value, abs=change.within + 1e-3), change.words
        assert change.within < 0.02 * result.value


def test_where_nothing_is_scarce_nothing_helps() -> None:
    explained = what_holds_back(by_hand(places=100), solved(by_hand(places=100)))
    assert (explained.limits, explained.changes, explained.cut) == ((), (), ())


def test_explaining_can_be_stopped() -> None:
    explained = what_holds_back(small(3), solved(small(3)), progress=lambda fraction, words: False)
    assert (explained.limits, explained.changes, explained.sure) == ((), (), ())


def test_the_cheapest_wish_to_make_sure_of_is_the_one_that_costs_least() -> None:
    problem = by_hand(places=100)
    problem = replace(problem, targets=Targets(("A", "B"), (4, 3), 12.0), options=replace(problem.options, cost=np.array([8.0, 0.5])))
    found = cheap_to_make_sure(problem, solved(problem))
    assert found[0].target == 1
    assert all(each.chance < each.wanted for each in found)
    assert [each.cost for each in found] == sorted(each.cost for each in found)


def test_another_tray_is_tried_beside_the_present_plan() -> None:
    problem = by_hand()
    present = solve_plan(problem, effort=Effort.EXACT, rng=1)
    instead = try_instead(more_trays(problem, 0), present, rng=1)
    assert instead.grafts > 0
    assert instead.worth > 0.0
    assert instead.chance.min() > 0.0
    assert instead.result.effort is present.effort


def test_more_of_something_never_looks_worse() -> None:
    problem = small(6)
    present = solve_plan(problem, rng=4)
    for changed in (more_trays(problem, 1), more_hours(problem, 8.0, slice(0, 1)), more_sticks(problem, 0, 1)):
        assert try_instead(changed, present, rng=4).worth >= 0.0


def test_fewer_kinds_of_pot_leave_the_others_empty() -> None:
    problem = small(2)
    result = solve_plan(only_pots(problem, (0,)), rng=1)
    assert result.grafts[problem.options.pot == 1].sum() == 0
    assert result.grafts.sum() > 0
    with pytest.raises(BadValue, match="at least one kind of pot"):
        only_pots(problem, (7,))


def test_supplies_never_fall_below_none() -> None:
    problem = tiny(1)
    assert more_trays(problem, 0, -99).rooms.available.max() == 0.0
    assert more_hours(problem, -99).bench_hours.max() == 0.0
    assert more_stocks(problem, 0, -99).stocks.number[0] == 0.0
    assert more_sticks(problem, 0, -99).sticks.number[0] == 0.0
    assert more_money(problem, -999).budget == 0.0


def test_other_wishes_cannot_be_set_beside_the_present_plan() -> None:
    present = solve_plan(by_hand(), rng=1)
    with pytest.raises(BadValue, match="the 2 wishes of the present plan"):
        try_instead(small(1), present, rng=1)
