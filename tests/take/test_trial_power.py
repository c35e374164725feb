"""What a trial can hope for."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import arms_needed, chance_to_tell_apart, chance_to_tell_trays_apart, trays_needed
from scionary.take.stratified import whole_tray_test
from take.simulated_trials import share, simulated_takes


@pytest.mark.parametrize("block_sd", [0.0, 0.7])
def test_the_number_that_is_needed_gives_the_chance_that_was_asked_for(block_sd):
    for power in (0.5, 0.8, 0.95):
        needed = arms_needed(0.55, 0.8, power=power, block_sd=block_sd)
        assert chance_to_tell_apart(0.55, 0.8, needed, block_sd=block_sd) >= power
        assert chance_to_tell_apart(0.55, 0.8, needed - 1, block_sd=block_sd) < power


def test_more_grafts_more_chance_up_to_near_certainty():
    chances = [chance_to_tell_apart(0.6, 0.75, grafts) for grafts in (5, 20, 80, 320, 5_000)]
    assert chances == sorted(chances)
    assert chances[0] < 0.1
    assert chances[-1] > 0.999


@pytest.mark.parametrize(("tray_sd", "grafts"), [(0.3, 10), (0.6, 20)])
def test_simulated_trials_of_whole_trays_reach_the_chance_that_is_said(tray_sd, grafts):
    trials, needed = 2_000, trays_needed(0.5, 0.75, grafts, tray_sd=tray_sd)
    assert chance_to_tell_trays_apart(0.5, 0.75, needed, grafts, tray_sd=tray_sd) >= 0.8
    assert chance_to_tell_trays_apart(0.5, 0.75, needed - 1, grafts, tray_sd=tray_sd) < 0.8
    size = np.full((needed, 1), grafts)
    first = simulated_takes(size, [0.5], tray_sd=tray_sd, trials=trials, seed=3)[..., 0]
    second = simulated_takes(size, [0.75], tray_sd=tray_sd, trials=trials, seed=4)[..., 0]
    known = np.full(needed, float(grafts))
    claims = share(whole_tray_test((known, a), (known, b)) < 0.05 for a, b in zip(first, second, strict=True))
    # four standard errors; whole trays are few, so that the chance said lies a little above what was asked for
    said = chance_to_tell_trays_apart(0.5, 0.75, needed, grafts, tray_sd=tray_sd)
    assert claims == pytest.approx(said, abs=4 * np.sqrt(said * (1 - said) / trials) + 0.02)


def test_more_grafts_in_a_tray_hardly_help_where_trays_differ():
    assert trays_needed(0.5, 0.7, 1_000, tray_sd=0.8) > 0.6 * trays_needed(0.5, 0.7, 20, tray_sd=0.8)


def test_one_tray_an_arm_tells_nothing():
    assert chance_to_tell_trays_apart(0.1, 0.9, 1, 50) == 0.0
    assert trays_needed(0.01, 0.99, 1_000) == 2


def test_where_no_sensible_number_of_trays_does_there_is_none():
    assert trays_needed(0.5, 0.501, 5, tray_sd=1.0) is None


@pytest.mark.parametrize(
    ("function", "arguments", "message"),
    [
        (chance_to_tell_apart, (0.5, 0.5, 10), "second is 0.5"),
        (chance_to_tell_apart, (0.5, 0.6, 0), "grafts is 0; allowed: a whole number, 1 or more"),
        (chance_to_tell_apart, (0.5, 0.6, 2.5), "grafts is 2.5"),
        (trays_needed, (0.5, 0.5, 10), "second is 0.5; allowed: a rate other than the first"),
        (trays_needed, (0.5, 0.6, 0), "grafts_a_tray is 0"),
        (chance_to_tell_trays_apart, (0.5, 0.6, 0, 10), "trays is 0"),
        (chance_to_tell_trays_apart, (0.0, 0.6, 2, 10), "first is 0.0"),
    ],
)
def test_what_cannot_be_is_refused(function, arguments, message):
    with pytest.raises(BadValue, match=message):
        function(*arguments)


def test_a_spread_out_of_range_is_refused():
    with pytest.raises(BadValue, match="tray_sd is 6"):
        trays_needed(0.5, 0.6, 10, tray_sd=6.0)
