import numpy as np
import pytest

from dome.dome_weather import porch
from scionary.dome import DomeSpec, HeatMat, heat_account, simulate_dome


@pytest.mark.parametrize(
    ("dome", "vents"),
    [
        (DomeSpec(), 0.0),
        (DomeSpec(shade_share=0.5), 100.0),
        (DomeSpec(), 400.0),
        (DomeSpec(shade_share=0.5, mat=HeatMat(15.0, 21.0)), 25.0),
        (DomeSpec(shade_share=0.5), np.append(np.resize(np.repeat([0, 50, 150, 400, 30], 12), 720), 0.0)),
    ],
    ids=["closed in sun", "a vent", "large vents", "a mat", "vents changed"],
)
def test_heat_of_thirty_days_is_accounted_for_to_a_thousandth(dome, vents):
    account = heat_account(simulate_dome(dome, porch(30, seed=5), vents))
    assert abs(account.rest_share) < 1e-3
    assert account.sun_j > 1e7


def test_an_account_shows_heat_that_a_wrong_trajectory_makes():
    air = simulate_dome(DomeSpec(), porch(30, seed=5), 50)
    air.made_from[3][0] += 0.5
    assert abs(heat_account(air).rest_share) > 0.01


def test_a_mat_is_part_of_the_account():
    account = heat_account(simulate_dome(DomeSpec(mat=HeatMat(15.0, 21.0)), porch(5), 25))
    assert account.mat_j > 0
    taken = account.sun_j + account.mat_j
    assert account.cover_j + account.vented_j + account.evaporated_j + account.stored_j == pytest.approx(taken, rel=1e-3)
