"""A mother tree's water, in the ground and in a pot."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import Soil, TreeWater, tree_balance


def test_a_tree_in_loam_holds_the_table_s_water():
    assert TreeWater.in_ground(Soil.LOAM, root_depth_m=1.0).available_mm == 155.0


def test_a_pot_is_dry_long_before_the_ground():
    pot = TreeWater.in_pot(12.0, crown_m2=0.4, mouth_m2=0.1)
    assert (pot.available_mm, pot.rain_share) == (7.5, 0.25)
    dry = np.zeros(5), np.full(5, 4.0)
    in_pot = tree_balance(pot, *dry, start_deficit_mm=0.0)
    in_ground = tree_balance(TreeWater.in_ground(Soil.LOAM), *dry, start_deficit_mm=0.0)
    assert in_pot.stress_coefficient[2] < 0.5
    assert in_ground.stress_coefficient.tolist() == [1.0] * 5


def test_a_crown_keeps_rain_from_its_pot_but_not_the_can():
    pot = TreeWater.in_pot(12.0, crown_m2=0.4, mouth_m2=0.1)
    rained = tree_balance(pot, [0, 8, 0], [3.0, 0.0, 0.0], start_deficit_mm=0.0)
    assert rained.deficit_mm[1] == pytest.approx(3.0 * 0.95 - 2.0)
    watered = tree_balance(pot, [0, 0, 0], [3.0, 0.0, 0.0], irrigation_mm=[0, pot.mm_of_litres(2.0, crown_m2=0.4), 0], start_deficit_mm=0.0)
    assert watered.deficit_mm[1] == 0.0


def test_without_a_word_on_the_beginning_it_is_not_known():
    assert np.isnan(tree_balance(TreeWater(100.0), [0.0], [3.0]).stress_coefficient[0])


def test_every_figure_says_where_it_is_from():
    sources = {row["name"]: row["source"] for row in TreeWater.in_ground(Soil.CLAY).assumptions()}
    assert set(sources) == {"available_mm", "depletion_fraction", "crop_coefficient", "rain_share"}
    assert "table 19" in sources["available_mm"]
    assert "no figures for the species" in sources["crop_coefficient"]


@pytest.mark.parametrize("changed", [{"available_mm": 0.0}, {"depletion_fraction": 1.0}, {"crop_coefficient": np.nan}, {"rain_share": 1.5}])
def test_a_root_zone_that_cannot_be_is_refused(changed):
    with pytest.raises(BadValue, match=next(iter(changed))):
        TreeWater(**({"available_mm": 100.0} | changed))


def test_a_pot_without_soil_is_refused():
    with pytest.raises(BadValue, match="litres is 0"):
        TreeWater.in_pot(0.0, crown_m2=0.4, mouth_m2=0.1)
