"""The demo's truth."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from scionary.demo.chance import stream
from scionary.demo.seasons import Filling, past_fillings, present_fillings
from scionary.demo.tarn_bridge import VARIETIES
from scionary.demo.truth import AirFault, Truth, air_faults

FILLING = Filling(2026, date(2026, 7, 24), "Dome 2", True, 10, "Maren")


@pytest.mark.parametrize("seed", [1, 20, 999])
def test_long_run_chances_are_chances_and_fall_from_stage_to_stage(seed: int) -> None:
    truth = Truth(seed)
    for variety in VARIETIES:
        chance = truth.long_run(variety.spoken)
        assert 0 < chance["in_leaf"] < chance["growing"] < chance["firm"] < 1


def test_another_seed_gives_other_chances() -> None:
    assert Truth(20).long_run("Red Tarn") != Truth(21).long_run("Red Tarn")


def test_the_long_run_chance_is_what_many_seasons_give() -> None:
    truth = Truth(20)
    firm = np.empty(6000)
    for at in range(firm.size):
        season = 2026 + at
        filling = Filling(season, date(2026, 7, 24), f"Dome {at}", at % 2 == 0, 1, "Maren")
        firm[at] = truth.outcome("Red Tarn", f"lot {at}", filling, stream(1, "unused")).firm_chance
    assert firm.mean() == pytest.approx(truth.long_run("Red Tarn")["firm"], abs=0.01)


def test_what_is_drawn_follows_the_chance() -> None:
    truth, rng = Truth(20), stream(3, "draws")
    outcomes = [truth.outcome("Red Tarn", "26-A", FILLING, rng) for _ in range(4000)]
    assert np.mean([o.firm for o in outcomes]) == pytest.approx(outcomes[0].firm_chance, abs=0.025)
    assert np.mean([o.in_leaf for o in outcomes]) == pytest.approx(outcomes[0].in_leaf_chance, abs=0.025)
    assert all(o.firm >= o.growing >= o.in_leaf for o in outcomes)


def test_a_hot_afternoon_harms_only_grafts_that_stood_there() -> None:
    hot = AirFault("Dome 2", "overheated", FILLING.day + timedelta(days=12), FILLING.day + timedelta(days=12))
    calm, harmed = Truth(20), Truth(20, [hot])
    rng = stream(3, "draws")
    before, after = (t.outcome("Red Tarn", "26-A", FILLING, rng) for t in (calm, harmed))
    assert after.firm_chance < before.firm_chance
    assert after.harm == "overheated"
    for filling in (replace(FILLING, dome="Dome 1"), replace(FILLING, day=hot.begin + timedelta(days=1))):
        assert not hot.harms(filling)


def test_the_dry_weekend_is_a_weekend_and_every_fault_meets_grafts() -> None:
    for offset in range(7):
        today = date(2026, 11, 20) + timedelta(days=offset)
        past, present = past_fillings(today, 20), present_fillings(today, 20)
        for fault in air_faults(past, present, today):
            assert any(fault.harms(f) for f in [*past, *present])
            assert fault.end < today
            if fault.kind == "dry":
                assert (fault.begin.weekday(), fault.end.weekday()) == (5, 6)
