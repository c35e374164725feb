"""The luck of single grafts, drawn once and widened by a plan."""

from __future__ import annotations

import numpy as np
from tests.small_seasons import by_hand

from scionary.plan.seasons import seasons_of


def test_grafts_a_hair_below_zero_have_no_luck_and_no_gap() -> None:
    seasons = seasons_of(by_hand(), assurance=None, rng=np.random.default_rng(1))
    assert np.array_equal(seasons.with_luck_of(np.full(2, -1e-12)).spread, np.zeros_like(seasons.with_luck_of(np.ones(2)).spread))
    assert (seasons.with_luck_of(np.ones(2)).spread > 0).all()
