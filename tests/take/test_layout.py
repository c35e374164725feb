"""A trial laid out by lot."""

from collections import Counter
from itertools import combinations

import numpy as np
import pytest
from scipy.stats import chisquare

from scionary.errors import BadValue
from scionary.take import trial_layout


@pytest.mark.parametrize(
    ("arms", "places"),
    [("ab", [24] * 6), ("ab", [7, 9, 11, 3]), ("abc", [20, 20, 10]), ("abcd", [3] * 8), ("abcde", [12, 7, 18, 2, 1])],
)
def test_every_tray_and_the_whole_are_as_equal_as_places_allow(arms, places):
    for seed in range(200):
        layout = trial_layout(list(arms), places, rng=seed)
        counts = layout.counts
        assert counts.sum(axis=1).tolist() == places
        assert np.ptp(counts, axis=1).max() <= 1
        assert np.ptp(counts.sum(axis=0)) <= 1


def test_each_place_of_a_tray_is_filled_once():
    layout = trial_layout(["a", "b", "c"], [("left", 5), ("right", 4)], rng=3)
    columns = layout.to_dict()
    assert list(zip(columns["tray"], columns["place"], strict=True)) == [
        *(("left", place) for place in range(1, 6)),
        *(("right", place) for place in range(1, 5)),
    ]
    assert set(columns["arm"]) == {"a", "b", "c"}


def test_every_order_of_a_small_tray_comes_up_equally_often():
    seeds = 6_000
    orders = Counter("".join(trial_layout(["a", "b"], [4], rng=seed).to_dict()["arm"]) for seed in range(seeds))
    assert len(orders) == 6
    assert chisquare(list(orders.values())).pvalue > 1e-4


def test_every_way_to_give_trays_to_arms_comes_up_equally_often():
    seeds = 5_000
    ways = Counter(tuple(trial_layout(["a", "b"], [3] * 5, whole_tray=True, rng=seed).arm[::3]) for seed in range(seeds))
    assert len(ways) == 20  # two or three trays of five to the first arm
    assert chisquare(list(ways.values())).pvalue > 1e-4


def test_a_lone_place_left_over_goes_to_either_arm_as_often():
    seeds = 4_000
    first = sum(int((trial_layout(["a", "b"], [5], rng=seed).arm == 0).sum()) == 3 for seed in range(seeds))
    assert first / seeds == pytest.approx(0.5, abs=5 * np.sqrt(0.25 / seeds))


def test_pairs_of_arms_meet_equally_often_in_small_trays():
    layout = trial_layout(list("abcd"), [2] * 24, rng=1)
    together = layout.counts.T @ layout.counts
    meetings = [together[i, j] for i, j in combinations(range(4), 2)]
    assert max(meetings) - min(meetings) <= 2


def test_the_same_seed_gives_the_same_layout():
    first, second = (trial_layout(["a", "b"], [9, 9], rng=12) for _ in range(2))
    assert first.to_dict() == second.to_dict()


def test_a_whole_tray_has_one_arm_and_arms_share_the_trays():
    for seed in range(200):
        layout = trial_layout(["a", "b", "c"], [6] * 11, whole_tray=True, rng=seed)
        assert ((layout.counts > 0).sum(axis=1) == 1).all()
        assert np.ptp((layout.counts > 0).sum(axis=0)) <= 1


def test_one_tray_an_arm_is_laid_out_and_said_to_show_nothing():
    layout = trial_layout(["warm", "cool"], [20, 20], whole_tray=True, rng=1)
    assert "One dome only for warm, cool" in layout.warnings[0]
    assert "Nothing can be claimed" in layout.warnings[0]


def test_few_trays_and_few_grafts_are_warned_of_and_enough_are_not():
    assert "2 domes of each are few" in trial_layout(["a", "b"], [20] * 4, whole_tray=True, rng=1).warnings[0]
    assert "very different numbers" in trial_layout(["a", "b"], [20, 10] * 4, whole_tray=True, rng=1).warnings[0]
    assert trial_layout(["a", "b"], [20] * 8, whole_tray=True, rng=1).warnings == ()
    assert "6 grafts of each are few" in trial_layout(["a", "b"], [6, 6], rng=1).warnings[0]
    assert "one dome only" in trial_layout(["a", "b"], [60], rng=1).warnings[0]
    assert "Only one of them stands in tray 3" in trial_layout(["a", "b"], [40, 40, 1], rng=1).warnings[0]
    assert trial_layout(["a", "b"], [24] * 6, rng=1).warnings == ()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: trial_layout(["a"], [4], rng=1), "2 or more names, all different"),
        (lambda: trial_layout(["a", "a"], [4], rng=1), "2 or more names, all different"),
        (lambda: trial_layout("ab", [4], rng=1), "arms is 'ab'; allowed: a list of names"),
        (lambda: trial_layout(["a", " "], [4], rng=1), "none empty"),
        (lambda: trial_layout(["a", "b"], [], rng=1), r"trays is \[\]"),
        (lambda: trial_layout(["a", "b"], [4, 0], rng=1), "trays is 0 at index 1; allowed: a whole number of places"),
        (lambda: trial_layout(["a", "b"], [2.5], rng=1), "trays is 2.5 at index 0"),
        (lambda: trial_layout(["a", "b"], [("x", 4), ("x", 4)], rng=1), "all different"),
        (lambda: trial_layout(["a", "b"], [1, 1, 1], rng=1), "beside each other"),
        (lambda: trial_layout(list("abcd"), [2, 2], rng=1), "fewer arms"),
        (lambda: trial_layout(["a", "b", "c"], [9, 9], whole_tray=True, rng=1), "trays is 2; allowed: 3 or more"),
    ],
)
def test_what_could_not_be_analysed_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
