"""Chances of plants and of a season after signs were seen on them."""

import os

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import expit

from scionary.errors import BadValue
from scionary.take.bud_push import bud_push
from scionary.take.cells import TakeCells, TakeRecords, aggregate_records
from scionary.take.mixed_model import fit_take
from scionary.take.plant_chances import Way, chances_with_signs, update_with_signs
from scionary.take.push_posterior import PushPrior
from scionary.take.signs import SIGN_PRIORS, SignEvidence, SignPrior, score_signs

LONG = os.environ.get("SCIONARY_HYPOTHESIS") == "long"
SEASONS = 600 if LONG else 20


def past(rng, plants=200):
    """A sign's accuracy from a record in which most "no" plants were thrown away."""
    taken = rng.random(plants) < 0.6
    signs = np.where(taken, rng.random(plants) < 0.85, rng.random(plants) > 0.7)
    followed = rng.random(plants) < np.where(signs, 1.0, 0.1)
    return score_signs(signs, np.where(followed, taken, np.nan), SIGN_PRIORS["callus_seen"], draws=1000, rng=rng)


def probabilities(rng, draws, plants, domes=4, cultivars=5):
    """Draws of take probabilities with a season's and domes' shocks shared inside a draw."""
    dome, cultivar = np.arange(plants) % domes, np.arange(plants) % cultivars
    season = 0.4 + 0.4 * rng.normal(size=(draws, 1))
    return expit(season + 0.5 * rng.normal(size=(draws, domes))[:, dome] + 0.5 * rng.normal(size=(draws, cultivars))[:, cultivar])


def seen(signs, sensitivity=0.9, specificity=0.8, draws=1):
    """Evidence of a sign whose accuracy is known for sure."""
    if_taken = np.log([[1 - sensitivity, sensitivity]] * draws)
    if_lost = np.log([[specificity, 1 - specificity]] * draws)
    signs = np.asarray(signs, dtype=float)
    return SignEvidence(np.where(np.isnan(signs), -1, np.nan_to_num(signs)).astype(np.int64), if_taken, if_lost)


def log_loss(chance, taken):
    return -np.mean(np.where(taken, np.log(chance), np.log1p(-chance)))


def test_one_plant_at_a_known_chance_follows_bayes():
    found = chances_with_signs(np.full((1000, 1), 0.6), [seen([1])], rng=1)
    assert found.chance[0] == pytest.approx(0.6 * 0.9 / (0.6 * 0.9 + 0.4 * 0.2), abs=1e-9)
    assert found.before[0] == pytest.approx(0.6)
    assert found.total == pytest.approx(found.chance[0])


def test_a_sign_on_others_under_the_same_dome_moves_a_plant_without_one():
    rng = np.random.default_rng(2)
    shared = np.tile(expit(rng.normal(size=(4000, 1))), (1, 30))
    alone = expit(rng.normal(size=(4000, 30)))
    good = [seen([np.nan] + [1.0] * 29)]
    together, apart = (chances_with_signs(draws, good, rng=3).chance[0] for draws in (shared, alone))
    assert together > 0.75
    assert apart == pytest.approx(0.5, abs=0.03)


@pytest.mark.slow
@pytest.mark.parametrize("bad", [False, True])
def test_sampling_agrees_with_weighing_very_many_draws(bad):
    """The same question to 4,000 draws, which must be sampled around their mode, and to 250,000, of which enough stay in force."""
    rng, plants = np.random.default_rng(5), 40
    signs = (np.arange(plants) % 5 < 2 if bad else np.arange(plants) % 5 > 0).astype(float)
    evidence = [past(rng).evidence(signs)]
    few = chances_with_signs(probabilities(rng, 4000, plants), evidence, rng=1)
    many = chances_with_signs(probabilities(rng, 250_000, plants), evidence, rng=2)
    assert (few.way, many.way) == (Way.SAMPLED, Way.WEIGHED)
    assert few.chance == pytest.approx(many.chance, abs=0.03)
    assert few.low == pytest.approx(many.low, abs=0.06)
    assert few.high == pytest.approx(many.high, abs=0.06)
    assert few.total == pytest.approx(many.total, abs=1.0)
    assert abs(few.total_low - many.total_low) <= 2
    assert abs(few.total_high - many.total_high) <= 2


@pytest.mark.slow
def test_a_seasons_total_is_held_and_shared_shocks_help():
    held, together, apart = [], [], []
    for number in range(SEASONS):
        rng = np.random.default_rng(100 + number)
        accuracy, plants = past(rng), 150
        draws = probabilities(rng, 2001, plants)
        taken = rng.random(plants) < draws[0]
        row = rng.integers(len(accuracy.sensitivity_draws))
        yes = np.where(taken, accuracy.sensitivity_draws[row], 1 - accuracy.specificity_draws[row])
        signs = np.where(rng.random(plants) < 0.8, rng.random(plants) < yes, np.nan)
        found = chances_with_signs(draws[1:], [accuracy.evidence(signs)], rng=rng)
        held.append(found.total_low <= taken.sum() <= found.total_high)
        together.append(log_loss(found.chance, taken))
        ratio = np.where(signs == 1, accuracy.sensitivity.mean / (1 - accuracy.specificity.mean), 1.0)
        ratio = np.where(signs == 0, (1 - accuracy.sensitivity.mean) / accuracy.specificity.mean, ratio)
        odds = found.before / (1 - found.before) * ratio
        apart.append(log_loss(odds / (1 + odds), taken))
    assert np.mean(held) >= 0.85
    assert np.mean(together) < np.mean(apart) - 0.01


