"""Names in a file beside those of the book, and beside each other."""

import pytest

from scionary.answers.file_names import names_used, new_names_words


def perhaps(names: list[str], known: list[str], *, parts: bool = False) -> dict[str, tuple[str, ...]]:
    return {entry.name: entry.perhaps for entry in names_used([(name, 1) for name in names], known, parts=parts) if entry.perhaps}


def test_of_two_near_names_that_stand_as_often_the_later_is_asked_about() -> None:
    assert perhaps(["Ash Gill", "Ash Gil"], []) == {"Ash Gil": ("Ash Gill",)}


def test_the_rarer_of_two_near_names_is_asked_about() -> None:
    assert perhaps(["Ash Gil", "Ash Gill", "Ash Gill"], []) == {"Ash Gil": ("Ash Gill",)}


def test_a_name_that_differs_by_a_hyphen_alone_is_asked_about() -> None:
    assert perhaps(["Ash-Gill"], ["Ash Gill"]) == {"Ash-Gill": ("Ash Gill",)}


@pytest.mark.parametrize("written", ["side graft", "leafy side graft", "Side graft, leafy, summer, long cut"])
def test_a_part_of_a_known_method_is_asked_about(written: str) -> None:
    assert perhaps([written], ["Side graft, leafy, summer", "Cleft"], parts=True) == {written: ("Side graft, leafy, summer",)}


def test_lots_that_are_numbered_apart_are_not_near() -> None:
    assert perhaps(["S2 seedlings"], ["S1 seedlings"], parts=True) == {}
    assert perhaps(["S1 seedlngs"], ["S1 seedlings"], parts=True) == {"S1 seedlngs": ("S1 seedlings",)}


def test_what_is_new_is_told_by_its_kind() -> None:
    kinds = {"cultivar": names_used([("Red Tarn", 1)], ["Red Tarn"]), "method": names_used([("cleft", 1), ("whip", 2)], [])}
    assert new_names_words(kinds) == "New to the book: methods cleft and whip."
    assert new_names_words({"cultivar": kinds["cultivar"]}) == ""
