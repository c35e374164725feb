"""What a cultivar looks like, as a grower sees it."""

from __future__ import annotations

import pytest

from scionary.errors import BadValue
from scionary.names import (
    BY_KEY,
    TRAITS,
    Evidence,
    index_plants,
    known_traits,
    rank_plants,
    trait_tables,
    traits_words,
)

LOOKS = {"Red Tarn": {"lobes": "7", "summer": "red"}, "Ash Gill": {"lobes": "5"}}


def test_each_trait_has_a_few_answers_with_words_of_their_own() -> None:
    assert len(BY_KEY) == len(TRAITS) == 9
    for trait in TRAITS:
        assert 3 <= len(trait.values) <= 6
        assert len(set(trait.values.values())) == len(trait.values)


def test_what_is_no_trait_or_no_answer_is_left_out() -> None:
    assert known_traits({"summer": "red", "lobes": "eleven", "smell": "sweet"}) == {"summer": "red"}


def test_a_table_is_said_in_one_line() -> None:
    assert traits_words({"summer": "dark", "lobes": "9"}) == "lobes of a leaf: 9 or more; colour in summer: dark red to purple"
    assert traits_words({}) == ""


def test_a_person_says_what_is_written_or_any_other_answer_alike() -> None:
    chances = trait_tables(LOOKS, 0.8)["lobes"]["Red Tarn"]
    assert chances["7"] == 0.8
    assert chances["5"] == chances["none"] == pytest.approx(0.05)
    assert sum(chances.values()) == pytest.approx(1.0)


def test_a_trait_that_no_table_holds_is_left_out() -> None:
    assert set(trait_tables(LOOKS, 0.8)) == {"lobes", "summer"}


def test_a_cultivar_whose_table_lacks_a_trait_keeps_its_chance() -> None:
    plants = index_plants(cultivar=["Red Tarn", "Ash Gill", "Lanthorn"], traits=trait_tables(LOOKS, 0.8))
    blind = {one.plant: one.probability for one in rank_plants(Evidence(), plants)}
    found = {one.plant: one.probability for one in rank_plants(Evidence(traits={"lobes": "7"}), plants)}
    assert found[2] == pytest.approx(blind[2], rel=1e-6)
    assert found[0] > blind[0] > 2 * found[1]


def test_many_traits_that_agree_never_make_a_plant_certain() -> None:
    every = {trait.key: next(iter(trait.values)) for trait in TRAITS}
    other = {trait.key: list(trait.values)[-1] for trait in TRAITS}
    plants = index_plants(cultivar=["Red Tarn", "Ash Gill"], traits=trait_tables({"Red Tarn": every, "Ash Gill": other}, 0.8))
    chance = {one.plant: one.probability for one in rank_plants(Evidence(traits=every), plants)}
    assert chance[0] > 0.7
    assert 100 < chance[0] / chance[1] < 1e4  # as if each counted for itself: above 1e10


@pytest.mark.parametrize("seen_right", [0.0, 1.0, float("nan")])
def test_no_slip_and_nothing_but_slips_are_refused(seen_right: float) -> None:
    with pytest.raises(BadValue, match="seen_right"):
        trait_tables(LOOKS, seen_right)
