"""What to look at next."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.names import Evidence, FindingAssumptions, PlantIndex, index_plants, next_question, questions, rank_plants, trait_tables
from scionary.names.field_chances import Fit, choice_fit, usual_shares
from scionary.names.questions import _channel_bits, _choice_bits
from scionary.names.ranking import field_fits


def entropy(found: list[float]) -> float:
    return -sum(chance * np.log2(chance) for chance in found if chance > 0.0)


def plants(**columns: object) -> PlantIndex:
    return index_plants(cultivar=["Red Tarn"] * 8, **columns)  # type: ignore[arg-type]


def test_the_field_that_tells_all_plants_apart_is_asked_first() -> None:
    book = plants(stands=[f"Bed {one}" for one in range(8)], pot_kind=["Pot 1"] * 4 + ["Pot 2"] * 4, grafter=["Maren"] * 8)
    asked = questions(Evidence(), book)
    assert [question.field for question in asked][:2] == ["stands", "pot_kind"]
    assert next_question(Evidence(), book) == asked[0]


def test_a_field_that_is_known_is_not_asked_again() -> None:
    book = plants(stands=[f"Bed {one}" for one in range(8)])
    assert "stands" not in [question.field for question in questions(Evidence(stands="Bed 1"), book)]


def test_the_gain_is_the_expected_fall_of_entropy() -> None:
    # slowly: every answer in turn, each weighed by how likely it is
    book = plants(stands=["Bed 1", "Bed 1", "Bed 2", "Bed 3", "Bed 3", "Bed 3", None, None], pot_kind=["Pot 1", "Pot 2"] * 4)
    before = Evidence(pot_kind="Pot 1")
    now = rank_plants(before, book, at_most=8)
    column, agree = book.columns["stands"], FindingAssumptions().stands
    expected = 0.0
    for answer in ("Bed 1", "Bed 2", "Bed 3", "a bed that no plant has"):
        fit = choice_fit(column, answer, agree)
        chance = sum(one.probability * (fit.none if one.plant is None else fit.table[fit.codes[one.plant]]) for one in now)
        after = rank_plants(Evidence(pot_kind="Pot 1", stands=answer), book, at_most=8)
        expected += chance * entropy([one.probability for one in after])
    gained = next(question.bits for question in questions(before, book) if question.field == "stands")
    assert gained == pytest.approx(entropy([one.probability for one in now]) - expected, abs=1e-5)


def test_the_quick_way_for_choices_is_that_of_the_whole_table() -> None:
    book = plants(stands=["Bed 1", "Bed 1", "Bed 2", "Bed 3", "Bed 3", "Bed 3", None, None])
    column, usual = book.columns["stands"], usual_shares(book.columns["stands"])
    channel = np.array([[0.75 if v == r else 0.25 * usual[v] / (1.0 - usual[r]) for v in range(4)] for r in range(3)])
    by_value = np.array([0.4, 0.1, 0.3, 0.2])
    assert channel.sum(axis=1) == pytest.approx(np.ones(3))
    assert _choice_bits(column, by_value, 0.75) == pytest.approx(_channel_bits(by_value, channel, column.shares))


def test_a_trait_that_tells_cultivars_apart_is_asked() -> None:
    traits = {"leaf": {"Red Tarn": {"red": 1.0, "green": 0.0}, "Ash Gill": {"red": 0.0, "green": 1.0}}}
    book = index_plants(cultivar=["Red Tarn", "Ash Gill"], traits=traits, pot_kind=["Pot 1", "Pot 1"])
    asked = {question.field: question.bits for question in questions(Evidence(name=("zzz",)), book)}
    assert max(asked, key=lambda field: asked[field]) == "trait: leaf"
    assert asked["pot_kind"] < 0.05


@pytest.mark.parametrize("seen", [{}, {"cut": "deep"}])
def test_the_gain_of_a_trait_regards_those_seen_already(seen: dict[str, str]) -> None:
    # slowly, as above, from what the chances are before and after each answer
    looks = {"Red Tarn": {"lobes": "7", "cut": "deep"}, "Ash Gill": {"lobes": "5", "cut": "shallow"}, "Lanthorn": {"lobes": "5"}}
    cultivars = ["Red Tarn"] * 3 + ["Ash Gill", "Lanthorn", "Merrybeck", None]
    book = index_plants(cultivar=cultivars, traits=trait_tables(looks, 0.8))
    now = rank_plants(Evidence(traits=seen), book, at_most=7)
    before = field_fits(Evidence(traits=seen), book, FindingAssumptions()).get("looks")
    expected = 0.0
    for answer in book.traits["lobes"].values:
        evidence = Evidence(traits={**seen, "lobes": answer})
        both = field_fits(evidence, book, FindingAssumptions())["looks"]
        given = [_at(both, one.plant) / _at(before, one.plant) for one in now]
        chance = sum(one.probability * each for one, each in zip(now, given, strict=True))
        expected += chance * entropy([one.probability for one in rank_plants(evidence, book, at_most=7)])
    gained = next(question.bits for question in questions(Evidence(traits=seen), book) if question.field == "trait: lobes")
    assert gained == pytest.approx(entropy([one.probability for one in now]) - expected, abs=1e-5)
    assert gained > 0.05


def _at(fit: Fit | None, plant: int | None) -> float:
    return 1.0 if fit is None else fit.none if plant is None else float(fit.table[fit.codes[plant]])


def test_days_heights_and_codes_are_asked_where_the_book_has_them() -> None:
    book = plants(
        grafted_on=list(range(736_000, 736_800, 100)), height_mm=[100.0, 200, 400, 800, 1600, 3200, 100, 100], number=list(range(8))
    )
    asked = {question.field: question.bits for question in questions(Evidence(), book)}
    assert min(asked["grafted_about"], asked["height_mm"], asked["code"]) > 0.3
    assert asked["stands"] == 0.0


def test_an_empty_book_has_no_question() -> None:
    assert next_question(Evidence(), index_plants(cultivar=[])) is None
