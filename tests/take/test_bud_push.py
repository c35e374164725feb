"""When takes push, and what a pushed or a resting bud says."""

import os

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from scionary.errors import BadValue
from scionary.take.bud_push import BudPush, bud_push
from scionary.take.push_likelihood import Looks, PushCurve, PushShape
from scionary.take.push_posterior import PushPrior
from scionary.take.signs import NOT_SEEN

LOOKS = np.array([14.0, 28, 42, 63, 90, 120])
LONG = os.environ.get("SCIONARY_HYPOTHESIS") == "long"


def nursery(rng, seasons=4, plants=60, median=50.0, spread=0.4, season_spread=0.25, reserve=0.3, collapse=40.0, take=0.6):
    """Looks at every plant of some seasons; failures push on reserves and collapse."""
    shift = rng.normal(0, season_spread, seasons)
    season = np.repeat(np.arange(seasons), plants)
    taken = rng.random(season.size) < take
    push = np.exp(np.log(median) + shift[season] + spread * rng.normal(size=season.size))
    fall = push + np.where(taken, np.inf, rng.exponential(collapse, season.size))
    comes = rng.random(season.size) < np.where(taken, 1.0, reserve)
    seen = (push[:, None] <= LOOKS) & (fall[:, None] > LOOKS) & comes[:, None]
    return np.tile(LOOKS, (season.size, 1)), seen.astype(float), season, taken.astype(float), shift


def curve(rest=0.0):
    return PushCurve(PushShape.LOG_NORMAL, np.log([[50.0]]), np.array([[0.4]]), np.array([[rest]]), 0.02)


def chances(days, pushed, reserve=0.3, collapse=40.0, spring=None, rest=0.0):
    """Chance of what was seen, of a take and of a failure."""
    looks, known = Looks.read([days], [pushed], None, spring), curve(rest=rest)
    return (
        float(np.exp(log)[0, 0]) for log in (known.log_taken(looks), known.log_lost(looks, np.array([[reserve]]), np.array([[collapse]])))
    )


@pytest.fixture(scope="module")
def learned() -> BudPush:
    days, pushed, season, taken, _ = nursery(np.random.default_rng(1))
    return bud_push(days, pushed, season=season, taken=taken, draws=1000)


def test_learns_the_curve_the_seasons_and_the_failures_that_push():
    days, pushed, season, taken, shift = nursery(np.random.default_rng(1), plants=150)
    found = bud_push(days, pushed, season=season, taken=taken, draws=1000)
    for draws, truth in (
        (found.log_median, np.log(50.0)),
        (found.plant_spread, 0.4),
        (found.reserve_share, 0.3),
        (found.collapse_days, 40.0),
        (found.season_shift[:, 0] - found.season_shift[:, 1], shift[0] - shift[1]),
    ):
        assert abs(draws.mean() - truth) < 3 * draws.std()
    assert found.plant_spread.std() < 0.03
    assert found.effective > 100
    known = found.chance_pushed([30, 60], season=0).mean(axis=0)
    assert known == pytest.approx(norm.cdf((np.log([30, 60]) - np.log(50) - shift[0]) / 0.4), abs=0.06)


def test_unknown_ends_are_summed_over():
    days, pushed, season, taken, _ = nursery(np.random.default_rng(3))
    hidden = np.where(np.random.default_rng(4).random(taken.size) < 0.5, np.nan, taken)
    found = bud_push(days, pushed, season=season, taken=hidden, draws=1000)
    assert abs(found.reserve_share.mean() - 0.3) < 3 * found.reserve_share.std()
    assert abs(found.plant_spread.mean() - 0.4) < 3 * found.plant_spread.std()


@pytest.mark.slow
def test_ranges_hold_what_they_promise_when_the_prior_is_true():
    rng, prior, held = np.random.default_rng(7), PushPrior(), []
    replicates = 200 if LONG else 40
    for _ in range(replicates):
        middle, spread = np.log(45) + 0.6 * rng.normal(), 0.45 * np.exp(0.4 * rng.normal())
        season_spread = 0.25 * abs(rng.normal())
        days, pushed, season, _, shift = nursery(rng, 3, 25, np.exp(middle), spread, season_spread, take=1.0)
        found = bud_push(days, pushed, season=season, prior=prior, draws=400, rng=rng)
        table = found.curve([40.0], season=1)
        truth = norm.cdf((np.log(40) - middle - shift[1]) / spread)
        held.append(table.low[0] <= truth <= table.high[0])
    assert np.mean(held) == pytest.approx(0.9, abs=3.5 * np.sqrt(0.09 / replicates))


def test_chances_of_everything_that_can_be_seen_sum_to_one():
    patterns = [(a, b, c) for a in (0, 1) for b in (0, 1) for c in (0, 1)]
    both = [tuple(chances([20.0, 45.0, 80.0], pattern)) for pattern in patterns if pattern != (1, 0, 1)]
    assert sum(lost for _, lost in both) == pytest.approx(1.0, abs=1e-4)
    monotone = [next(chances([20.0, 45.0, 80.0], pattern)) for pattern in patterns if list(pattern) == sorted(pattern)]
    assert sum(monotone) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(("first", "last"), [(0.0, 14.0), (0.0, 200.0), (28.0, 42.0), (90.0, 365.0)])
def test_failures_that_stand_agree_with_plain_integration(first, last):
    density = lambda day: norm.pdf((np.log(day) - np.log(50)) / 0.4) / (0.4 * day) * np.exp(-(last - day) / 40.0)  # noqa: E731
    expected = 0.3 * quad(density, first or 1e-9, last, points=[max(first, 1.0), min(50.0, last)], limit=200)[0]
    days, pushed = ([last], [1]) if first == 0 else ([first, last], [0, 1])
    assert tuple(chances(days, pushed))[1] == pytest.approx(expected, rel=2e-2, abs=1e-5)


