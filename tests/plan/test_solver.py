"""The season's plan: exact where it can be counted, equal to a second way, sure, stopped, and never worse than the person's own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from oracle.extensive import extensive_form
from oracle.extensive import solved as extensively_solved

from scionary.errors import BadValue, Refused
from scionary.plan import Already, Effort, Options, PlanProblem, Rooms, Sticks, Stocks, Targets, evaluate_plan, solve_plan
from scionary.plan.limits import LimitKind
from scionary.plan.searching import true_value
from small_seasons import best_by_counting, by_hand, money_by_hand, small, tiny

LONG = os.environ.get("SCIONARY_HYPOTHESIS") == "long"


def test_the_instance_worked_out_by_hand_is_exact() -> None:
    found = solve_plan(by_hand(), effort=Effort.EXACT, luck=False, rng=1)
    assert found.grafts.tolist() == [6, 4]
    assert found.value == pytest.approx(187.0, abs=1e-6)
    assert found.bound == pytest.approx(187.0, abs=1e-5)


@pytest.mark.parametrize(("grafts", "value"), [((6, 4), 187.0), ((5, 5), 183.75), ((5, 4), 177.75), ((7, 3), 176.75), ((8, 8), 225.0)])
def test_each_plan_of_the_instance_is_worth_what_pencil_says(grafts: tuple[int, int], value: float) -> None:
    found = solve_plan(by_hand(), effort=Effort.QUICK, luck=False, rng=1)
    columns = np.array([*grafts, 0.0, 0.0])
    assert true_value(found.rows, found.made_from, columns) == pytest.approx(value, abs=1e-9)
    assert money_by_hand(by_hand(), grafts, 0) == pytest.approx(value, abs=1e-9)


def test_the_relaxation_of_the_instance_and_the_price_of_a_place() -> None:
    found = solve_plan(by_hand(), effort=Effort.QUICK, luck=False, rng=1)
    assert found.relaxation.value == pytest.approx(187.8125, abs=1e-6)
    assert found.relaxation.grafts == pytest.approx([6.25, 3.75], abs=1e-6)
    prices = {each.limit.kind: each.price for each in found.prices}
    assert prices[LimitKind.PLACES] == pytest.approx(9.25, abs=1e-6)
    assert prices[LimitKind.TRAYS] == pytest.approx(92.5, abs=1e-5)


def test_without_a_limit_the_instance_is_worth_225() -> None:
    found = solve_plan(by_hand(places=100), effort=Effort.EXACT, luck=False, rng=1)
    assert (found.grafts.tolist(), found.value) == ([8, 8], pytest.approx(225.0, abs=1e-6))


@pytest.mark.parametrize("seed", range(10))
def test_a_tiny_season_is_solved_to_the_best_plan_of_all(seed: int) -> None:
    problem = tiny(seed)
    found = solve_plan(problem, effort=Effort.EXACT, luck=False, rng=1)
    value, grafts = best_by_counting(problem)
    assert found.value == pytest.approx(value, rel=1e-6)
    assert money_by_hand(problem, found.grafts, int(found.trays.trays.sum())) == pytest.approx(value, rel=1e-6), grafts


@pytest.mark.parametrize("seed", range(40 if LONG else 4))
@pytest.mark.parametrize("assurance", [None, 0.8])
def test_a_small_season_equals_the_extensive_form(seed: int, assurance: float | None) -> None:
    found = solve_plan(small(seed), assurance=assurance, effort=Effort.EXACT, rng=seed)
    value, bound = extensively_solved(extensive_form(found.rows, found.made_from))
    assert found.value == pytest.approx(value, rel=1e-3)
    assert found.bound >= value - 1e-6 * abs(value)
    assert bound >= found.value - 1e-6 * abs(value)


def test_quick_and_normal_efforts_keep_their_bound_and_their_gap() -> None:
    exact = solve_plan(small(7), effort=Effort.EXACT, rng=3)
    for effort in (Effort.QUICK, Effort.NORMAL):
        found = solve_plan(small(7), effort=effort, rng=3)
        assert found.value <= exact.value * (1 + 1e-7) <= found.bound * (1 + 1e-6)
        assert found.gap == pytest.approx((found.bound - found.value) / found.value, abs=1e-9)


def test_the_same_seed_and_effort_give_the_same_plan() -> None:
    first, second = (solve_plan(small(2), effort=Effort.NORMAL, rng=11) for _ in range(2))
    assert first.grafts.tolist() == second.grafts.tolist()
    assert first.to_dict() == second.to_dict()


def test_another_seed_gives_other_seasons() -> None:
    first, second = (solve_plan(small(2), effort=Effort.QUICK, rng=seed) for seed in (11, 12))
    assert first.value != second.value


def test_watching_does_not_change_the_answer() -> None:
    alone = solve_plan(small(2), rng=11)
    assert solve_plan(small(2), rng=11, progress=lambda fraction, words: True).to_dict() == alone.to_dict()


def test_it_says_how_far_it_is_and_shows_a_quick_plan_first() -> None:
    told: list[tuple[float, str]] = []
    found = solve_plan(small(3), effort=Effort.EXACT, rng=1, progress=lambda *at: told.append(at))
    fractions = [fraction for fraction, _ in told]
    assert fractions == sorted(fractions)
    assert told[-1] == (1.0, "done")
    quick = next(words for fraction, words in told if fraction == pytest.approx(0.2))
    assert quick.startswith("a plan is found")
    assert found.complete


def test_stopped_it_gives_the_best_plan_so_far_and_says_so() -> None:
    found = solve_plan(small(3), effort=Effort.EXACT, rng=1, progress=lambda fraction, words: fraction < 0.2)
    assert (found.stopped, found.complete) == (True, False)
    assert found.grafts.sum() > 0
    assert found.value <= found.bound


def test_stopped_at_once_it_grafts_nothing_rather_than_fails() -> None:
    found = solve_plan(small(3), rng=1, progress=lambda fraction, words: False)
    assert (found.stopped, found.complete) == (True, False)
    assert json.loads(json.dumps(found.to_dict(), allow_nan=False))["stopped"]


def test_the_solver_says_nothing_on_the_terminal() -> None:
    code = "from small_seasons import small; from scionary.plan import solve_plan; solve_plan(small(3), rng=1)"
    folder = Path(__file__).resolve().parent.parent
    said = subprocess.run([sys.executable, "-c", code], cwd=folder, capture_output=True, text=True, check=True)
    assert (said.stdout, said.stderr) == ("", "")


def test_seconds_only_stop_early_and_the_result_says_so() -> None:
    hard = small(5, wishes=14, seasons=60)
    found = solve_plan(hard, effort=Effort.EXACT, seconds=0.02, rng=1)
    assert (found.complete, found.stopped) == (False, False)
    assert found.value <= found.bound


def test_the_luck_of_single_grafts_tempers_the_promise() -> None:
    problem = small(4, wishes=6, seasons=40)
    with_luck, without = (solve_plan(problem, effort=Effort.THOROUGH, luck=luck, rng=5) for luck in (True, False))
    assert abs(with_luck.optimism) < without.optimism
    assert with_luck.seen.mean >= without.seen.mean - 0.005 * abs(without.seen.mean)


def test_assurance_buys_chance_for_value() -> None:
    ample = Rooms(("small", "large"), 3, ((5, 2), (9, 5)))
    problem = replace(small(6, wishes=3, seasons=60), bench_hours=np.inf, rooms=ample, sticks=Sticks(("a", "b", "c"), 30))
    plain, sure = (solve_plan(problem, assurance=wanted, effort=Effort.THOROUGH, rng=5) for wanted in (None, 0.9))
    assert sure.chance.min() > plain.chance.min()
    assert sure.seen.mean < plain.seen.mean


def test_assurance_that_cannot_be_had_is_a_price_and_no_wall() -> None:
    found = solve_plan(small(6), assurance=0.99, rng=5)
    assert found.chance.min() < 0.99
    assert found.grafts.sum() > 0


def test_the_persons_own_plan_is_kept_when_it_is_better_and_breaks_nothing() -> None:
    problem = small(8)
    best = solve_plan(problem, effort=Effort.EXACT, rng=2)
    poor = solve_plan(problem, effort=Effort.QUICK, rng=2, own=best.grafts, progress=lambda fraction, words: fraction < 0.02)
    assert poor.kept_own
    assert poor.grafts.tolist() == best.grafts.tolist()
    assert poor.own == poor.seen or poor.own is not None
    in_its_seasons = poor.made_from.worth(best.grafts.astype(float)) - poor.seen.cost
    assert poor.value == pytest.approx(in_its_seasons, rel=1e-9)  # those of the bound, not those that judge it
    assert (poor.bound >= poor.value, poor.optimism) == (True, 0.0)


def test_the_persons_own_plan_cannot_win_when_it_breaks_a_limit() -> None:
    problem = small(8)
    roomy = replace(problem, rooms=Rooms(("small", "large"), 9, ((5, 2), (9, 5)), cost=(1.0, 2.0)))
    found = solve_plan(problem, rng=2, own=solve_plan(roomy, rng=2).grafts)
    assert found.own is not None
    assert found.own.score > found.seen.score
    assert any("1 × large in week" in words for words in found.own_broken)
    assert not found.kept_own


def test_never_worse_than_the_persons_own_numbers_under_the_same_seasons() -> None:
    problem = small(9)
    own = np.zeros(len(problem.options))
    own[:2] = 1.0
    found = solve_plan(problem, rng=2, own=own)
    assert found.own is not None
    assert found.own_broken == ()
    assert found.seen.score >= found.own.score


def test_no_room_at_all_is_a_plain_empty_plan() -> None:
    problem = replace(small(1), rooms=Rooms(("small", "large"), 0, ((5, 2), (9, 5))))
    found = solve_plan(problem, rng=1)
    assert found.grafts.sum() == 0
    assert set(found.rows.closed) == {"no tray takes that pot for so long"}


def test_a_wish_that_is_worth_nothing_is_not_grafted() -> None:
    problem = small(1)
    free = replace(problem.targets, value=(0.0, 30.0, 30.0, 30.0), penalty=0.0)
    found = solve_plan(replace(problem, targets=free), rng=1)
    assert found.grafts[problem.options.target == 0].sum() == 0
    assert found.grafts.sum() > 0


def test_stocks_that_come_after_every_window_leave_the_wish_out() -> None:
    late = PlanProblem(
        Targets(("A", "B"), 3, 40.0),
        Options((0, 1), 0, stock_lot=(0, 1)),
        Rooms(("tray",), 1, 20),
        ((0.8, 0.8),),
        stocks=Stocks(("early", "late"), 20, (0, 5)),
    )
    found = solve_plan(late, rng=1)
    assert found.grafts[0] > 0
    assert found.grafts[1] == 0
    assert found.rows.closed[1] == "its rootstocks are not there by then"


def test_limits_that_cannot_all_hold_are_named_in_words_of_the_season() -> None:
    problem = by_hand()
    problem = replace(problem, targets=replace(problem.targets, at_least=(4.0, 3.0)))
    with pytest.raises(
        Refused, match="These three cannot all hold: 1 × tray in the week; at least 4 A on average; at least 3 B on average"
    ):
        solve_plan(problem, rng=1)


def test_a_must_that_can_hold_is_kept_whatever_it_costs() -> None:
    problem = by_hand(places=14)
    dear = replace(problem.targets, at_least=(0.0, 4.8), value=(50.0, 1.0), penalty=0.0, salvage=0.0)
    found = solve_plan(replace(problem, targets=dear), effort=Effort.EXACT, luck=False, rng=1)
    assert found.grafts[1] == 8


def test_grafts_that_are_made_count_and_leave_less_to_make() -> None:
    problem = by_hand(places=40)
    made = Already(0, 5, ((0.5,), (0.9,)))
    whole, rest = (solve_plan(replace(problem, already=rows), effort=Effort.EXACT, luck=False, rng=1) for rows in (None, made))
    assert rest.grafts[0] == whole.grafts[0] - 5
    assert rest.value == pytest.approx(whole.value + 5 * 8.0)


def test_thousands_of_wishes_are_planned_quickly() -> None:
    count = 10_000 if LONG else 1_500
    rng = np.random.default_rng(1)
    targets = Targets(tuple(f"kind {at}" for at in range(count)), rng.integers(1, 9, count), rng.uniform(10, 90, count))
    problem = PlanProblem(
        targets, Options(np.arange(count), 0, cost=4.0), Rooms(("tray",), count * 3 // 100, 40), rng.uniform(0.4, 0.9, (8, count))
    )
    found = solve_plan(problem, effort=Effort.QUICK, rng=1, seasons=200)
    assert found.grafts.sum() > 1.1 * count
    assert found.gap < 0.02


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [("seconds", 0.0, "seconds is 0.0"), ("assurance", 1.0, "assurance is 1.0"), ("own", -1.0, "grafts|own is -1")],
)
def test_arguments_out_of_range_are_named(name: str, value: float, words: str) -> None:
    with pytest.raises(BadValue, match=words):
        solve_plan(by_hand(), rng=1, **{name: value})


def test_fresh_seasons_judge_the_plan_where_there_are_some() -> None:
    problem = by_hand()
    found = solve_plan(replace(problem, fresh_takes=((0.0, 0.0),)), rng=1, luck=False)
    assert found.seen.fresh
    assert found.chance.tolist() == [0.0, 0.0]
    assert not evaluate_plan(problem, found.grafts, rng=1).fresh


def test_parts_of_grafts_are_no_plan_of_ones_own() -> None:
    with pytest.raises(BadValue, match="whole grafts"):
        solve_plan(by_hand(), own=[6.4, 3.0], rng=1)
