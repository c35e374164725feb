"""What stands on a tray, in words and numbers; no book is needed."""

from __future__ import annotations

import pytest

from plan.standing import assert_stands
from scionary.answers.tray import PotAsk, TrayAsk, tray
from scionary.errors import BadValue

DOMED = (520.7, 266.7)


def test_pots_are_counted_and_numbered_in_the_middle_of_the_tray() -> None:
    found = tray(TrayAsk(540, 280, (PotAsk(98),)))
    assert found.sentence == "10 square pots of 98 mm stand on a tray of 540 × 280 mm inside."
    assert [pot.place for pot in found.pots] == list(range(1, 11))
    # 540 - 5 x 98 is 50: 25 mm at either end
    assert (found.pots[0].x_mm, found.pots[4].x_mm) == (25 + 49, 540 - 25 - 49)
    assert found.pots[0].y_mm + found.pots[9].y_mm == 280
    assert "No arrangement with sides along the tray's holds more." in found.why
    assert "One more would stand if pots were at most 93 mm wide." in found.why


def test_inches_are_said_in_inches() -> None:
    found = tray(TrayAsk(*DOMED, (PotAsk(114.3, round=True),)), unit="in")
    assert found.sentence == "9 round pots of 4 1/2 in stand on a tray of 20 1/2 × 10 1/2 in inside."


def test_what_a_person_measured_decides_and_that_is_said() -> None:
    found = tray(TrayAsk(*DOMED, (PotAsk(114.3, round=True),)))
    assert found.when_wider == 8
    assert found.flags == ("If pots are 2 mm wider than measured, 8 stand.",)
    assert tray(TrayAsk(520, 270, (PotAsk(80),))).when_wider is None


def test_a_pot_nearly_enough_is_to_be_measured_again() -> None:
    assert any(
        words.startswith("One more would stand if pots were 0.5 mm narrower: measure")
        for words in tray(TrayAsk(538, 98.5, (PotAsk(90.1667),))).why
    )


def test_what_is_said_to_fit_does_fit() -> None:
    for size in (83.0, 98.0, 127.0):
        said = next(words for words in tray(TrayAsk(540, 280, (PotAsk(size),))).why if "at most" in words)
        narrower = float(said.split("at most ")[1].split(" mm")[0])
        assert tray(TrayAsk(540, 280, (PotAsk(narrower),))).count > tray(TrayAsk(540, 280, (PotAsk(size),))).count


def test_kinds_are_mixed_and_what_has_no_place_is_flagged() -> None:
    found = tray(TrayAsk(540, 280, (PotAsk(165, count=4), PotAsk(98, round=True))))
    assert found.counts[0] == 3
    assert found.flags == ("No place for 1 square pot of 165 mm.",)
    pots = [(pot.x_mm, pot.y_mm, found.ask.pots[pot.kind].pot) for pot in found.pots]
    assert_stands(pots, 540, 280)


def test_only_so_many_as_are_asked_for_are_placed() -> None:
    found = tray(TrayAsk(540, 280, (PotAsk(98, count=6),)))
    assert (found.count, found.left_over) == (6, (0,))
    assert found.flags == ()
    assert tray(TrayAsk(540, 280, (PotAsk(98, count=12),))).flags == ("No place for 2 square pots of 98 mm.",)


def test_a_low_cover_names_its_places_and_what_is_needed() -> None:
    ask = TrayAsk(*DOMED, (PotAsk(114.3, round=True),), cover_mm=180, lean_mm=80, pot_height_mm=100, scion_mm=40)
    found = tray(ask)
    low = [pot.place for pot in found.pots if pot.too_low]
    assert 0 < len(low) < found.count
    assert found.flags[-1].startswith("The cover is too low at places ")
    assert found.flags[-1].endswith("Scions stand 40 mm above the rim, and 10 mm are kept free above them.")
    upright = tray(TrayAsk(*DOMED, (PotAsk(114.3, round=True),), cover_mm=180, pot_height_mm=100, scion_mm=40))
    assert "Above the rims there are 80 mm to the cover where it is lowest." in upright.why
    assert not any(pot.too_low for pot in upright.pots)


def test_a_bench_takes_trays_by_their_outside() -> None:
    ask = TrayAsk(540, 280, (PotAsk(98),), bench_length_mm=2200, bench_width_mm=600, wall_mm=5)
    assert "A bench of 2200 × 600 mm takes 8 trays: 80 pots." in tray(ask).why
    assert tray(TrayAsk(540, 280, (PotAsk(98),), bench_length_mm=2200, bench_width_mm=600, wall_mm=6)).bench.count < 8  # type: ignore[union-attr]


def test_nothing_that_fits_is_an_answer() -> None:
    found = tray(TrayAsk(540, 280, (PotAsk(300),)))
    assert found.sentence == "No such pot stands on a tray of 540 × 280 mm inside."
    assert found.why == ("Pots of at most 280 mm would stand.",)


def test_a_stopped_search_says_so() -> None:
    found = tray(TrayAsk(*DOMED, (PotAsk(114.3, round=True),)), progress=lambda _share, _words: False)
    assert found.count == 8
    assert "The search was stopped: more may be possible." in found.flags


def test_the_answer_as_plain_values_holds_every_place() -> None:
    told = tray(TrayAsk(540, 280, (PotAsk(98),), cover_mm=200)).to_dict()
    assert (told["count"], told["proved"], told["at_most"]) == (10, True, 10)
    assert told["places"][0] == {"place": 1, "x_mm": 74.0, "y_mm": 91.0, "kind": 0, "free_mm": 200.0}  # type: ignore[index]


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"bench_length_mm": 2000}, "allowed: length and width together"),
        ({"wall_mm": -1}, "wall_mm is -1"),
        ({"cover_mm": 0}, "height_mm is 0"),
        ({"clearance_mm": -1}, "clearance_mm is -1"),
    ],
)
def test_what_cannot_be_is_refused(more: dict[str, float], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        tray(TrayAsk(540, 280, (PotAsk(98),), **more))  # type: ignore[arg-type]
