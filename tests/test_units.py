"""Lengths in sentences, in the unit that a person reads."""

from __future__ import annotations

import pytest

from scionary.units import in_unit


@pytest.mark.parametrize(
    ("stored", "shown"),
    [
        ("Top up the water under the grid to 6–13 mm", "Top up the water under the grid to 1/4–1/2 in"),
        ("6 to 13 mm of water stands in the tray.", "1/4 to 1/2 in of water stands in the tray."),
        ("A cut of 13–19 mm; three nodes", "A cut of 1/2–3/4 in; three nodes"),
        ("38.1mm across", "1 1/2 in across"),
        ("A film of 0.2 mm", "A film of 0.2 mm"),
        ("Open the vents 33 % on day 31", "Open the vents 33 % on day 31"),
    ],
)
def test_millimetres_in_a_sentence_are_said_in_inches(stored: str, shown: str) -> None:
    assert in_unit(stored, "in") == shown
    assert in_unit(stored, "mm") == stored
