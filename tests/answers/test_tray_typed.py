"""A tray as it is typed."""

from __future__ import annotations

import pytest

from scionary.answers.tray import PotAsk
from scionary.answers.tray_typed import length_typed, pot_typed, tolerance_typed
from scionary.errors import Refused


@pytest.mark.parametrize(
    ("typed", "unit", "pot"),
    [
        ("98", "mm", PotAsk(98)),
        ("round 165", "mm", PotAsk(165, round=True)),
        ("165 mm round", "mm", PotAsk(165, round=True)),
        ("2 x round 165", "mm", PotAsk(165, round=True, count=2)),
        ("3x98", "mm", PotAsk(98, count=3)),
        ("Round 4 1/2", "in", PotAsk(114.3, round=True)),
        ("10 × 3 7/8 in", "mm", PotAsk(98.425, count=10)),
        ("square 5/8", "in", PotAsk(15.875)),
    ],
)
def test_pots_are_read_as_people_write_them(typed: str, unit: str, pot: PotAsk) -> None:
    found = pot_typed(typed, "--pot", unit)
    assert (found.round, found.count) == (pot.round, pot.count)
    assert found.across_mm == pytest.approx(pot.across_mm)


def test_all_are_round_where_nothing_else_is_said() -> None:
    assert pot_typed("98", "--pot", "mm", round_ones=True).round
    assert not pot_typed("square 98", "--pot", "mm", round_ones=True).round


def test_a_tolerance_may_be_below_zero() -> None:
    assert tolerance_typed("-2 mm", "--tolerance", "in") == -2
    assert tolerance_typed("1/8", "--tolerance", "in") == pytest.approx(3.175)


@pytest.mark.parametrize("typed", ["", "pot", "round", "0 x 98", "round square 98", "98 mm mm", "-98", "0", "1e9"])
def test_what_is_no_pot_is_refused_by_its_place(typed: str) -> None:
    with pytest.raises(Refused, match="--pot"):
        pot_typed(typed, "--pot", "mm")


def test_a_length_out_of_range_is_refused() -> None:
    with pytest.raises(Refused, match=r"--length: '21 m' is out of range\. Write it like 540"):
        length_typed("21 m", "--length", "mm")
