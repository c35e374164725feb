"""Stagings of a rare kind."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import Batch, Staging, rank_stagings, ready_stagings, survival_chance

SDS = {"season": 0.4, "day": 0.5, "dome": 1.0, "method": 0.6}


def normal(sd, nodes=201):
    """Points of a normal distribution and their weights, evenly spaced."""
    points = np.linspace(-7.0, 7.0, nodes)
    weight = np.exp(-0.5 * points**2)
    return sd * points, weight / weight.sum()


def failure(log_odds):
    return 1.0 / (1.0 + np.exp(log_odds))


def test_without_shared_luck_only_the_number_counts():
    draws = np.random.default_rng(1).normal(-0.5, 0.8, 500)
    expected = 1.0 - np.mean(failure(draws) ** 6)
    for staging in ready_stagings(6, days=2, domes=3, methods=2):
        found = survival_chance(staging, draws, {}, rng=1)
        assert found.chance == pytest.approx(expected, abs=1e-12)
        assert found.expected_takes == pytest.approx(6 * np.mean(1 - failure(draws)))


def test_chances_of_one_and_of_two_domes_agree_with_integrals():
    dome, weight = normal(1.0)
    log_odds = -0.8
    alone = 1.0 - weight @ failure(log_odds + dome) ** 6
    two = 1.0 - (weight @ failure(log_odds + dome) ** 3) ** 2
    once, split = ready_stagings(6, domes=2)
    for staging, expected in ((once, alone), (split, two)):
        found = survival_chance(staging, log_odds, {"dome": 1.0}, rng=3)
        assert found.chance == pytest.approx(expected, abs=4 * found.error)
        assert found.error < 0.002


def test_a_season_shared_by_all_agrees_with_a_double_integral():
    season, weight = normal(0.7, 101)
    day, day_weight = normal(0.9, 101)
    none = (failure(0.2 + season[:, None] + day) ** 2) @ day_weight
    staging = ready_stagings(4, days=2)[1]
    found = survival_chance(staging, 0.2, {"season": 0.7, "day": 0.9}, rng=5)
    assert found.chance == pytest.approx(1.0 - weight @ none**2, abs=4 * found.error)


@pytest.mark.parametrize(("domes", "chance"), [(1, 0.5), (2, 0.75), (3, 0.875)])
def test_domes_that_save_all_or_nothing_are_coins(domes, chance):
    staging = ready_stagings(6, domes=domes)[-1]
    found = survival_chance(staging, 0.0, {"dome": 500.0}, rng=2)
    assert found.chance == pytest.approx(chance, abs=4 * found.error + 0.003)


def test_splitting_raises_the_chance_and_not_the_mean():
    draws = np.random.default_rng(2).normal(-1.0, 0.6, 800)
    ranked = rank_stagings(ready_stagings(6, days=2, domes=2, methods=2), draws, SDS, rng=4)
    assert [one.chance for one in ranked] == sorted((one.chance for one in ranked), reverse=True)
    assert ranked[-1].staging.name == "everything at once"
    assert ranked[0].staging.name == "split over 2 days and 2 domes and 2 methods"
    assert ranked[0].chance > ranked[-1].chance + 0.05
    takes = [one.expected_takes for one in ranked]
    assert max(takes) - min(takes) < 0.05


def test_what_varies_most_is_worth_splitting_first():
    singles = [staging for staging in ready_stagings(6, days=2, domes=2, methods=2) if staging.name.count(" and ") == 0]
    ranked = rank_stagings(singles, -1.0, SDS, rng=4)
    assert [one.staging.name for one in ranked][:2] == ["split over 2 domes", "split over 2 methods"]


def test_parts_that_go_together_save_as_much_as_crossed_ones():
    together = Staging("together", (Batch(4, day=0, dome=0), Batch(4, day=1, dome=1)))
    crossed = Staging("crossed", tuple(Batch(2, day=day, dome=dome) for day in range(2) for dome in range(2)))
    first, second = rank_stagings([together, crossed], -1.5, {"day": 0.7, "dome": 0.7}, rng=6)
    assert first.chance == pytest.approx(second.chance, abs=0.015)


def test_a_second_method_that_takes_poorly_can_cost_more_than_it_saves():
    once, split = ready_stagings(6, methods=2)
    ranked = rank_stagings([split, once], -1.0, {"method": 0.3}, offsets={"method": [0.0, -2.0]}, rng=7)
    assert ranked[0].staging is once
    assert ranked[0].expected_takes > ranked[1].expected_takes


def test_sds_and_offsets_go_with_their_own_draws():
    draws, sds = np.array([-3.0, 1.0]), np.array([0.0, 2.0])
    dome, weight = normal(2.0)
    expected = 1.0 - (failure(-3.0 - 1.0) ** 3 + weight @ failure(1.0 + 0.5 + dome) ** 3) / 2.0
    found = survival_chance(ready_stagings(3)[0], draws, {"dome": sds}, offsets={"day": [[-1.0], [0.5]]}, rng=8)
    assert found.chance == pytest.approx(expected, abs=0.01)


def test_the_same_seed_gives_every_staging_the_same_luck():
    stagings = ready_stagings(5, days=3, domes=2)
    ranked = rank_stagings(stagings, -1.0, SDS, rng=9)
    assert set(ranked) == {survival_chance(staging, -1.0, SDS, rng=9) for staging in stagings}


def test_ready_stagings_use_every_graft_and_say_what_they_cost():
    stagings = ready_stagings(7, days=2, domes=3, methods=1)
    assert [staging.name for staging in stagings] == [
        "everything at once", "split over 2 days", "split over 3 domes", "split over 2 days and 3 domes",
    ]  # fmt: skip
    assert {staging.grafts for staging in stagings} == {7}
    assert all(staging.costs for staging in stagings)
    assert stagings[3].costs[0].startswith("2 bench days; the wood must keep")
    assert [(batch.grafts, batch.day) for batch in stagings[1].batches] == [(4, 0), (3, 1)]
    assert len({(batch.day, batch.dome) for batch in stagings[3].batches}) == 6


def test_one_piece_of_wood_cannot_be_split():
    assert [staging.name for staging in ready_stagings(1, days=3, domes=3, methods=3)] == ["everything at once"]


def test_words_say_the_chance_of_at_least_one():
    found = survival_chance(ready_stagings(6)[0], -1.0, {}, rng=1)
    assert found.words == "Everything at once: in 85 of 100 such cases at least one of 6 takes."
    assert "more than 99 of 100" in survival_chance(ready_stagings(60)[0], 1.0, {}, rng=1).words


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: ready_stagings(0), "grafts is 0; allowed: a whole number, 1 or more"),
        (lambda: ready_stagings(3, domes=0), "domes is 0"),
        (lambda: ready_stagings(2.5), "grafts is 2.5"),
        (lambda: survival_chance(Staging("none", ()), 0.0, {}, rng=1), r"batches is \(\)"),
        (lambda: survival_chance(Staging("odd", (Batch(2, dome=-1),)), 0.0, {}, rng=1), "dome is -1; allowed: a whole number, 0 or more"),
        (lambda: survival_chance(Staging("odd", (Batch(0),)), 0.0, {}, rng=1), "grafts is 0"),
        (lambda: survival_chance(ready_stagings(3)[0], [], {}, rng=1), "one or more numbers"),
        (lambda: survival_chance(ready_stagings(3)[0], [0.0, np.nan], {}, rng=1), "log_odds_draws is nan at index 1"),
        (lambda: survival_chance(ready_stagings(3)[0], 0.0, {"tray": 1.0}, rng=1), "shock_sds is 'tray'; allowed: keys out of season, day"),
        (lambda: survival_chance(ready_stagings(3)[0], 0.0, {"dome": -1.0}, rng=1), "shock_sds is -1.0"),
        (lambda: survival_chance(ready_stagings(3)[0], 0.0, {"dome": np.inf}, rng=1), "shock_sds is inf; allowed: finite"),
        (lambda: survival_chance(ready_stagings(3)[0], [0.0, 1.0], {"dome": [1.0] * 3}, rng=1), "3 numbers for dome"),
        (lambda: survival_chance(ready_stagings(3, domes=2)[1], 0.0, {}, offsets={"dome": [0.0]}, rng=1), "2 or more numbers"),
        (lambda: rank_stagings([], 0.0, {}, rng=1), r"stagings is \[\]; allowed: one or more"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
