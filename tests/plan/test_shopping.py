"""What a season uses up."""

from datetime import date

import pytest

from scionary.errors import BadValue
from scionary.plan import MethodUse, PlannedGrafts, TrayUse, shopping_list

FIRST, SECOND = date(2027, 2, 1), date(2027, 2, 8)
PLANNED = [
    PlannedGrafts(FIRST, 7, "side graft", "98 square", "old tree"),
    PlannedGrafts(FIRST, 6, "cleft", "98 square", "by the gate"),
    PlannedGrafts(SECOND, 12, "side graft", "one gallon", "old tree"),
]
USES = {"side graft": MethodUse(300, 2, 40, 1), "cleft": MethodUse(200, 3, 50, 2)}
TRAY = TrayUse(540, 280, {"98 square": 10, "one gallon": 3})


def test_everything_is_added_up():
    found = shopping_list(PLANNED, USES, spare=0)
    assert found.film_m == pytest.approx(19 * 0.3 + 6 * 0.2)
    assert found.blades == 1  # 19 / 40 + 6 / 50
    assert found.labels == 19 + 12
    assert found.pots == {"98 square": 13, "one gallon": 12}
    assert found.assumed == ()


def test_sticks_are_cut_whole_for_each_week():
    found = shopping_list(PLANNED, USES)
    # 7 grafts are 3.5 sticks, a week later 12 are 6
    assert found.sticks_by_week == {(FIRST, "by the gate"): 2, (FIRST, "old tree"): 4, (SECOND, "old tree"): 6}
    assert found.sticks == {"by the gate": 2, "old tree": 10}


def test_trays_hold_one_kind_of_pot_each_and_their_water_is_counted():
    found = shopping_list(PLANNED, USES, tray=TRAY)
    assert found.trays_by_week == {FIRST: 2, SECOND: 4}
    # 540 x 280 mm, 10 mm deep: 1.512 litres
    assert found.water_l == pytest.approx(6 * 1.512)


def test_spare_is_added_to_what_is_bought_and_not_to_sticks():
    found, plain = shopping_list(PLANNED, USES, spare=0.5), shopping_list(PLANNED, USES, spare=0)
    assert found.pots == {"98 square": 20, "one gallon": 18}
    assert found.film_m == pytest.approx(1.5 * plain.film_m)
    assert found.sticks == plain.sticks


def test_what_was_supposed_is_said():
    assumed = shopping_list(PLANNED, tray=TRAY).assumed
    assert any("a blade lasts 50 (common practice, no source)" in words for words in assumed)
    assert any(words.startswith("10 per cent of film") for words in assumed)
    assert any("10 mm deep" in words for words in assumed)


def test_an_empty_season_uses_nothing():
    found = shopping_list([], tray=TRAY)
    assert (found.film_m, found.blades, found.labels, found.pots, found.sticks, found.water_l) == (0, 0, 0, {}, {}, 0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: PlannedGrafts(FIRST, -1), "grafts is -1"),
        (lambda: MethodUse(grafts_per_stick=0), "grafts_per_stick is 0; allowed: more than 0"),
        (lambda: MethodUse(film_mm=-1), "film_mm is -1"),
        (lambda: TrayUse(540, 280, {"x": 0}), "holds of 'x' is 0"),
        (lambda: TrayUse(0, 280, {}), "length_mm is 0"),
        (lambda: shopping_list(PLANNED, USES, spare=2), "spare is 2"),
        (lambda: shopping_list(PLANNED, USES, tray=TrayUse(540, 280, {"98 square": 10})), "holds of 'one gallon'"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(BadValue, match=message):
        call()
