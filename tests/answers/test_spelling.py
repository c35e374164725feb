"""Names that were perhaps meant."""

from __future__ import annotations

import pytest

from scionary.answers.spelling import did_you_mean, folded

KNOWN = ["Red Tarn", "Ash Gill", "Fell Lace", "Lanthorn", "Merrybeck"]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Red Tran", ["Red Tarn"]),
        ("lanthron", ["Lanthorn"]),
        ("Merybeck", ["Merrybeck"]),
        ("Red", ["Red Tarn"]),
        ("Red Fell", []),
        ("Snowbed", []),
    ],
)
def test_near_names_are_offered_and_far_ones_are_not(typed: str, meant: list[str]) -> None:
    assert did_you_mean(typed, KNOWN) == meant


def test_a_known_name_offers_nothing() -> None:
    assert did_you_mean("red-tarn", KNOWN) == []


def test_nothing_offers_nothing() -> None:
    assert did_you_mean(" - ", KNOWN) == []


def test_case_quotes_and_hyphens_make_no_other_name() -> None:
    assert folded("'Red-Tarn'") == folded("red  tarn") == "red tarn"
