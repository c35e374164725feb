"""Epithets of cultivars against the rules."""

import pytest

from scionary.names import botanical_name
from scionary.names.epithets import epithet_warnings


@pytest.mark.parametrize(
    ("epithet", "warning"),
    [
        ("red tarn", "begins with a capital"),
        ("Red tarn", "begin with capitals; 'tarn'"),
        ("R", "A single letter"),
        ("2041", "Numerals alone"),
        ("RED TARN", "custom for selling names"),
        ("Red Tarn var. alba", "'var.' belongs to the Latin name, outside the quotes"),
        ("Red Acer", "does not say Acer again"),
        ("Red Selection", "the word 'Selection'"),
        ("Improved Red Tarn", "the word 'Improved'"),
        ("Atropurpureum Nanum", "looks like Latin"),
        ("Pendula", "looks like Latin"),
        ("Best Tarn", "does not praise"),
        ("Reddest of All", "does not praise"),
        ("A" + "a" * 30, "more than 30 characters"),
        ("Red & Gold", "leave & out"),
        ("½ Moon", "leave ½ out"),
        ("Fire!!", "Two exclamation marks, apart"),
        ("A! B! C!", "Two exclamation marks, apart"),
    ],
)
def test_what_the_rules_do_not_want_is_told_with_its_article(epithet: str, warning: str) -> None:
    found = [line for line in epithet_warnings(epithet, "Acer") if warning in line]
    assert len(found) == 1
    assert "(ICNCP art. " in found[0]


@pytest.mark.parametrize(
    "epithet",
    [
        "Red Tarn",
        "Jack O'Tarn",
        "Fée du Lac",
        "Fell-lace",
        "100th Tarn",
        "Super 5",
        "Harvest Rigg",
        "Forest West",
        "A" + "a" * 29,
        "Oh! Tarn!",
        "Mr. Gill, Sr.",
    ],
)
def test_what_they_allow_passes(epithet: str) -> None:
    assert epithet_warnings(epithet, "Acer") == []


def test_spaces_do_not_count_towards_the_length() -> None:
    assert epithet_warnings("Aaaaaaaaaa " * 3) == []


@pytest.mark.parametrize(
    ("epithet", "last_free"),
    [("Pendula", 1958), ("Red Variety", 1958), ("Best Tarn", 1958), ("Red & Gold", 1995), ("A" + "a" * 30, 1995)],
)
def test_a_rule_holds_from_its_year_on(epithet: str, last_free: int) -> None:
    assert epithet_warnings(epithet, published=last_free) == []
    assert len(epithet_warnings(epithet, published=last_free + 1)) == 1


def test_the_invented_names_of_the_demo_follow_the_rules() -> None:
    from scionary.demo.tarn_bridge import VARIETIES

    assert {
        variety.botanical: botanical_name(variety.botanical).warnings for variety in VARIETIES if botanical_name(variety.botanical).warnings
    } == {}