@pytest.mark.slow
def test_without_the_seasons_shift_bud_push_promises_too_much():
    prior = PushPrior(median_spread=0.05, plant_spread=0.3, plant_spread_spread=0.05, season_spread=0.4, reserve_spread=0.2)
    curve = bud_push([], [], season=[], prior=prior, draws=2000, rng=1)
    still = bud_push([], [], season=[], prior=PushPrior(**{**vars(prior), "season_spread": 0.0}), draws=2000, rng=1)
    held = []
    for number in range(SEASONS):
        rng = np.random.default_rng(300 + number)
        plants, day, pick = 80, 45.0, rng.integers(2000)
        draws = probabilities(rng, 2001, plants)
        taken = rng.random(plants) < draws[0]
        truth = curve.evidence([day], [1], rng=1000 + number)
        pushed = rng.random(plants) < np.where(taken, np.exp(truth.if_taken[pick, 0]), np.exp(truth.if_lost[pick, 0]))
        each = [model.evidence(np.full(plants, day), pushed, rng=rng) for model in (curve, still)]
        found = [chances_with_signs(draws[1:], [evidence], rng=rng) for evidence in each]
        held.append([chances.total_low <= taken.sum() <= chances.total_high for chances in found])
    shifted, fixed = np.mean(held, axis=0)
    assert shifted >= 0.85
    assert fixed < shifted - 0.1


def test_known_ends_are_sure_and_move_the_others():
    rng = np.random.default_rng(3)
    draws = np.tile(expit(rng.normal(size=(4000, 1))), (1, 12))
    known = [1.0] * 9 + [0.0] + [np.nan] * 2
    found = chances_with_signs(draws, known=known, rng=1)
    assert found.chance[:9].tolist() == [1.0] * 9
    assert found.low[9] == found.high[9] == 0.0
    assert found.chance[10] == pytest.approx(found.chance[11], abs=1e-12)
    assert found.chance[10] > 0.7
    assert np.all((found.total_draws >= 9) & (found.total_draws <= 11))


def test_nothing_seen_gives_the_prior():
    draws = probabilities(np.random.default_rng(4), 500, 7)
    for evidence in ([], [seen([np.nan] * 7)]):
        found = chances_with_signs(draws, evidence, rng=1)
        assert found.way is Way.PRIOR
        assert found.chance == pytest.approx(draws.mean(axis=0), abs=1e-9)
        assert found.low == pytest.approx(np.quantile(draws, 0.05, axis=0), abs=1e-9)
        assert found.effective == 500


def test_a_sign_that_tells_nothing_changes_nothing():
    draws = probabilities(np.random.default_rng(4), 4000, 40)
    found = chances_with_signs(draws, [seen([1.0] * 40, sensitivity=0.5, specificity=0.5)], rng=1)
    assert found.chance == pytest.approx(found.before, abs=0.01)


def test_all_yes_and_all_no_of_a_sure_sign():
    draws = probabilities(np.random.default_rng(6), 2000, 50)
    most, least = (chances_with_signs(draws, [seen([sign] * 50, 0.99, 0.99)], rng=1) for sign in (1.0, 0.0))
    assert most.total_low > 45
    assert least.total_high < 5


def test_an_unsure_accuracy_leaves_a_wider_total():
    draws = probabilities(np.random.default_rng(6), 2000, 80)
    signs = np.arange(80) % 2
    few, many = (score_signs([1] * n + [0] * n, [1] * n + [0] * n, SignPrior()) for n in (3, 300))
    unsure, sure = (chances_with_signs(draws, [accuracy.evidence(signs)], rng=1) for accuracy in (few, many))
    assert unsure.total_high - unsure.total_low > 1.5 * (sure.total_high - sure.total_low)


class Model:
    """Stands for a fit: two cells with chances of their own."""

    def predict(self, cells, *, draws, rng):
        odds = np.array([-0.5, 1.5]) + np.random.default_rng(rng).normal(0, 0.2, (draws, 1))
        return expit(odds)[:, cells.factors["cultivar"]]


def cells(codes):
    codes = np.asarray(codes, dtype=np.int64)
    return TakeCells(np.zeros_like(codes), np.zeros_like(codes), {"cultivar": codes})


