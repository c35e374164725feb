"""Weights of draws, and picking by them."""

import numpy as np
import pytest

from scionary.take.weights import effective_draws, evenly, normalised, tempered


def test_weights_add_up_to_one_however_small_their_logs():
    assert normalised(np.array([-2000.0, -2000.0 + np.log(3.0)])) == pytest.approx([0.25, 0.75])


def test_even_weights_are_worth_all_draws_and_a_single_one_is_worth_one():
    assert effective_draws(np.full(8, 0.125)) == pytest.approx(8.0)
    assert effective_draws(np.array([1.0, 0.0, 0.0])) == 1.0


def test_tempering_keeps_so_many_in_force_and_the_order():
    logs = np.linspace(0.0, 500.0, 100)
    gentle = tempered(logs, 20.0)
    assert 20.0 <= effective_draws(gentle) < 30.0
    assert np.all(np.diff(gentle) > 0)
    assert tempered(np.zeros(5), 4.0) == pytest.approx(np.full(5, 0.2))


def test_picks_follow_the_weights_within_one():
    weight = np.array([0.5, 0.0, 0.3, 0.2])
    picked = np.bincount(evenly(weight, 1000, np.random.default_rng(1)), minlength=4)
    assert np.all(np.abs(picked - 1000 * weight) <= 1)
    assert picked[1] == 0
