import math
from dataclasses import replace

import pytest

from dome.dome_weather import porch, steady
from scionary.dome import Act, DomeSpec, OutsideAir, advise, pot_water, what_to_do, what_will_happen
from scionary.errors import BadValue

HOT = porch(3, sunny=900.0, mean_c=17.0)


def test_nothing_is_to_be_done_on_a_dull_day():
    advice = what_to_do(DomeSpec(shade_share=0.75, leak_l_min=0.2), porch(3, sunny=150.0), 0.0, largest_vent_cm2=200.0)
    assert advice.actions == ()
    assert advice.enough
    assert advice.now == advice.then


def test_shade_comes_before_vents():
    advice = what_to_do(DomeSpec(), HOT, 25.0, largest_vent_cm2=200.0)
    first = advice.actions[0]
    assert (first.act, first.before) == (Act.SHADE, 0.0)
    assert first.to >= 0.5
    assert Act.VENT not in [each.act for each in advice.actions]
    assert advice.now.chance_of_heat > 0.9
    assert advice.then.chance_of_heat <= advice.accepted_chance
    assert first.by_s == advice.now.hottest_at_s


def test_vents_open_where_all_shade_is_not_enough():
    advice = what_to_do(DomeSpec(), porch(3, sunny=1000.0, mean_c=24.0), 0.0, largest_vent_cm2=800.0, heat_limit_c=33.5)
    assert [each.act for each in advice.actions][:2] == [Act.SHADE, Act.VENT]
    assert advice.actions[0].to == 0.9


def test_what_is_not_enough_is_said():
    advice = what_to_do(DomeSpec(), porch(3, sunny=1000.0, mean_c=32.0), 0.0, largest_vent_cm2=100.0)
    assert not advice.enough
    assert advice.then.chance_of_heat > 0.9
    assert advice.then.hottest_c.value < advice.now.hottest_c.value - 5


@pytest.mark.parametrize(("chance", "actions"), [(0.1, ()), (0.11, (Act.SHADE,))])
def test_a_chance_of_heat_of_one_in_ten_is_let_pass_and_no_more(monkeypatch, chance, actions):
    told = what_will_happen(DomeSpec(leak_l_min=0.2), steady(20.0, 50.0), 0.0)

    def foretold(*_, shade_share, **__):
        return replace(told, chance_of_heat=0.0 if shade_share else chance, shade_share=shade_share)

    monkeypatch.setattr(advise, "what_will_happen", foretold)
    advice = what_to_do(DomeSpec(leak_l_min=0.2), steady(20.0, 50.0), 0.0, largest_vent_cm2=200.0)
    assert tuple(each.act for each in advice.actions) == actions
    assert advice.accepted_chance == 0.1


def test_where_the_chance_of_heat_is_unknown_nothing_is_advised_and_nothing_called_enough():
    sun = HOT.solar_w_m2.copy()
    sun[58:63] = float("nan")
    unseen = OutsideAir(HOT.time_s, HOT.temperature_c, HOT.relative_humidity_pct, sun, HOT.wind_m_s)
    advice = what_to_do(DomeSpec(leak_l_min=0.2), unseen, 0.0, largest_vent_cm2=200.0, from_s=2 * 86_400.0)
    assert math.isnan(advice.now.chance_of_heat)
    assert (advice.actions, advice.enough) == ((), False)


def test_water_that_runs_dry_asks_to_weigh_a_pot_first():
    dome = DomeSpec(water_mm=4.0)
    advice = what_to_do(dome, steady(20.0, 50.0, wind_m_s=0.38, days=12), 200.0, largest_vent_cm2=200.0)
    assert [each.act for each in advice.actions] == [Act.WEIGH, Act.WATER]
    assert advice.actions[0].to == pytest.approx(115, rel=0.2)
    assert advice.actions[1].by_s == advice.then.dry_at_s


def test_a_closed_dome_of_unknown_leak_is_looked_at_weekly():
    actions = what_to_do(DomeSpec(water_mm=4.0), steady(20.0, 50.0), 0.0, largest_vent_cm2=200.0).actions
    assert [each.act for each in actions] == [Act.LOOK]
    assert math.isnan(actions[0].to)


def test_vents_wider_than_their_largest_are_refused():
    with pytest.raises(BadValue, match=r"vents_cm2 is 300.0; allowed: 0 to the largest, 200 cm²"):
        what_to_do(DomeSpec(), HOT, 300.0, largest_vent_cm2=200.0)


def test_a_pot_is_topped_up_by_what_it_lost():
    pot = pot_water(900.0, 1100.0, 700.0)
    assert (pot.lost_g, pot.share_left, pot.top_up) == (200.0, 0.5, True)
    assert pot_water(1050.0, 1100.0, 700.0).top_up is False
    assert pot_water(1050.0, 1100.0).top_up is None


@pytest.mark.parametrize(
    ("weights", "message"),
    [
        ((1300.0, 1100.0), r"now_g is 1300.0; allowed: above 0, and no more than the pot weighed when full, 1100 g"),
        ((900.0, 1100.0, 1200.0), r"dry_g is 1200.0; allowed: 0 to less than the full pot's 1100 g"),
    ],
)
def test_weights_that_cannot_be_one_pot_are_refused(weights, message):
    with pytest.raises(BadValue, match=message):
        pot_water(*weights)