def test_signs_meet_the_fit_by_name():
    accuracy = {"stalk_drops": past(np.random.default_rng(1)), "callus_seen": past(np.random.default_rng(2))}
    signs = {"stalk_drops": [1, 0, np.nan], "callus_seen": [1, np.nan, np.nan]}
    found = update_with_signs(Model(), cells([0, 1, 1]), signs, accuracy, rng=1)
    assert found.chance[0] > found.before[0]
    assert found.chance[1] < found.before[1]
    assert found.to_dict()["chance"] == found.chance.tolist()
    assert any("independent of each other" in line for line in found.assumptions)
    by_cell = update_with_signs(Model(), cells([0, 1]), signs, accuracy, cell=[0, 1, 1], rng=1)
    assert by_cell.chance == pytest.approx(found.chance, abs=0.02)
    with pytest.raises(BadValue, match="signs is 'bud_moving'; allowed: signs whose accuracy is given: stalk_drops, callus_seen"):
        update_with_signs(Model(), cells([0]), {"bud_moving": [1]}, accuracy, rng=1)
    with pytest.raises(BadValue, match="cell is"):
        update_with_signs(Model(), cells([0]), {}, accuracy, cell=[1], rng=1)


def test_a_fit_of_the_record_serves():
    rng = np.random.default_rng(7)
    season, dome = rng.integers(3, size=300), rng.integers(4, size=300)
    record = TakeRecords(rng.random(300) < 0.4 + 0.15 * season, factors={"season": season.astype(str), "dome": dome.astype(str)})
    fit = fit_take(aggregate_records(record), points=64, rng=1)
    plants = TakeCells(
        np.ones(40, np.int64),
        np.zeros(40, np.int64),
        {"season": np.zeros(40, np.int64), "dome": np.arange(40) % 4},
        {},
        {"season": ("new",)},
    )
    before = update_with_signs(fit, plants, {}, {}, rng=1)
    signs, accuracy = {"callus_seen": np.arange(40) % 8 > 0}, {"callus_seen": past(rng)}
    after = update_with_signs(fit, plants, signs, accuracy, rng=1)
    assert before.way is Way.PRIOR
    assert after.total > before.total
    assert after.total_high - after.total_low < before.total_high - before.total_low


def test_the_seed_decides():
    draws, evidence = probabilities(np.random.default_rng(6), 400, 60), [seen(np.arange(60) % 3 == 0, 0.95, 0.95)]
    first, again = (chances_with_signs(draws, evidence, rng=8) for _ in range(2))
    assert np.array_equal(first.chance, again.chance)
    assert np.array_equal(first.total_draws, again.total_draws)


scores = st.sampled_from([1.0, 0.0, np.nan])


@settings(max_examples=400 if LONG else 12)
@given(st.lists(st.tuples(scores, scores, scores), max_size=8), st.sampled_from([0.0, 0.3, 1.0]))
def test_any_plants_get_ordered_ranges(plants, rate):
    draws = np.clip(rate + 0.01 * np.random.default_rng(1).normal(size=(300, len(plants))), 0, 1)
    first, second, known = (np.array([plant[i] for plant in plants], dtype=float) for i in range(3))
    found = chances_with_signs(draws, [seen(first), seen(second, 0.6, 0.7, draws=3)], known=known, rng=2)
    assert np.all((found.low >= 0) & (found.low <= found.high) & (found.high <= 1))
    assert np.all((found.chance >= 0) & (found.chance <= 1))
    assert 0 <= found.total_low <= found.total_middle <= found.total_high <= len(plants)
    assert np.all(found.chance[known == 1] == 1.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: chances_with_signs([0.5], rng=1), "probability_draws is 'an array of shape"),
        (lambda: chances_with_signs([[0.5], [1.5]], rng=1), "probability_draws is 1.5"),
        (lambda: chances_with_signs([[0.5], [np.nan]], rng=1), "none missing"),
        (lambda: chances_with_signs([[0.5], [0.5]], [seen([1, 0])], rng=1), "evidence is '2 plants'"),
        (lambda: chances_with_signs([[0.5], [0.5]], known=[1, 0], rng=1), "known is '2 plants'"),
        (lambda: chances_with_signs([[0.5], [0.5]], known=[0.5], rng=1), "known is 0.5"),
        (lambda: chances_with_signs([[0.5], [0.5]], confidence=0.0, rng=1), "confidence is 0.0"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()


def test_plants_that_do_not_count_still_move_the_shocks_of_those_that_do():
    rng = np.random.default_rng(5)
    draws = probabilities(rng, 4000, 12, domes=1, cultivars=1)
    scores = np.array([np.nan] * 6 + [1.0] * 6)
    mine = np.arange(12) < 6
    alone = chances_with_signs(draws[:, :6], [seen(scores[:6])], rng=1)
    together = chances_with_signs(draws, [seen(scores)], counted=mine, rng=1)
    assert together.total_draws.max() <= 6
    assert together.total > alone.total + 0.2
    with pytest.raises(BadValue, match="counted is '3 plants'"):
        chances_with_signs(draws, counted=[True] * 3, rng=1)
