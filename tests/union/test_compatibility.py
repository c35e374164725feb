"""Reading the table of what carries what."""

from __future__ import annotations

import pytest

from scionary.union import COMPATIBILITY, CompatibilityRow, Verdict, compatibility, compatible_pairs


@pytest.mark.parametrize(
    ("stock", "scion", "verdict"),
    [
        ("Acer palmatum", "Acer shirasawanum 'Aureum'", Verdict.GOOD),
        ("acer palmatum", "Acer palmatum", Verdict.GOOD),
        ("Acer platanoides", "Acer palmatum", Verdict.FAILS),
        ("Acer palmatum", "Acer platanoides", Verdict.FAILS),
        ("Acer pseudoplatanus", "Acer griseum", Verdict.DOUBTFUL),
        ("Acer pseudoplatanus", "Acer pseudoplatanus", Verdict.GOOD),
        ("Acer rubrum", "Acer rubrum", Verdict.DOUBTFUL),
        ("Acer davidii", "Acer palmatum", Verdict.DOUBTFUL),
        ("Hamamelis virginiana", "Hamamelis × intermedia", Verdict.GOOD),
        ("Fagus sylvatica", "Acer palmatum", Verdict.FAILS),
        ("Quercus robur", "Quercus rubra", Verdict.UNKNOWN),
        ("Quercus robur", "Quercus robur", Verdict.GOOD),
        ("", "Acer palmatum", Verdict.UNKNOWN),
    ],
)
def test_the_narrowest_row_speaks(stock, scion, verdict):
    assert compatibility(stock, scion).verdict is verdict


def test_what_the_book_has_seen_stands_before_the_table():
    seen = CompatibilityRow("acer palmatum", "acer japonicum", Verdict.FAILS, "this book: 6 of 7 parted")
    found = compatibility("Acer palmatum", "Acer japonicum", (seen, *COMPATIBILITY))
    assert (found.verdict, found.source) == (Verdict.FAILS, "this book: 6 of 7 parted")


def test_only_pairs_that_fail_are_kept_apart():
    allowed = compatible_pairs(["Acer palmatum", "Fagus sylvatica", ""], ["Acer palmatum", "Acer platanoides"])
    assert allowed.tolist() == [[True, False], [False, False], [True, True]]
    assert compatible_pairs([], ["Acer palmatum"]).shape == (0, 1)


def test_every_row_says_where_it_is_from():
    assert all(row.source for row in COMPATIBILITY)
    assert COMPATIBILITY[0].to_dict()["verdict"] == "good"


def test_what_stands_behind_a_comma_is_no_part_of_the_name():
    assert compatibility("Acer palmatum, two-year seedlings", "Acer palmatum 'Red Tarn'").note == "the same species"