def test_a_push_says_little_early_and_much_where_it_still_stands_late():
    ratios = [np.divide(*chances([day], [1])) for day in (14.0, 42.0, 90.0, 180.0)]
    assert ratios == sorted(ratios)
    assert ratios[0] < 5 < 20 < ratios[-1]


def test_a_bud_that_rests_before_spring_is_weak_evidence_and_after_it_strong():
    found = bud_push([], [], season=[])
    before, after = (found.evidence([day], [0], spring=200.0) for day in (150.0, 290.0))
    ratio = [np.exp(seen.if_taken).mean() / np.exp(seen.if_lost).mean() for seen in (before, after)]
    assert 0.3 < ratio[0] < 1.0
    assert ratio[1] < 0.1


def test_resting_takes_push_in_spring():
    taken, _ = chances([150.0, 230.0], [0, 1], spring=200.0, rest=0.3)
    assert taken == pytest.approx(0.3 + 0.7 * (norm.cdf((np.log(230 / 50)) / 0.4) - norm.cdf((np.log(150 / 50)) / 0.4)))


def test_a_collapse_speaks_for_a_failure():
    taken, lost = chances([30.0, 60.0], [1, 0])
    assert lost > 3 * taken


def test_a_new_season_is_less_sure_than_a_known_one(learned):
    day = np.array([20.0, 50.0, 100.0])
    known, new = learned.curve(day, season=2), learned.curve(day, season="later")
    assert np.all(new.high - new.low > known.high - known.low)
    assert np.all(np.diff(known.mean) > 0)
    assert known.to_dict()["day"] == [20.0, 50.0, 100.0]


def test_evidence_agrees_with_the_curves(learned):
    evidence = learned.evidence([40.0, 40.0, np.nan, 40.0], [1, 0, 1, np.nan], season=2)
    assert evidence.kind.tolist() == [1, 0, NOT_SEEN, NOT_SEEN]
    assert np.exp(evidence.if_taken[:, 1]) == pytest.approx(learned.chance_pushed(40.0, season=2)[:, 0])
    assert np.exp(evidence.if_lost[:, 1]) == pytest.approx(learned.chance_pushed_if_lost(40.0, season=2)[:, 0])


def test_since_is_one_earlier_look():
    first = bud_push([60.0, 90.0], [1, 0], season=[1, 1], since=[30.0, np.nan], draws=300)
    second = bud_push([[30.0, 60.0], [90.0, np.nan]], [[0, 1], [0, np.nan]], season=[1, 1], draws=300)
    assert np.array_equal(first.log_median, second.log_median)


@pytest.mark.parametrize("pushed", [0.0, 1.0])
def test_all_alike_leaves_a_range(pushed):
    found = bud_push([60.0] * 30, [pushed] * 30, season=[1] * 30, draws=400)
    table = found.curve([60.0], season=1)
    assert abs(table.mean[0] - pushed) < 0.1
    assert table.low[0] < table.high[0]


def test_nothing_seen_gives_the_prior():
    found = bud_push([np.nan], [1], season=["a"], draws=2000)
    assert np.median(np.exp(found.log_median)) == pytest.approx(45.0, rel=0.1)
    assert np.median(found.reserve_share) == pytest.approx(0.3, abs=0.04)
    assert "unsourced" in " ".join(found.assumptions)


def test_left_out_by_the_prior():
    found = bud_push([50.0], [1], season=[1], prior=PushPrior(season_spread=0.0, rest_share=0.0, reserve_share=0.0), draws=100)
    assert not found.season_shift.any()
    assert not found.rest_share.any()
    assert not found.chance_pushed_if_lost(60.0).any()


number = st.one_of(st.just(np.nan), st.floats(0.5, 400.0))


@given(st.lists(st.tuples(number, number, st.sampled_from([1.0, 0.0, np.nan])), max_size=12))
def test_any_look_has_finite_evidence(learned, plants):
    days = [max(since, day) + 1 if since == since else day for since, day, _ in plants]
    evidence = learned.evidence(days, [push for *_, push in plants], since=[since for since, *_ in plants], spring=150.0)
    assert np.all(np.isfinite(evidence.if_taken))
    assert np.all(np.isfinite(evidence.if_lost))
    assert np.all(evidence.if_taken <= 1e-9)
    assert np.all(evidence.if_lost <= 1e-9)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: bud_push([-1.0], [1], season=[1]), "days is -1.0"),
        (lambda: bud_push([1.0], [2], season=[1]), "pushed is 2.0"),
        (lambda: bud_push([0.0], [1], season=[1]), "days is 0.0.*more than 0 where the bud has pushed"),
        (lambda: bud_push([30.0], [1], season=[1], since=[30.0]), "days is 30.0.*since lies before"),
        (lambda: bud_push([30.0, 40.0], [1], season=[1]), "days is 'an array of shape"),
        (lambda: bud_push([30.0], [1], season=[1, 2]), "season is '2 values'; allowed: one a plant"),
        (lambda: bud_push([30.0], [1], season=[1], taken=[3]), "taken is 3.0"),
        (lambda: bud_push([30.0], [1], season=[1], draws=0), "draws is 0"),
        (lambda: PushPrior(collapse_days=0.0), "collapse_days is 0.0"),
        (lambda: PushPrior(reserve_share=1.0), "reserve_share is 1.0"),
        (lambda: bud_push([], [], season=[], draws=10).chance_pushed([np.nan]), "day is 'a missing number'"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
