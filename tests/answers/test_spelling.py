"""Names that were perhaps meant."""

from __future__ import annotations

import pytest

from scionary.answers.spelling import did_you_mean, folded, numbered_apart

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
    assert did_you_mean("red  TARN", KNOWN) == []


@pytest.mark.parametrize("typed", ["red-tarn", "'Red Tarn'", "Réd Tarn"])
def test_one_that_differs_by_signs_alone_is_offered_and_not_taken(typed: str) -> None:
    assert did_you_mean(typed, KNOWN) == ["Red Tarn"]


def test_nothing_offers_nothing() -> None:
    assert did_you_mean(" - ", KNOWN) == []


def test_case_accents_quotes_and_hyphens_make_no_other_name() -> None:
    assert folded("'Red-Tarn'") == folded("red  tarn") == folded("Réd Tärn") == "red tarn"


def test_numbers_tell_names_apart_on_purpose() -> None:
    assert numbered_apart("Seedling 1", "Seedling 2")
    assert not numbered_apart("Seedling 1", "Sedling 1")
    assert not numbered_apart("Red Tarn", "Red Tran")
