"""Nested Laplace approximations against long runs of Hamiltonian Monte Carlo, stored under `tests/data/oracle`.

Distances are in standard deviations of the sampler's posterior, worst over all quantities of a kind. Not all of a distance is the
engine's: 4,000 draws of its own leave a mean uncertain by 0.016, and a 5 % point by 0.033, of them one in hundreds lies three times off.
"""

from functools import cache

import numpy as np
import pytest
from oracle.holding import held
from oracle.nursery import NURSERIES

each_nursery = pytest.mark.parametrize("name", [nursery.name for nursery in NURSERIES])
holding = cache(held)


@each_nursery
@pytest.mark.parametrize("kind", ["fixed", "effect", "rate_at_reference", "long_run_rate"])
def test_means_spreads_and_ranges_agree_with_the_sampler(name, kind):
    found = holding(name).of(kind)
    assert np.max(np.abs(found.mean)) <= 0.08
    assert found.sd_ratio.min() >= 0.93
    assert found.sd_ratio.max() <= 1.06
    assert np.max(np.abs([found.low, found.high])) <= 0.20


@each_nursery
def test_scales_agree_with_the_sampler(name):
    found = holding(name).scales
    assert np.max(np.abs([found.low, found.median, found.high])) <= 0.15


@each_nursery
@pytest.mark.parametrize("kind", ["rate_at_reference", "long_run_rate"])
def test_ranges_of_rates_are_no_wider_than_the_sampler_s(name, kind):
    assert holding(name).of(kind).width_ratio.mean() <= 1.2
