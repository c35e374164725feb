"""Stages of growth from heat, day length and cold."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import Stage, StageHeat, stage_chances

LENGTH = 12.0 - 4.0 * np.cos(np.arange(365) * 2 * np.pi / 365)
HEAT = np.concatenate([np.zeros(80), np.cumsum(np.full(285, 8.0))])
MEAN = 9.0 - 12.0 * np.cos(np.arange(365) * 2 * np.pi / 365)


def test_stages_follow_one_another_and_end_in_rest():
    order = stage_chances(HEAT, LENGTH, MEAN, StageHeat()).argmax(axis=-1)
    changes = order[np.flatnonzero(np.diff(order, prepend=-1))].tolist()
    assert changes == [Stage.DORMANT, Stage.SOFT, Stage.HALF_RIPE, Stage.RIPE, Stage.DORMANT]


def test_chances_sum_to_one_and_draws_blur_the_edges():
    rng = np.random.default_rng(1)
    found = stage_chances(HEAT, LENGTH, MEAN, StageHeat(bud_break=rng.normal(150, 30, 400), half_ripe=rng.normal(550, 60, 400)))
    assert found.sum(axis=-1) == pytest.approx(np.ones(365))
    assert np.any((found > 0.2) & (found < 0.8))


def test_no_autumn_cold_no_rest():
    order = stage_chances(HEAT, LENGTH, np.full(365, 24.0), StageHeat()).argmax(axis=-1)
    assert order[-1] == Stage.RIPE


def test_a_heat_that_is_not_known_has_no_stage():
    heat = HEAT.copy()
    heat[100:] = np.nan
    assert np.isnan(stage_chances(heat, LENGTH, MEAN, StageHeat())[200]).all()


def test_draws_out_of_order_are_put_in_order():
    assert StageHeat(bud_break=np.array([600.0, 100.0])).in_order().tolist() == [[600.0, 600.0, 950.0], [100.0, 550.0, 950.0]]


def test_where_figures_are_from_is_told():
    listed = {row["name"]: row["source"] for row in StageHeat(bud_break=np.array([140.0, 160.0]), ripe=900.0).assumptions()}
    assert listed["bud_break"] == "fitted to your own looks"
    assert listed["ripe"] == "given"
    assert "unsourced" in listed["half_ripe"]


def test_unequal_draws_are_refused():
    with pytest.raises(BadValue, match="as many as bud_break"):
        StageHeat(bud_break=np.ones(3), ripe=np.ones(4))
